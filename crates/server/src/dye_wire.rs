//! The dye map as JSON: areas below each level and the lines of contact and limit, in degrees around the bore and millimetres
//! along. Leaves out colours and where things go on a screen.

use fit::dye_map::DyeMap;
use headroom::dye_map::{DyeAnswer, WorstSpot};
use headroom::finding::Status;
use parts::limit::Check;
use report::contour::{Grid, loops_below, stretches};
use report::dye_drawing::{AT_LIMIT_M, FAR_OVER_LIMIT_M, NEAR_OVER_LIMIT_M};
use serde::Serialize;
use units::UnitSystem;
use units::length::millimeter;
use utoipa::ToSchema;

/// The maps of one cylinder.
#[derive(Serialize, ToSchema)]
pub struct DyeDrawn {
    cylinder: usize,
    bore_diameter_mm: f64,
    /// What `near` and `far` mean: gaps of up to so much over their limit.
    near_over_limit_mm: f64,
    far_over_limit_mm: f64,
    /// Wall, deck, and the crown where valves and crank are known to move.
    surfaces: Vec<DyeSurfaceWire>,
    /// The least gap of each valve to block and piston, worst over its limit first.
    spots: Vec<DyeSpotWire>,
    /// What the maps do not show.
    notes: Vec<String>,
}

/// A surface around the bore axis. Places on it are `[degrees from +x to +y around the bore, along]`; along is the height over
/// the deck on the wall, the distance from the bore axis on deck and crown.
#[derive(Serialize, ToSchema)]
struct DyeSurfaceWire {
    surface: OnSurface,
    /// First and last place along.
    along_mm: [f64; 2],
    /// Where it is cut open; places run from here once around.
    seam_deg: f64,
    /// Null where no valve ever passes.
    least_gap_mm: Option<f64>,
    /// The widest first, as they are painted over each other.
    areas: Vec<DyeAreaWire>,
    lines: Vec<DyeLineWire>,
}

/// A surface that takes dye.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
enum OnSurface {
    Wall,
    Deck,
    Crown,
}

/// How much room there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
enum DyeBand {
    /// Within the wider step over its limit.
    Far,
    /// Within the first step over its limit.
    Near,
    /// Clears, but under its limit.
    Tight,
    /// The parts run into each other.
    Hits,
}

/// Everything with at most that much room.
#[derive(Serialize, ToSchema)]
struct DyeAreaWire {
    band: DyeBand,
    /// Closed; a place is inside where they go around it.
    loops: Vec<Vec<[f64; 2]>>,
}

/// A line of one value.
#[derive(Serialize, ToSchema)]
struct DyeLineWire {
    /// `hits`: where they touch; `tight`: where the gap is at its limit.
    edge_of: DyeBand,
    places: Vec<[f64; 2]>,
}

/// The least gap of one valve to block or piston.
#[derive(Serialize, ToSchema)]
struct DyeSpotWire {
    on: OnSurface,
    place: [f64; 2],
    check: &'static str,
    valve: String,
    gap_mm: f64,
    limit_mm: f64,
    status: Status,
    lift_mm: f64,
    crank_deg: Option<f64>,
    /// Gap, limit, place, lift and crank in a sentence.
    words: String,
}

impl DyeDrawn {
    /// The wire of an answer.
    pub fn new(dye: &DyeAnswer, system: UnitSystem) -> Self {
        let radius_m = dye.bore_radius.value;
        let known = [
            (OnSurface::Wall, Some(&dye.wall)),
            (OnSurface::Deck, Some(&dye.deck)),
            (OnSurface::Crown, dye.crown.as_ref()),
        ];
        let surfaces =
            known.into_iter().filter_map(|(on, map)| Some(DyeSurfaceWire::new(on, map?, radius_m)));
        Self {
            cylinder: dye.cylinder,
            bore_diameter_mm: rounded(2e3 * radius_m),
            near_over_limit_mm: 1e3 * NEAR_OVER_LIMIT_M,
            far_over_limit_mm: 1e3 * FAR_OVER_LIMIT_M,
            surfaces: surfaces.collect(),
            spots: dye.spots.iter().map(|spot| DyeSpotWire::new(spot, system)).collect(),
            notes: dye.notes.clone(),
        }
    }
}

impl DyeSurfaceWire {
    fn new(surface: OnSurface, map: &DyeMap, radius_m: f64) -> Self {
        let n_columns = map.n_columns + 1;
        let over = Grid { n_columns, values: &map.over_limit_m };
        let gap = Grid { n_columns, values: &map.gap_m };
        let levels = [
            (DyeBand::Far, over, FAR_OVER_LIMIT_M),
            (DyeBand::Near, over, NEAR_OVER_LIMIT_M),
            (DyeBand::Tight, over, -AT_LIMIT_M),
            (DyeBand::Hits, gap, 0.0),
        ];
        let mut areas = Vec::new();
        let mut lines = Vec::new();
        for (band, grid, level) in levels {
            let found = loops_below(grid, level);
            if found.is_empty() {
                continue;
            }
            let mut loops = Vec::new();
            for corners in &found {
                let places: Vec<[f64; 2]> = corners
                    .iter()
                    .map(|corner| {
                        let [azimuth, along] = map.place(corner.at.x, corner.at.y);
                        [azimuth.to_degrees(), 1e3 * along]
                    })
                    .collect();
                if matches!(band, DyeBand::Tight | DyeBand::Hits) {
                    let edges = stretches(corners, &places).into_iter();
                    lines.extend(
                        edges.map(|edge| DyeLineWire { edge_of: band, places: thinned(&edge, radius_m) }),
                    );
                }
                loops.push(thinned(&places, radius_m));
            }
            areas.push(DyeAreaWire { band, loops });
        }
        let least_m = map.least_gap_m();
        Self {
            surface,
            along_mm: map.along_m.map(|along| rounded(1e3 * along)),
            seam_deg: rounded(map.seam_rad.to_degrees()),
            least_gap_mm: least_m.is_finite().then(|| rounded(1e3 * least_m)),
            areas,
            lines,
        }
    }
}

impl DyeSpotWire {
    fn new(spot: &WorstSpot, system: UnitSystem) -> Self {
        let [x, y, z] = spot.point_m;
        let (on, along_m) = match spot.check {
            Check::ValveToBlock if spot.is_on_wall() => (OnSurface::Wall, z),
            Check::ValveToBlock => (OnSurface::Deck, x.hypot(y)),
            _ => (OnSurface::Crown, x.hypot(y)),
        };
        Self {
            on,
            place: [rounded(y.atan2(x).to_degrees()), rounded(1e3 * along_m)],
            check: spot.check.key(),
            valve: spot.valve.clone(),
            gap_mm: rounded(spot.gap.get::<millimeter>()),
            limit_mm: rounded(spot.limit.get::<millimeter>()),
            status: spot.status(),
            lift_mm: rounded(spot.lift.get::<millimeter>()),
            crank_deg: spot.crank.map(|crank| rounded(crank.degrees())),
            words: spot.told(system),
        }
    }
}

/// Places that a straight way misses by no more than this are left out, in millimetres on the wall.
const THINNED_MM: f64 = 0.02;

/// What is straight here is bent on deck and crown, so no way is longer than this, in degrees.
const LONGEST_DEG: f64 = 3.0;

/// The line without the places that a straight way between their neighbours passes near enough.
fn thinned(places: &[[f64; 2]], radius_m: f64) -> Vec<[f64; 2]> {
    let mm_per_deg = radius_m * 1e3_f64.to_radians();
    let mut kept: Vec<[f64; 2]> = Vec::new();
    let mut from = 0;
    while from < places.len() {
        kept.push(places[from].map(rounded));
        let mut to = from + 1;
        while to + 1 < places.len()
            && (places[to + 1][0] - places[from][0]).abs() <= LONGEST_DEG
            && (from + 1..=to).all(|between| {
                off_way(places[from], places[to + 1], places[between], mm_per_deg) <= THINNED_MM
            })
        {
            to += 1;
        }
        from = to;
    }
    kept
}

/// How far a place lies off the straight way between two others, in millimetres.
fn off_way(from: [f64; 2], to: [f64; 2], place: [f64; 2], mm_per_deg: f64) -> f64 {
    let by = |place: [f64; 2]| [(place[0] - from[0]) * mm_per_deg, place[1] - from[1]];
    let ([ux, uy], [px, py]) = (by(to), by(place));
    let long = ux.hypot(uy);
    if long == 0.0 {
        return px.hypot(py);
    }
    let along = ((px * ux + py * uy) / (long * long)).clamp(0.0, 1.0);
    (px - along * ux).hypot(py - along * uy)
}

/// To a hundredth of a millimetre or degree less a digit: what is drawn needs no more, what is read is shown in hundredths.
fn rounded(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_a_thinned_arc_stays_within_its_accuracy() {
        // A wave of half a millimetre around a bore of 80 mm, in steps of half a degree.
        let radius_m = 0.04;
        let mm_per_deg = radius_m * 1e3_f64.to_radians();
        let wave: Vec<[f64; 2]> =
            (0..=720).map(|step| f64::from(step) / 2.0).map(|deg| [deg, 0.5 * (deg / 20.0).sin()]).collect();
        let kept = thinned(&wave, radius_m);
        assert!(kept.len() < wave.len() / 3, "{} of {}", kept.len(), wave.len());
        assert_eq!((kept[0][0], kept[kept.len() - 1][0]), (0.0, 360.0));
        for place in &wave {
            let near = kept
                .windows(2)
                .map(|ends| off_way(ends[0], ends[1], *place, mm_per_deg))
                .fold(f64::INFINITY, f64::min);
            // Rounding adds half a thousandth.
            assert!(near <= THINNED_MM + 1e-3, "{place:?} by {near}");
        }
        assert!(kept.windows(2).all(|ends| ends[1][0] - ends[0][0] <= LONGEST_DEG));
    }
}
