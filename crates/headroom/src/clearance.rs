//! One valve of one cylinder against block, gasket or chamber wall: the finding.

use fit::first_contact::lift_with_room_m;
use fit::scene::{Param, Scene, Surrounding};
use fit::tolerance::Spread;
use fit::{Gap, Sweep, sweep};
use parts::limit::{Check, Limits};
use parts::{Cylinder, Valve};
use rayon::prelude::*;
use units::Length;
use units::length::meter;
use units::reading::SDS_IN_TOLERANCE;

use crate::finding::{Cure, Finding, FirstContact, Seen, Status, Weakest};
use crate::place::PlaceSeen;
use crate::sampling::{chance_below, deviations, interval_95};

/// Gap of one valve, nominal and with the spread its readings give it; samples are drawn only where it matters.
pub struct Clearance {
    check: Check,
    surrounding: Surrounding,
    scene: Scene,
    /// What the nominal valve meets.
    pub sweep: Sweep,
}

/// Chances below this, or above 1 less this, are not worth drawing samples for: they are certain in the shop.
const CERTAIN: f64 = 1e-4;

impl Clearance {
    /// Follows the nominal valve from seat to full travel.
    pub fn new(check: Check, cylinder: &Cylinder, valve: &Valve) -> Option<Self> {
        let surrounding = match check {
            Check::ValveToBlock => Surrounding::Block,
            Check::ValveToGasket => Surrounding::Gasket,
            Check::ValveToChamber => Surrounding::Chamber,
            _ => return None,
        };
        let scene = Scene::new(cylinder, valve);
        let sweep = sweep(&scene.valve(), &scene.obstacle(surrounding), surrounding, scene.travel_m());
        Some(Self { check, surrounding, scene, sweep })
    }

    /// Least nominal gap.
    pub fn gap(&self) -> Length {
        Length::new::<meter>(self.sweep.least.distance_m)
    }

    /// The finding, with `n_samples` samples where chance has a say.
    pub fn finding(&self, limits: &Limits, valve: &Valve, n_samples: u32) -> Finding {
        let limit = limits.of(self.check);
        let gap_m = self.sweep.least.distance_m;
        let spread = Spread::new(&self.scene, self.surrounding);
        let changes = spread.changes_m(self.sweep.least.lift_m);
        let sd = changes.iter().map(|(_, change)| change * change).sum::<f64>().sqrt();
        let (chance_of_hitting, interval) = self.contact_chance(&spread, &changes, n_samples);
        let chance_under_limit = chance_below(limit.least.value, gap_m, sd).max(chance_of_hitting);
        let first_contact = self.sweep.first_contact.map(|contact| FirstContact {
            lift: Length::new::<meter>(contact.lift_m),
            interval,
            place: place_seen(&contact),
        });
        Finding {
            check: self.check,
            valve: Some(valve.name.clone()),
            other_valve: None,
            cylinders: Vec::new(),
            others: Vec::new(),
            status: Status::of(self.gap(), limit.least),
            cures: self.cures(limit.least),
            limit: limit.least,
            limit_source: limit.source,
            seen: Some(Seen {
                gap: self.gap(),
                tolerance: Length::new::<meter>(sd * SDS_IN_TOLERANCE),
                place: place_seen(&self.sweep.least),
                lift: Some(Length::new::<meter>(self.sweep.least.lift_m)),
                crank: None,
                phaser: Vec::new(),
                first_contact,
                chance_of_hitting,
                chance_under_limit,
                weakest: self.weakest(&changes, valve),
            }),
        }
    }

    /// Chance of contact within the travel, and the interval of its lift where contact is what the nominal readings say.
    fn contact_chance(
        &self,
        spread: &Spread,
        changes: &[(Param, f64)],
        n_samples: u32,
    ) -> (f64, Option<[Length; 2]>) {
        let gap_m = self.sweep.least.distance_m;
        let sd = changes.iter().map(|(_, change)| change * change).sum::<f64>().sqrt();
        let by_normal = chance_below(0.0, gap_m, sd);
        if by_normal < CERTAIN {
            return (by_normal, None);
        }
        if gap_m > 0.0 {
            return (put_right(by_normal, spread, changes, gap_m, n_samples.div_ceil(SAMPLES_SAVED)), None);
        }
        let contacts = first_contacts_m(spread, n_samples);
        let chance = contacts.len() as f64 / f64::from(n_samples.max(1));
        let interval = interval_95(contacts).map(|ends| ends.map(Length::new::<meter>));
        (chance, interval)
    }

    fn weakest(&self, changes: &[(Param, f64)], valve: &Valve) -> Option<Weakest> {
        let variance: f64 = changes.iter().map(|(_, change)| change * change).sum();
        let (param, change) = changes.iter().copied().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
        (variance > 0.0).then(|| Weakest {
            path: param.path(&valve.name),
            basis: self.scene.bases[param as usize],
            share: change * change / variance,
        })
    }

    /// What would bring the gap to its limit, one change at a time.
    fn cures(&self, limit: Length) -> Vec<Cure> {
        let short_m = limit.value - self.sweep.least.distance_m;
        if short_m <= 0.0 {
            return Vec::new();
        }
        let mut cures = Vec::new();
        let (valve, metal) = (self.scene.valve(), self.scene.obstacle(self.surrounding));
        if let Some(lift) = lift_with_room_m(&valve, &metal, limit.value, self.scene.travel_m())
            && lift > 0.0
        {
            cures.push(Cure::LiftNoMoreThan(Length::new::<meter>(lift)));
        }
        if self.surrounding != Surrounding::Chamber
            && let Some(more) = self.solve(Param::GasketThickness, MOST_GASKET_M, limit.value)
        {
            let thickness = self.scene.get(Param::GasketThickness) + more;
            cures.push(Cure::GasketNoThinnerThan(Length::new::<meter>(thickness)));
        }
        if let Some(less) = self.solve(Param::HeadDiameter, -MOST_VALVE_M, limit.value) {
            let diameter = self.scene.get(Param::HeadDiameter) - less;
            cures.push(Cure::ValveNoLargerThan(Length::new::<meter>(diameter)));
        }
        if self.surrounding == Surrounding::Block {
            cures.push(Cure::ReliefOf(Length::new::<meter>(short_m)));
        }
        if self.surrounding == Surrounding::Gasket
            && let Some(more) = self.solve(Param::GasketSize, MOST_OPENING_M, limit.value)
        {
            cures.push(Cure::OpeningLargerBy(Length::new::<meter>(more)));
        }
        cures
    }

    /// How far a reading must move for the least gap to reach `limit_m`, up to `most_m` either way; `None` when it never does.
    fn solve(&self, param: Param, most_m: f64, limit_m: f64) -> Option<f64> {
        let spare = |by: f64| {
            let mut scene = self.scene.clone();
            scene.values[param as usize] += by.copysign(most_m);
            let (valve, metal) = (scene.valve(), scene.obstacle(self.surrounding));
            sweep(&valve, &metal, self.surrounding, scene.travel_m()).least.distance_m - limit_m
        };
        let (mut short, mut enough) = (0.0, most_m.abs());
        if spare(enough) < 0.0 {
            return None;
        }
        while enough - short > CHANGE_ACCURACY_M {
            let middle = 0.5 * (short + enough);
            if spare(middle) < 0.0 { short = middle } else { enough = middle }
        }
        Some(enough)
    }
}

/// A chance of contact known by the normal distribution, put right by samples in which the valve was followed. The two
/// agree in most samples, so few are enough.
fn put_right(by_normal: f64, spread: &Spread, changes: &[(Param, f64)], gap_m: f64, n_samples: u32) -> f64 {
    let mut off = vec![0.0; spread.params.len()];
    let mut more = 0_i32;
    for sample_idx in 0..n_samples {
        deviations(sample_idx, &mut off);
        let by_changes: f64 = changes.iter().zip(&off).map(|((_, change), off)| change * off).sum();
        more += i32::from(spread.first_contact_m(&off).is_some()) - i32::from(gap_m + by_changes <= 0.0);
    }
    (by_normal + f64::from(more) / f64::from(n_samples.max(1))).clamp(0.0, 1.0)
}

/// A sample that only puts a known chance right is worth this many that have to find it (the difference of the two
/// counts scatters that much less where the gap is nearly straight in its readings).
pub(crate) const SAMPLES_SAVED: u32 = 16;

/// Lifts of first contact in so many sampled scenes, those that touch, in the order of the samples. Many samples are
/// shared out over the processors; which processor does a sample does not change it.
pub fn first_contacts_m(spread: &Spread, n_samples: u32) -> Vec<f64> {
    /// Samples that are not worth waking another processor for.
    const AT_ONCE: u32 = 8192;
    let some = |range: std::ops::Range<u32>| {
        let mut off = vec![0.0; spread.params.len()];
        let contact = |sample_idx| {
            deviations(sample_idx, &mut off);
            spread.first_contact_m(&off)
        };
        range.filter_map(contact).collect::<Vec<f64>>()
    };
    if n_samples <= AT_ONCE {
        return some(0..n_samples);
    }
    let n_shares = n_samples.div_ceil(AT_ONCE);
    let shares: Vec<Vec<f64>> = (0..n_shares)
        .into_par_iter()
        .map(|share| some(share * AT_ONCE..((share + 1) * AT_ONCE).min(n_samples)))
        .collect();
    shares.concat()
}

/// How far a cure may go before nobody would call it one, in metres: thicker gaskets are made up to about 2 mm over the
/// usual, a valve much smaller or an opening much larger is another engine (common practice, no source).
const MOST_GASKET_M: f64 = 2e-3;
const MOST_VALVE_M: f64 = 4e-3;
const MOST_OPENING_M: f64 = 4e-3;

/// Cures are found to this, in metres.
const CHANGE_ACCURACY_M: f64 = 5e-6;

fn place_seen(gap: &Gap) -> PlaceSeen {
    PlaceSeen::new(gap.place.point_m.to_array(), gap.place.feature.into())
}
