//! How much metal a cut leaves before the water: wall beside it by sonic readings, deck plate below it. Leaves out
//! what nobody measured: no reading, no number.

use glam::{DVec2, DVec3};
use parts::WallReading;
use units::Length;

use crate::relief_cut::ReliefCut;
use crate::relief_line::inside_on_line;
use crate::relief_margin::Margin;

/// Readings within this of each other's height belong to one level, in metres.
const LEVEL_BAND_M: f64 = 1e-3;

/// A place is measured when readings of a level lie on both sides of it, each within this angle; cores shift as a
/// whole, so a wall changes slowly around the bore (common practice takes four to eight readings a level; no source).
const FARTHEST_READING_RAD: f64 = std::f64::consts::FRAC_PI_2;

/// And when the nearest level lies within this of its height, in metres (common practice, no source).
const FARTHEST_LEVEL_M: f64 = 20e-3;

/// Places in the cut that are looked at: around and down.
const N_AROUND: usize = 96;
const N_DOWN: usize = 24;

/// The search between places stops at this step around the bore, in radians: well under a micrometre.
const FINEST_RAD: f64 = 1e-6;

/// Least wall left beside the cut: at every place the thickness by the readings less what is cut there. `None`
/// (unmeasured) for an empty cut and when a place of the cut is out of reach of every reading.
///
/// Around the bore thickness runs in straight lines between the readings of a level, and between levels too; above
/// the first and below the last level it stays. The least is that of a grid of 97 by 25 places, polished between
/// them.
///
/// Limit: [`crate::relief_limit::Left::Wall`].
pub fn wall_left(cut: &ReliefCut, readings: &[WallReading]) -> Option<Margin> {
    let extent = cut.extent.as_ref()?;
    let levels = levels(readings);
    let depth = -extent.lowest.z;
    // Infinite where nothing is cut, `None` where nothing is measured.
    let left = |[azimuth, down]: [f64; 2]| match cut_radius(cut, azimuth, -depth * down) {
        None => Some(f64::INFINITY),
        Some(radius) => {
            thickness_at(&levels, azimuth, depth * down).map(|wall| wall - (radius - cut.bore_radius_m()))
        }
    };
    let mut best = (f64::INFINITY, [0.0; 2]);
    let mut step = [0.0, 1.0 / N_DOWN as f64];
    for &[from, to] in &extent.azimuths {
        step[0] = f64::max(step[0], (to - from) / N_AROUND as f64);
        for idx in 0..(N_AROUND + 1) * (N_DOWN + 1) {
            let (around, down) = (idx / (N_DOWN + 1), idx % (N_DOWN + 1));
            let place = [from + (to - from) * around as f64 / N_AROUND as f64, down as f64 / N_DOWN as f64];
            best = lower(best, (left(place)?, place));
        }
    }
    while step[0] > FINEST_RAD {
        let [around, down] = best.1;
        for (by_around, by_down) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
            let place = [around + by_around * step[0], (down + by_down * step[1]).clamp(0.0, 1.0)];
            best = lower(best, (left(place)?, place));
        }
        if best.1 == [around, down] {
            step = step.map(|length| 0.5 * length);
        }
    }
    let (value, [azimuth, down]) = best;
    let radius = cut_radius(cut, azimuth, -depth * down)?;
    Some(Margin::new(value, (DVec2::from_angle(azimuth) * radius).extend(-depth * down)))
}

/// Wall left at a place of the cut, given in metres, as [`wall_left`] found one; `None` where nothing is cut or measured there.
pub fn wall_left_at(cut: &ReliefCut, readings: &[WallReading], place_m: [f64; 3]) -> Option<Margin> {
    let place = DVec3::from_array(place_m);
    let azimuth = place.truncate().to_angle();
    let radius = cut_radius(cut, azimuth, place.z)?;
    let wall = thickness_at(&levels(readings), azimuth, -place.z)?;
    Some(Margin::new(wall - (radius - cut.bore_radius_m()), place))
}

fn lower(a: (f64, [f64; 2]), b: (f64, [f64; 2])) -> (f64, [f64; 2]) {
    if b.0 < a.0 { b } else { a }
}

/// How far from the bore axis the cut reaches at an azimuth and height, where it opens the wall.
fn cut_radius(cut: &ReliefCut, azimuth: f64, z: f64) -> Option<f64> {
    let beyond = cut.extent.as_ref()?.farthest.truncate().length() * 1.01;
    let way = DVec2::from_angle(azimuth).extend(0.0);
    let [_, far] = inside_on_line(&cut.cutter, DVec2::ZERO.extend(z), way, [0.0, beyond])?;
    (far > cut.metal.border_radius(z)).then_some(far)
}

/// Readings of one height, by ascending azimuth: azimuth and thickness.
struct Level {
    below_deck: f64,
    walls: Vec<[f64; 2]>,
}

fn levels(readings: &[WallReading]) -> Vec<Level> {
    let mut sorted: Vec<&WallReading> = readings.iter().collect();
    sorted.sort_by(|a, b| a.below_deck.value.value.total_cmp(&b.below_deck.value.value));
    let mut levels: Vec<Level> = Vec::new();
    for reading in sorted {
        let azimuth = -reading.clockwise.value.value;
        let wall = [azimuth.rem_euclid(std::f64::consts::TAU), reading.thickness.value.value];
        let below_deck = reading.below_deck.value.value;
        match levels.last_mut() {
            Some(level) if below_deck - level.below_deck <= LEVEL_BAND_M => level.walls.push(wall),
            _ => levels.push(Level { below_deck, walls: vec![wall] }),
        }
    }
    for level in &mut levels {
        level.walls.sort_by(|a, b| a[0].total_cmp(&b[0]));
    }
    levels
}

/// Thickness by the levels above and below a height; `None` where nothing near was measured.
fn thickness_at(levels: &[Level], azimuth: f64, below_deck: f64) -> Option<f64> {
    let next = levels.partition_point(|level| level.below_deck < below_deck);
    let lower = levels.get(next).filter(|level| level.below_deck - below_deck <= FARTHEST_LEVEL_M);
    let upper = next.checked_sub(1).map(|idx| &levels[idx]);
    let upper = upper.filter(|level| below_deck - level.below_deck <= FARTHEST_LEVEL_M);
    let at_upper = upper.and_then(|level| around(&level.walls, azimuth).map(|wall| (level.below_deck, wall)));
    let at_lower = lower.and_then(|level| around(&level.walls, azimuth).map(|wall| (level.below_deck, wall)));
    match (at_upper, at_lower) {
        (Some((from, a)), Some((to, b))) => Some(a + (b - a) * (below_deck - from) / (to - from)),
        (one, other) => one.or(other).map(|(_, wall)| wall),
    }
}

/// Thickness between the readings on either side of an azimuth.
fn around(walls: &[[f64; 2]], azimuth: f64) -> Option<f64> {
    let turn = std::f64::consts::TAU;
    let ahead = |wall: &[f64; 2]| (wall[0] - azimuth).rem_euclid(turn);
    let behind = |wall: &[f64; 2]| (azimuth - wall[0]).rem_euclid(turn);
    let next = walls.iter().min_by(|a, b| ahead(a).total_cmp(&ahead(b)))?;
    let last = walls.iter().min_by(|a, b| behind(a).total_cmp(&behind(b)))?;
    let (to_next, to_last) = (ahead(next), behind(last));
    let near = to_next <= FARTHEST_READING_RAD && to_last <= FARTHEST_READING_RAD;
    let share = if to_next + to_last > 0.0 { to_last / (to_next + to_last) } else { 0.0 };
    near.then(|| last[1] + (next[1] - last[1]) * share)
}

/// Deck plate left below the lowest point of the cut; negative when the cut goes through it into the wall beside the
/// water. `None` (unmeasured) without a thickness, and for an empty cut.
///
/// Limit: [`crate::relief_limit::Left::DeckPlate`].
pub fn deck_left(cut: &ReliefCut, deck_thickness: Option<Length>) -> Option<Margin> {
    let lowest = cut.extent.as_ref()?.lowest;
    deck_thickness.map(|thickness| Margin::new(thickness.value + lowest.z, lowest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::angle::degree;
    use units::length::millimeter;
    use units::{Angle, Reading};

    fn reading(azimuth: f64, below: f64, thickness: f64) -> WallReading {
        let mm = Length::new::<millimeter>;
        WallReading {
            clockwise: Reading::measured(Angle::new::<degree>(-azimuth), Angle::new::<degree>(0.0)),
            below_deck: Reading::measured(mm(below), mm(0.0)),
            thickness: Reading::measured(mm(thickness), mm(0.1)),
        }
    }

    #[test]
    fn exact_thickness_between_readings() {
        let readings: Vec<_> = [(0.0, 4.0), (90.0, 6.0), (180.0, 5.0), (270.0, 8.0)]
            .into_iter()
            .flat_map(|(azimuth, wall)| [reading(azimuth, 10.0, wall), reading(azimuth, 20.0, wall + 1.0)])
            .collect();
        let levels = levels(&readings);
        let at = |azimuth: f64, below: f64| {
            thickness_at(&levels, azimuth.to_radians(), below * 1e-3).map(|t| t * 1e3)
        };
        let check = |azimuth, below, expected: f64| {
            let found = at(azimuth, below).expect("measured");
            assert!((found - expected).abs() < 1e-9, "{azimuth}, {below}: {found}, expected {expected}");
        };
        check(45.0, 10.0, 5.0);
        check(-45.0, 10.0, 6.0);
        check(45.0, 15.0, 5.5);
        check(45.0, 2.0, 5.0);
        check(45.0, 25.0, 6.0);
        assert_eq!(at(45.0, 45.0), None);
    }

    #[test]
    fn exact_far_readings_are_no_measure() {
        let levels = levels(&[reading(0.0, 10.0, 4.0), reading(200.0, 10.0, 5.0)]);
        assert_eq!(thickness_at(&levels, 1.0, 0.01), None);
        assert_eq!(thickness_at(&levels, 0.0, 0.01), Some(4.0e-3));
        assert_eq!(thickness_at(&[], 0.0, 0.01), None);
    }
}
