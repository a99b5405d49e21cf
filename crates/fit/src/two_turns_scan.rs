//! Where in the cycle a pair of moving parts comes close: a look at every degree that matters, then the bottom of each
//! dip. Leaves out readings that differ, which are `two_turns_samples.rs`.

use crate::distance::{Minimum, least_in};
use crate::lift_law::LiftLaw;
use crate::two_turns::{MovingParts, Pair, Way, gap_m, pairs, to_piston};
use crate::valve_to_piston::lowest_point_m;
use crate::valve_to_valve::{valve_to_valve, valve_to_valve_bound_m};

/// Looks at a cycle: one a degree.
const N_LOOKS: usize = 720;

/// The crank angles where a pair comes close.
#[derive(Clone, Debug)]
pub struct Dips {
    /// Which parts.
    pub pair: Pair,
    /// Angles in degrees and gaps in metres, least first; never empty.
    pub dips: Vec<Minimum>,
}

/// Every pair's least gap, and its other dips that come within `spread_m` of it, to start from where readings
/// differ by their tolerances. After them come places where a margin nearly reaches into its pocket and may with
/// other readings: their gap is infinite as yet. A margin that never reaches in has no radial gap.
pub fn find_dips<L: LiftLaw>(parts: &MovingParts<L>, spread_m: f64) -> Vec<Dips> {
    find_dips_of(parts, spread_m, |_| true)
}

/// [`find_dips`] of those pairs only that are asked for.
pub fn find_dips_of<L: LiftLaw>(
    parts: &MovingParts<L>,
    spread_m: f64,
    asked: impl Fn(Pair) -> bool,
) -> Vec<Dips> {
    let scan = Scan::new(parts);
    pairs(parts)
        .into_iter()
        .filter(|pair| asked(*pair))
        .map(|pair| Dips { pair, dips: scan.dips(pair, spread_m) })
        .filter(|of_pair| of_pair.dips.first().is_some_and(|least| least.value < f64::INFINITY))
        .collect()
}

/// Pairs of valves with what their gaps are not below over the cycle, in metres, least first: the balls around their heads,
/// looked at every degree. Cheap, to leave pairs alone that cannot be the nearest.
pub fn valve_pair_floors_m<L: LiftLaw>(parts: &MovingParts<L>) -> Vec<(f64, Pair)> {
    let scan = Scan::new(parts);
    let floor_m = |pair: &Pair| match *pair {
        Pair::ValveToValve(one, two) => {
            let heads = [one, two].map(|idx| &parts.valves[idx].head);
            let at = |deg: usize| {
                let lifts = [one, two].map(|idx| scan.lifts_m[idx][deg]);
                valve_to_valve_bound_m(heads[0], lifts[0], heads[1], lifts[1])
            };
            Some((0..N_LOOKS).map(at).fold(f64::INFINITY, f64::min) - BETWEEN_LOOKS_M)
        }
        _ => None,
    };
    let mut floors: Vec<(f64, Pair)> =
        pairs(parts).into_iter().filter_map(|pair| Some((floor_m(&pair)?, pair))).collect();
    floors.sort_by(|a, b| a.0.total_cmp(&b.0));
    floors
}

/// Angles are resolved to this.
const ANGLE_ACCURACY_DEG: f64 = 1e-3;

/// A dip between two looks can be deeper than either by this, in metres.
const BETWEEN_LOOKS_M: f64 = 1e-4;

/// A gap changes by less than this from one degree to the next, in metres: valves lift by up to a quarter of a
/// millimetre a degree, pistons drop by about as much where they are near.
const WITHIN_A_DEGREE_M: f64 = 6e-4;

/// Two dips this near are one, in degrees.
const APART_DEG: f64 = 1.0;

/// Gaps that differ by less are the same: twice what distances are resolved to.
pub(crate) const LEVEL_M: f64 = 2.0 * crate::distance::RESOLUTION_M;
/// Motion looked up once a degree.
struct Scan<'a, L> {
    parts: &'a MovingParts<L>,
    crowns_m: Vec<f64>,
    lifts_m: Vec<Vec<f64>>,
}

impl<'a, L: LiftLaw> Scan<'a, L> {
    fn new(parts: &'a MovingParts<L>) -> Self {
        let degrees = || (0..N_LOOKS).map(|idx| idx as f64);
        Self {
            parts,
            crowns_m: degrees().map(|deg| parts.crown_m(deg)).collect(),
            lifts_m: parts
                .valves
                .iter()
                .map(|valve| degrees().map(|deg| valve.lift.lift_m(deg)).collect())
                .collect(),
        }
    }

    fn dips(&self, pair: Pair, spread_m: f64) -> Vec<Minimum> {
        let values = match pair {
            Pair::ValveToPiston(idx, way) => self.look_to_piston(idx, way, spread_m),
            Pair::ValveToValve(one, two) => self.look_between_valves(one, two, spread_m),
            // The true top is where drops are counted from.
            Pair::PistonToHead | Pair::PistonEdge => {
                return vec![Minimum { at: 0.0, value: gap_m(self.parts, pair, 0.0) }];
            }
        };
        let mut dips = polish(&values, spread_m, |deg| gap_m(self.parts, pair, deg));
        if let (Pair::ValveToPiston(idx, Way::Radial), true) = (pair, spread_m > 0.0) {
            dips.extend(self.almost_in_pocket(idx, spread_m));
        }
        if let (Pair::ValveToValve(one, two), true) = (pair, spread_m > 0.0) {
            // Two valves that move alike keep their gap; what tips it then shows most where they are widest open.
            let limit = dips.first().map_or(0.0, |least| least.value + spread_m);
            for idx in [one, two] {
                let at = self.parts.valves[idx].lift.nose_deg();
                let value = gap_m(self.parts, pair, at);
                if value <= limit && dips.iter().all(|dip| (dip.at - at).abs() > APART_DEG) {
                    dips.push(Minimum { at, value });
                }
            }
        }
        dips
    }

    /// Gaps a degree apart where they can be among the least, infinite elsewhere: a gap is never less than
    /// the height of the valve's lowest point over the crown's highest, while that is positive.
    fn look_to_piston(&self, idx: usize, way: Way, spread_m: f64) -> Vec<f64> {
        let valve = &self.parts.valves[idx];
        let lowest = lowest_point_m(&valve.head) - valve.crown.dome().map_or(0.0, |dome| dome.height);
        // A leaning piston rises by the lean at the far side of its crown; the valve's rim is always within this of the pin.
        let reach_m = valve.head.seated.length() + 2.0 * valve.head.head_radius + self.parts.pin_m[1];
        let rock_m = self.parts.rock_rad * reach_m;
        let bound =
            |deg: usize| lowest - self.lifts_m[idx][deg] * valve.head.axis.z - self.crowns_m[deg] - rock_m;
        let nearest =
            (0..N_LOOKS).min_by(|&a, &b| bound(a).total_cmp(&bound(b))).expect("there are 720 degrees");
        let gap = |deg: usize| to_piston(self.parts, valve, way, deg as f64, self.lifts_m[idx][deg]).0.gap_m;
        let mut values = vec![f64::INFINITY; N_LOOKS];
        values[nearest] = gap(nearest);
        let mut least = values[nearest];
        let mut look = |values: &mut Vec<f64>, deg: usize| {
            // Sideways gaps count while the margin is below the flat.
            let beyond = if way == Way::Radial { 0.0 } else { (least + spread_m + BETWEEN_LOOKS_M).max(0.0) };
            if values[deg] == f64::INFINITY && bound(deg) <= beyond {
                values[deg] = gap(deg);
                least = least.min(values[deg]);
            }
        };
        for deg in (0..N_LOOKS).step_by(2) {
            look(&mut values, deg);
        }
        let near = values.iter().copied().fold(f64::INFINITY, f64::min) + spread_m + WITHIN_A_DEGREE_M;
        for deg in (1..N_LOOKS).step_by(2) {
            if way == Way::Radial || values[deg - 1].min(values[(deg + 1) % N_LOOKS]) <= near {
                look(&mut values, deg);
            }
        }
        values
    }

    /// Angles where a margin comes lowest without reaching into its pocket by less than `spread_m`: it may with other
    /// readings. Their gap is infinite as yet.
    fn almost_in_pocket(&self, idx: usize, spread_m: f64) -> impl Iterator<Item = Minimum> {
        let valve = &self.parts.valves[idx];
        let lowest = lowest_point_m(&valve.head);
        let over_flat =
            move |deg: usize| lowest - self.lifts_m[idx][deg] * valve.head.axis.z - self.crowns_m[deg];
        (0..N_LOOKS).filter_map(move |deg| {
            let (before, here, after) =
                (over_flat((deg + N_LOOKS - 1) % N_LOOKS), over_flat(deg), over_flat((deg + 1) % N_LOOKS));
            let almost = 0.0 < here && here < spread_m && here < before && here <= after;
            almost.then_some(Minimum { at: deg as f64, value: f64::INFINITY })
        })
    }

    /// The same for two valves: their gap changes by no more than the two lifts together.
    fn look_between_valves(&self, one: usize, two: usize, spread_m: f64) -> Vec<f64> {
        const STRIDES: [usize; 3] = [16, 4, 1];
        let (heads, lifts) = (
            [&self.parts.valves[one].head, &self.parts.valves[two].head],
            [&self.lifts_m[one], &self.lifts_m[two]],
        );
        let mut values = vec![f64::INFINITY; N_LOOKS];
        let mut least = f64::INFINITY;
        let mut seated = None;
        for (level, stride) in STRIDES.into_iter().enumerate() {
            for deg in (0..N_LOOKS).step_by(stride) {
                if values[deg] < f64::INFINITY {
                    continue;
                }
                if level > 0 {
                    let wider = STRIDES[level - 1];
                    let before = deg - deg % wider;
                    let far = [before, (before + wider) % N_LOOKS].into_iter().any(|known| {
                        let moved = |idx: usize| (lifts[idx][deg] - lifts[idx][known]).abs();
                        values[known] < f64::INFINITY
                            && values[known] - moved(0) - moved(1) > least + spread_m + BETWEEN_LOOKS_M
                    });
                    if far {
                        continue;
                    }
                }
                let (lift_one, lift_two) = (lifts[0][deg], lifts[1][deg]);
                let gap = || valve_to_valve(heads[0], lift_one, heads[1], lift_two).gap_m;
                let both_seated = lift_one == 0.0 && lift_two == 0.0;
                values[deg] = if both_seated { *seated.get_or_insert_with(gap) } else { gap() };
                least = least.min(values[deg]);
            }
        }
        values
    }
}

/// The bottoms of the dips in a table of gaps a degree apart that are among the least, least first.
fn polish(values: &[f64], spread_m: f64, gap: impl Fn(f64) -> f64) -> Vec<Minimum> {
    let n = values.len();
    let Some(lowest) =
        (0..n).filter(|&idx| values[idx] < f64::INFINITY).min_by(|&a, &b| values[a].total_cmp(&values[b]))
    else {
        return Vec::new();
    };
    let mut dips = Vec::new();
    for idx in 0..n {
        let (before, here, after) = (values[(idx + n - 1) % n], values[idx], values[(idx + 1) % n]);
        let near = here < f64::INFINITY && here <= values[lowest] + spread_m + BETWEEN_LOOKS_M;
        // Of a level stretch only its first look counts, and the lowest; rounding makes no dips.
        let bottom = here < before - LEVEL_M && here <= after + LEVEL_M;
        if near && (bottom || idx == lowest) {
            let at = idx as f64;
            let bracket = [at - 1.0, at + 1.0];
            dips.push(least_in(&gap, bracket, Minimum { at, value: here }, ANGLE_ACCURACY_DEG));
        }
    }
    dips.sort_by(|a, b| a.value.total_cmp(&b.value));
    let limit = dips[0].value + spread_m;
    dips.retain(|dip| dip.value <= limit);
    dips
}
