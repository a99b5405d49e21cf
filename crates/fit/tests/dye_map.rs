//! Dye maps against the gaps they are maps of, and against circles that can be worked out by hand.

mod invented;
mod moving;

use fit::dye_map::{DyeMap, Fineness, Passing, Turning, crown, deck, wall};
use fit::relief_cut::relief_cut;
use fit::relief_cutter::{Room, Shape};
use fit::solid::{Obstacle, ValveHead};
use fit::two_turns::{Pair, Way, two_turns};
use fit::{Scene, Surrounding, sweep};
use glam::DVec3;
use invented::cylinder;
use moving::{Layout, Off, wren, wren_motions};
use units::Length;
use units::length::millimeter;

const FINE: Fineness = Fineness { n_columns: 1440, n_rows: 60 };

fn both_maps(block: &Obstacle, valve: &ValveHead, travel_m: f64) -> [DyeMap; 2] {
    let passing = [Passing { valve, travel_m, limit_m: 1.5e-3 }];
    [wall(block, &passing, 0.015, FINE), deck(block, &passing, 0.01, FINE)]
}

#[test]
fn exact_upright_valve_beside_a_sharp_bore() {
    //  On the side of the valve the wall is R - e - r away once the rim is below the deck; opposite, R + e - r.
    let [bore, radius, offset, lift] = [0.045, 0.02, 0.022, 0.01];
    let block = Obstacle::block(bore, 0.0, 0.0);
    let valve = ValveHead::new(
        radius,
        1e-3,
        std::f64::consts::FRAC_PI_4,
        4e-3,
        DVec3::new(0.0, offset, 2e-3),
        [0.0; 2],
    );
    let map = wall(&block, &[Passing { valve: &valve, travel_m: lift, limit_m: 1e-3 }], 0.02, FINE);
    let at = |column: usize, row: usize| map.gap_m[row * (FINE.n_columns + 1) + column];
    // Column 360 is at +y. The face ends 8 mm below the deck, row 36 of 60 from 20 mm up.
    assert!((at(360, 50) - (bore - offset - radius)).abs() < 1e-9, "{}", at(360, 50));
    assert!((at(1080, 50) - (bore + offset - radius)).abs() < 1e-9);
    // Below the face: by the straight line to the rim.
    let below = (bore - offset - radius).hypot(0.02 - 0.008);
    assert!((at(360, 0) - below).abs() < 1e-9, "{} {below}", at(360, 0));
    assert_eq!(map.gap_m[FINE.n_columns], map.gap_m[0]);
}

#[test]
fn exact_the_least_of_wall_and_deck_is_the_gap_of_the_check() {
    // From well clear to deep in the metal, upright and leaning.
    for (y_mm, tilt_deg) in [(20.0, 0.0), (22.0, 3.0), (22.4, -4.0), (23.6, 0.0), (24.5, 2.0), (26.0, 5.0)] {
        let cylinder = cylinder(y_mm, tilt_deg);
        let scene = Scene::new(&cylinder, &cylinder.head.valves[0]);
        let (valve, block) = (scene.valve(), scene.obstacle(Surrounding::Block));
        let least = sweep(&valve, &block, Surrounding::Block, scene.travel_m()).least.distance_m;
        let maps = both_maps(&block, &valve, scene.travel_m());
        let of_maps = maps.iter().map(DyeMap::least_gap_m).fold(f64::INFINITY, f64::min);
        // A cell is 0.18 mm wide and 0.25 mm high, and a gap changes by no more than the way to the next node.
        let off = of_maps - least;
        assert!((-2e-5..2e-4).contains(&off), "{y_mm} mm, {tilt_deg} deg: {of_maps} on the maps, {least}");
    }
}

#[test]
fn exact_a_relief_takes_the_contact_off_the_map() {
    let before = cylinder(24.0, 2.0);
    let limit = Length::new::<millimeter>(1.524);
    let room = Room { radial: limit, axial: limit, float: Length::default() };
    let shape = Shape::Cutter { corner_radius: Length::new::<millimeter>(1.0) };
    let cut = relief_cut(&before, &before.head.valves[0], room, shape).expect("a cut");
    let scene = Scene::new(&before, &before.head.valves[0]);
    let (valve, mut block) = (scene.valve(), scene.obstacle(Surrounding::Block));
    assert!(both_maps(&block, &valve, scene.travel_m())[0].least_gap_m() < 0.0);
    block.cuts.push(cut.cutter);
    for map in both_maps(&block, &valve, scene.travel_m()) {
        // The corner of 1 mm takes none of the room: a cutter is wider by it.
        assert!(map.least_gap_m() > 1.5e-3, "{}", map.least_gap_m());
    }
}

#[test]
fn exact_a_map_opened_elsewhere_is_the_same() {
    let cylinder = cylinder(23.6, 0.0);
    let scene = Scene::new(&cylinder, &cylinder.head.valves[0]);
    let map = &both_maps(&scene.obstacle(Surrounding::Block), &scene.valve(), scene.travel_m())[0];
    let opened = map.opened_at_widest();
    assert_eq!(opened.least_gap_m(), map.least_gap_m());
    // The valve is at +y: the wall is opened opposite.
    let seam = opened.seam_rad.to_degrees();
    assert!((seam - 270.0).abs() < 30.0, "{seam}");
    let width = map.n_columns + 1;
    let shift = (opened.seam_rad / std::f64::consts::TAU * map.n_columns as f64).round() as usize;
    assert_eq!(opened.gap_m[0], map.gap_m[shift]);
    assert_eq!(opened.gap_m[width - 1], opened.gap_m[0]);
}

#[test]
fn exact_the_least_of_the_crown_is_the_gap_of_the_check() {
    let parts = wren(&wren_motions(), Layout::WedgeFlat, &Off::default());
    let crank_deg: Vec<f64> = (0..240).map(|step| 300.0 + 0.5 * f64::from(step)).collect();
    let limits_m = vec![2e-3; parts.valves.len()];
    let map = crown(
        &parts,
        Turning { crank_deg: &crank_deg, limits_m: &limits_m },
        Fineness { n_columns: 720, n_rows: 160 },
    );
    let least = two_turns(&parts)
        .into_iter()
        .filter(|gap| matches!(gap.pair, Pair::ValveToPiston(_, Way::Axial)))
        .map(|gap| gap.gap_m)
        .fold(f64::INFINITY, f64::min);
    // A node is within 0.3 mm of the rim's lowest point, on a valve that leans less than 20 degrees; half a degree of the
    // crank is a few micrometres.
    let off = map.least_gap_m() - least;
    assert!((-1e-7..1.2e-4).contains(&off), "{} on the map, {least}", map.least_gap_m());
}
