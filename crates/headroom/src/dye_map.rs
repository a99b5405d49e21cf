//! The dye map of one cylinder: the gap of its valves over wall, deck and crown, and the worst spots with lift and crank
//! angle. Leaves out colours and paper, which are crate `report`'s, and tolerances.

use fit::dye_map::{DyeMap, Fineness, Passing, Turning, crown, deck, wall};
use fit::lift_law::LiftLaw;
use fit::{Scene, Surrounding};
use motion::ValveMotion;
use parts::limit::{Check, Limits};
use parts::{Build, Cylinder, Duty};
use thiserror::Error;
use units::length::meter;
use units::{CrankAngle, Length, UnitSystem, show_both};

use crate::clearance::Clearance;
use crate::contact::with_contacts;
use crate::finding::Status;
use crate::mock_up::{Hands, MockUp};
use crate::motions::Motions;
use crate::moving::Moving;
use crate::place::{PlaceSeen, Surface};
use crate::words;

/// The maps of one cylinder.
#[derive(Clone, Debug)]
pub struct DyeAnswer {
    /// The build's name.
    pub name: String,
    /// The cylinder's number.
    pub cylinder: usize,
    /// Radius of its bore.
    pub bore_radius: Length,
    /// The wall, opened where the gap is greatest.
    pub wall: DyeMap,
    /// Chamfer and deck.
    pub deck: DyeMap,
    /// The crown; `None` where lobes or crank are not known.
    pub crown: Option<DyeMap>,
    /// The least gap of each valve to block and piston, worst over its limit first.
    pub spots: Vec<WorstSpot>,
    /// What the maps do not show.
    pub notes: Vec<String>,
}

/// The least gap of one check of one valve.
#[derive(Clone, Debug)]
pub struct WorstSpot {
    /// [`Check::ValveToBlock`] or a valve to the piston.
    pub check: Check,
    /// The valve.
    pub valve: String,
    /// Where.
    pub place: PlaceSeen,
    /// The same place in the bore frame, in metres.
    pub point_m: [f64; 3],
    /// The gap, and the least it may be.
    pub gap: Length,
    /// The least it may be.
    pub limit: Length,
    /// How far the valve is then open.
    pub lift: Length,
    /// Where the crank then stands; `None` where no lobe is known.
    pub crank: Option<CrankAngle>,
}

/// Why there is no map.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum DyeError {
    /// The build has no such cylinder.
    #[error("cylinder {number}; the build has {n_cylinders}")]
    NoSuchCylinder {
        /// The number asked for.
        number: usize,
        /// How many there are.
        n_cylinders: usize,
    },
}

/// How finely the maps look.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DyeGrain {
    /// For paper: half a degree around, about a quarter of a millimetre along, the crown every half degree of the crank.
    #[default]
    Paper,
    /// For a screen: two degrees around, half a millimetre along, the crown every two degrees of the crank.
    Screen,
}

impl DyeGrain {
    /// Cells around.
    fn n_around(self) -> usize {
        match self {
            Self::Paper => 720,
            Self::Screen => 180,
        }
    }

    /// Length of a cell along, about, in metres.
    fn cell_m(self) -> f64 {
        match self {
            Self::Paper => 0.25e-3,
            Self::Screen => 0.5e-3,
        }
    }

    /// Steps of the crank at which the crown is looked at.
    fn crank_step_deg(self) -> f64 {
        match self {
            Self::Paper => 0.5,
            Self::Screen => 2.0,
        }
    }
}

/// The crown is looked at so far from the top between exhaust and intake and from the firing top; beyond it the piston is
/// centimetres down.
const CRANK_REACH_DEG: f64 = 75.0;

/// A wall is shown so far below the lowest place a valve reaches, and a deck so far beyond the outermost; at least
/// [`LEAST_SHOWN_M`] of each.
const SHOWN_BEYOND_M: f64 = 4e-3;
const LEAST_SHOWN_M: f64 = 8e-3;

/// The maps of a cylinder, by its number; without one, of the cylinder where a valve comes worst over its limit.
pub fn dye_map(build: &Build, number: Option<usize>) -> Result<DyeAnswer, DyeError> {
    let (build, _) = with_contacts(build);
    let chosen = |number: usize| build.cylinders.iter().filter(move |cylinder| cylinder.number == number);
    let looked_at: Vec<&Cylinder> = match number {
        Some(number) => chosen(number).collect(),
        None => distinct(&build.cylinders),
    };
    let found: Vec<Found> = looked_at
        .iter()
        .map(|cylinder| Found::new(cylinder, &Motions::new(&cylinder.gear), &build.limits))
        .collect();
    // Of equals the first.
    let worst = found.iter().reduce(|worst, other| if other.over() < worst.over() { other } else { worst });
    let n_cylinders = build.cylinders.len();
    let found = worst.ok_or(DyeError::NoSuchCylinder { number: number.unwrap_or(0), n_cylinders })?;
    Ok(found.maps(&build.name, &build.limits, DyeGrain::Paper))
}

/// The maps of a cylinder of an engine turned by hand; `name` is what it is called. Crank and held lifts have no say: every
/// place of the map is looked at over the whole lift.
pub fn dye_map_by_hand(
    mock_up: &MockUp,
    name: &str,
    number: usize,
    hands: &Hands,
    grain: DyeGrain,
) -> Result<DyeAnswer, DyeError> {
    let n_cylinders = mock_up.cylinders().count();
    let turned = mock_up.turned(number, hands).ok_or(DyeError::NoSuchCylinder { number, n_cylinders })?;
    let (cylinder, motions) = turned;
    Ok(Found::new(&cylinder, &motions, mock_up.limits()).maps(name, mock_up.limits(), grain))
}

/// One of each set of cylinders that are the same but for their number.
fn distinct(cylinders: &[Cylinder]) -> Vec<&Cylinder> {
    let mut few: Vec<&Cylinder> = Vec::new();
    for cylinder in cylinders {
        let same = |other: &&Cylinder| Cylinder { number: cylinder.number, ..(*other).clone() } == *cylinder;
        if !few.iter().any(same) {
            few.push(cylinder);
        }
    }
    few
}

/// A cylinder with its worst spots.
struct Found<'a> {
    cylinder: &'a Cylinder,
    moving: Result<Moving, String>,
    spots: Vec<WorstSpot>,
}

impl<'a> Found<'a> {
    fn new(cylinder: &'a Cylinder, motions: &Motions, limits: &Limits) -> Self {
        let moving = if cylinder.gear.is_empty() {
            Err("the sheet describes no lobes".to_owned())
        } else {
            Moving::new(cylinder, motions)
        };
        let mut spots = Vec::new();
        for valve in &cylinder.head.valves {
            if let Some(clearance) = Clearance::new(Check::ValveToBlock, cylinder, valve) {
                let least = &clearance.sweep.least;
                let point_m = least.place.point_m.to_array();
                let motion = motions.of(valve.duty).ok();
                spots.push(WorstSpot {
                    check: Check::ValveToBlock,
                    valve: valve.name.clone(),
                    place: PlaceSeen::new(point_m, least.place.feature.into()),
                    point_m,
                    gap: clearance.gap(),
                    limit: limits.of(Check::ValveToBlock).least,
                    lift: Length::new::<meter>(least.lift_m),
                    crank: motion.and_then(|motion| first_at_lift(motion, least.lift_m)),
                });
            }
        }
        let of_moving = moving.as_ref().map(|moving| moving.spots()).unwrap_or_default();
        for (check, valve, least) in of_moving {
            let (Check::IntakeToPiston | Check::ExhaustToPiston) = check else { continue };
            let point_m = least.point_m.to_array();
            spots.push(WorstSpot {
                check,
                valve: valve.to_owned(),
                place: PlaceSeen::new(point_m, crate::moving_parts::surface(least)),
                point_m,
                gap: Length::new::<meter>(least.gap_m),
                limit: limits.of(check).least,
                lift: Length::new::<meter>(least.lifts_m[0]),
                crank: Some(CrankAngle::from_degrees(least.crank_deg)),
            });
        }
        spots.sort_by(|a, b| a.over().total_cmp(&b.over()));
        Self { cylinder, moving, spots }
    }

    fn over(&self) -> f64 {
        self.spots.first().map_or(f64::INFINITY, WorstSpot::over)
    }

    fn maps(&self, name: &str, limits: &Limits, grain: DyeGrain) -> DyeAnswer {
        let cylinder = self.cylinder;
        let scenes: Vec<Scene> =
            cylinder.head.valves.iter().map(|valve| Scene::new(cylinder, valve)).collect();
        let heads: Vec<_> = scenes.iter().map(Scene::valve).collect();
        let limit_m = limits.of(Check::ValveToBlock).least.value;
        let passing: Vec<Passing> = heads
            .iter()
            .zip(&scenes)
            .map(|(valve, scene)| Passing { valve, travel_m: scene.travel_m(), limit_m })
            .collect();
        // Every scene has the same block with all that was cut out of it.
        let block = scenes.first().map(|scene| scene.obstacle(Surrounding::Block));
        let bore_radius = 0.5 * cylinder.block.bore.value;
        let block = block.unwrap_or_else(|| fit::solid::Obstacle::block(bore_radius.value, 0.0, 0.0));
        let (mut lowest, mut outermost) = (0.0_f64, 0.0_f64);
        for one in &passing {
            let face = one.valve.face_center(one.travel_m);
            lowest = lowest.max(one.valve.head_radius * one.valve.sin_lean() - face.z);
            outermost = outermost.max(face.truncate().length() + one.valve.head_radius - bore_radius.value);
        }
        let shown = |most: f64| (most + SHOWN_BEYOND_M).max(LEAST_SHOWN_M);
        let n_columns = grain.n_around();
        let fine = |along: f64| Fineness { n_columns, n_rows: (along / grain.cell_m()).ceil() as usize };
        let (wall, deck) = rayon::join(
            || wall(&block, &passing, shown(lowest), fine(shown(lowest))),
            || deck(&block, &passing, shown(outermost), fine(shown(outermost))),
        );
        let crown = self.moving.as_ref().ok().and_then(|moving| self.crown(limits, moving, grain));
        let [wall, deck] = [wall, deck].map(|map| map.opened_at_widest());
        let mut notes = Vec::new();
        if let Err(reason) = &self.moving {
            notes.push(format!("No map of the crown: {reason}."));
        } else if crown.is_none() {
            notes.push("No map of the crown: the motion of a valve is not known.".to_owned());
        } else {
            notes.push(
                "On the crown gaps are along the valve, as a drop gauge takes them, cams as installed; upright walls of \
                 pockets are edge on."
                    .to_owned(),
            );
            if !cylinder.piston.drops.is_empty() {
                notes.push(
                    "Spots on the crown are by the measured drops, its colours by its shape.".to_owned(),
                );
            }
        }
        if !cylinder.block.reliefs.is_empty() {
            notes.push("Floors and walls of reliefs are seen through their openings.".to_owned());
        }
        DyeAnswer {
            name: name.to_owned(),
            cylinder: cylinder.number,
            bore_radius,
            wall,
            deck,
            crown: crown.map(|map| map.opened_at_widest()),
            spots: self.spots.clone(),
            notes,
        }
    }

    fn crown(&self, limits: &Limits, moving: &Moving, grain: DyeGrain) -> Option<DyeMap> {
        let parts = moving.parts();
        if parts.valves.is_empty() {
            return None;
        }
        let step_deg = grain.crank_step_deg();
        let n_steps = (2.0 * CRANK_REACH_DEG / step_deg) as u32;
        let near =
            |top: f64| (0..=n_steps).map(move |step| top - CRANK_REACH_DEG + step_deg * f64::from(step));
        let crank_deg: Vec<f64> = near(0.0).chain(near(360.0)).collect();
        let limit = |duty: Duty| match duty {
            Duty::Intake => limits.of(Check::IntakeToPiston).least.value,
            Duty::Exhaust => limits.of(Check::ExhaustToPiston).least.value,
        };
        let limits_m: Vec<f64> = self.cylinder.head.valves.iter().map(|valve| limit(valve.duty)).collect();
        let n_rows = (parts.top.radius_m / grain.cell_m()).ceil() as usize;
        let turning = Turning { crank_deg: &crank_deg, limits_m: &limits_m };
        Some(crown(parts, turning, Fineness { n_columns: grain.n_around(), n_rows }))
    }
}

/// The crank angle at which a valve first has a lift while it opens; its nose where it never has so much.
fn first_at_lift(motion: &ValveMotion, lift_m: f64) -> Option<CrankAngle> {
    let nose = LiftLaw::nose_deg(motion);
    if lift_m <= 0.0 {
        return None;
    }
    let (mut shut, mut open) = (nose - 180.0, nose);
    if LiftLaw::lift_m(motion, open) <= lift_m {
        return Some(CrankAngle::from_degrees(nose));
    }
    // Halved to a ten-thousandth of a degree.
    while open - shut > 1e-4 {
        let middle = 0.5 * (shut + open);
        if LiftLaw::lift_m(motion, middle) < lift_m {
            shut = middle;
        } else {
            open = middle;
        }
    }
    Some(CrankAngle::from_degrees(open))
}

impl WorstSpot {
    /// How far it is over its limit, in metres; negative under it.
    fn over(&self) -> f64 {
        (self.gap - self.limit).value
    }

    /// How it stands.
    pub fn status(&self) -> Status {
        Status::of(self.gap, self.limit)
    }

    /// Whether it is on the wall, and not on deck or crown.
    pub fn is_on_wall(&self) -> bool {
        self.place.on == Surface::BoreWall || (self.place.on == Surface::Relief && self.place.height_m < 0.0)
    }

    /// `exhaust valve to the block: hits, -0.62 mm (-0.024 in) (limit 1.52 mm (0.060 in)); 8 o'clock (243° clockwise from the
    /// front), 3.1 mm below the deck, at 10.20 mm (0.402 in) lift 112° before overlap top dead centre.`
    pub fn told(&self, system: UnitSystem) -> String {
        let against = if self.check == Check::ValveToBlock { "the block" } else { "the piston" };
        let crank = self.crank.map_or(String::new(), words::crank_words);
        format!(
            "{} to {against}: {}, {} (limit {}); {}; at {} lift{crank}.",
            words::valve_name(&self.valve),
            self.status().word(),
            show_both(self.gap),
            show_both(self.limit),
            words::place(&self.place, system),
            show_both(self.lift),
        )
    }
}

#[cfg(test)]
#[path = "dye_map_tests.rs"]
mod tests;
