//! What reliefs leave, against closed forms of upright cuts.

use fit::relief_chamfer::chamfer_left;
use fit::relief_crown::{Groove, crown_left, land_above_groove, to_groove};
use fit::relief_cut::ReliefCut;
use fit::relief_cutter::{Cutter, Shape};
use fit::relief_fly_cut::FlyCut;
use fit::relief_margin::Margin;
use fit::relief_to_gasket::{to_fire_ring, to_gasket_opening};
use fit::relief_to_holes::{Hole, to_hole, to_next_bore, to_next_cut};
use fit::relief_volume::Metal;
use fit::ring_land::{Rise, to_top_ring};
use fit::solid::Plan;
use fit::wall_left::{deck_left, wall_left, wall_left_at};
use glam::DVec3;
use parts::{Piston, WallReading};
use units::angle::degree;
use units::length::millimeter;
use units::{Angle, Length, Reading, Volume};

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn upright(x: f64, z: f64, radius: f64) -> Cutter {
    let shape = Shape::Cutter { corner_radius: mm(0.0) };
    let end = DVec3::new(x, 0.0, z) * 1e-3;
    Cutter::new(end, DVec3::Z, [DVec3::X, DVec3::Y], radius * 1e-3, shape).expect("a possible cutter")
}

/// 1.7 mm beyond a 101.6 mm bore toward the front, 4 mm deep.
fn cut() -> ReliefCut {
    ReliefCut::new(upright(24.0, -4.0, 28.5), Metal::block(0.0508, 0.0, 0.0))
}

/// 24 mm off the axis of an 86 mm piston, 2.5 mm deep.
fn pocket(radius: f64) -> FlyCut {
    FlyCut::new(upright(20.0, -2.5, radius), Metal::Piston { radius: 0.043 })
}

fn piston(deck_offset: f64, land: f64) -> Piston {
    let reading = |value: f64| Reading::measured(mm(value), mm(0.0));
    Piston {
        deck_offset: reading(deck_offset),
        crown_volume: Reading::measured(Volume::default(), Volume::default()),
        land_clearance: reading(0.4),
        top_land_height: reading(land),
        compression_height: reading(40.0),
        skirt_clearance: reading(0.08),
        skirt_length: reading(50.0),
        dome: None,
        dish: None,
        pockets: Vec::new(),
        fly_cuts: Vec::new(),
        fly_cut_volume: None,
        metal: parts::CrownMetal::default(),
        drops: Vec::new(),
    }
}

fn check(margin: Option<Margin>, left_mm: f64, place_mm: [f64; 3]) {
    let margin = margin.expect("a margin");
    let left = margin.left.get::<millimeter>();
    // Places are polished on flat minima: the square root of what the value is good for.
    assert!((left - left_mm).abs() < 1e-6, "{left} left, expected {left_mm}");
    assert!((margin.place_m * 1e3 - DVec3::from_array(place_mm)).length() < 0.02, "at {} m", margin.place_m);
}

#[test]
fn exact_gasket_and_fire_ring() {
    // Opening 0.8 mm over the bore: the cut comes out 0.9 mm beyond its edge.
    let opening = Plan::Circle { center: [0.0, 0.0], radius: 0.0516 };
    check(to_gasket_opening(&cut(), &opening), -0.9, [52.5, 0.0, 0.0]);
    check(to_fire_ring(&cut(), &opening, mm(1.5)), 0.6, [52.5, 0.0, 0.0]);
    // A straight edge, nearest at the foremost point too.
    let square = Plan::polygon(vec![[-0.06, -0.06], [0.053, -0.06], [0.053, 0.06], [-0.06, 0.06]], 0.0);
    check(to_gasket_opening(&cut(), &square), 0.5, [52.5, 0.0, 0.0]);
}

#[test]
fn exact_top_ring() {
    // Ring 6 mm below a deck that the crown stands 0.5 mm under, rising by 0.8 mm: 5.7 mm down, 1.7 mm below the
    // floor.
    let rise = Rise { growth: mm(0.7), rock: mm(0.1) };
    let left = to_top_ring(&cut(), &piston(-0.5, 6.0), rise).expect("a margin").left;
    assert!((left - mm(1.7)).abs() < mm(1e-9), "{left:?}");
    let left = to_top_ring(&cut(), &piston(0.0, 4.0), rise).expect("a margin").left;
    assert!((left - mm(-0.8)).abs() < mm(1e-9), "{left:?}");
}

#[test]
fn exact_wall_and_deck() {
    let reading = |azimuth: f64, below, wall| WallReading {
        clockwise: Reading::measured(Angle::new::<degree>(-azimuth), Angle::new::<degree>(0.0)),
        below_deck: Reading::measured(mm(below), mm(0.0)),
        thickness: Reading::measured(mm(wall), mm(0.1)),
    };
    let even: Vec<_> = [0.0, 90.0, 180.0, 270.0].map(|azimuth| reading(azimuth, 8.0, 6.0)).into();
    let margin = wall_left(&cut(), &even).expect("measured");
    let left = margin.left;
    let again = wall_left_at(&cut(), &even, margin.place_m.to_array()).expect("measured");
    let again = again.left.value;
    assert!((again - left.value).abs() < 1e-9, "{again}");
    assert!((left - mm(6.0 - 1.7)).abs() < mm(1e-6), "{left:?}");
    assert_eq!(wall_left(&cut(), &[]), None);
    assert_eq!(wall_left(&cut(), &even[1..2]), None);
    let deck = deck_left(&cut(), Some(mm(9.0))).expect("measured").left;
    assert!((deck - mm(5.0)).abs() < mm(1e-9));
    assert_eq!(deck_left(&cut(), None), None);
}

#[test]
fn exact_neighbours() {
    let hole = |x: f64, y: f64| Hole { name: "water".into(), x: mm(x), y: mm(y), diameter: mm(8.0) };
    check(to_hole(&cut(), &hole(60.0, 0.0)), 60.0 - 52.5 - 4.0, [52.5, 0.0, 0.0]);
    // Straight off the cutter's own middle, where the cut ends on the bore: nearest is that corner.
    let off = to_hole(&cut(), &hole(24.0, 60.0)).expect("a margin").left.get::<millimeter>();
    let corner = [
        (24.0_f64.powi(2) + 50.8_f64.powi(2) - 28.5_f64.powi(2)) / 48.0,
        0.5 * cut().chord().get::<millimeter>(),
    ];
    let expected = (corner[0] - 24.0).hypot(60.0 - corner[1]) - 4.0;
    assert!((off - expected).abs() < 1e-5, "{off}, expected {expected}");
    check(to_next_bore(&cut(), mm(111.0), true, true), 111.0 - 52.5 - 50.8, [52.5, 0.0, 0.0]);
    let rear = to_next_bore(&cut(), mm(111.0), false, true).expect("a margin").left;
    assert!(rear > mm(50.0), "{rear:?}");
    assert_eq!(to_next_bore(&cut(), mm(111.0), false, false), None);
    let mirrored = ReliefCut::new(upright(-24.0, -4.0, 28.5), Metal::block(0.0508, 0.0, 0.0));
    let between = to_next_cut(&cut(), &mirrored, mm(111.0)).expect("a margin").left.get::<millimeter>();
    // Points of the other outline stand up to 0.5 mm apart.
    assert!((between - 6.0).abs() < 0.005, "{between}");
}

#[test]
fn exact_chamfer() {
    let block = Metal::block(0.0508, 0.001, 0.001);
    let deep = chamfer_left(&ReliefCut::new(upright(24.0, -4.0, 28.5), block)).expect("cut");
    assert!((deep.strip.left - mm(-3.0)).abs() < mm(1e-9));
    let shallow = chamfer_left(&ReliefCut::new(upright(24.0, -0.4, 28.5), block)).expect("cut");
    assert!((shallow.strip.left - mm(0.6)).abs() < mm(1e-9));
}

#[test]
fn exact_crown_and_groove() {
    let piston = piston(0.0, 5.0);
    let groove = Some(Groove { depth: mm(4.0), height: mm(1.2) });
    let left = crown_left(&pocket(18.0), Some(mm(7.0))).expect("measured").left;
    assert!((left - mm(4.5)).abs() < mm(1e-9));
    assert_eq!(crown_left(&pocket(18.0), None), None);
    // 38 mm from the axis at the farthest, 1 mm inside the groove's back and 2.5 mm above its upper face.
    assert_eq!(land_above_groove(&pocket(18.0), &piston), None);
    check(to_groove(&pocket(18.0), &piston, groove), 1.0_f64.hypot(2.5), [39.0, 0.0, -5.0]);
    // Out of the side: 2.5 mm of land above the groove, the same above its upper face.
    let broken = land_above_groove(&pocket(26.0), &piston).expect("comes out").left;
    assert!((broken - mm(2.5)).abs() < mm(1e-9));
    let to_face = to_groove(&pocket(26.0), &piston, groove).expect("measured").left;
    assert!((to_face - mm(2.5)).abs() < mm(1e-9));
    assert_eq!(to_groove(&pocket(26.0), &piston, None), None);
}

#[test]
fn exact_empty_cuts_leave_everything() {
    let none = ReliefCut::new(upright(10.0, -4.0, 28.5), Metal::block(0.0508, 0.0005, 0.0005));
    let opening = Plan::Circle { center: [0.0, 0.0], radius: 0.0516 };
    assert_eq!(to_gasket_opening(&none, &opening), None);
    assert_eq!(
        to_top_ring(&none, &piston(0.0, 5.0), fit::ring_land::rise_of(&piston(0.0, 5.0), mm(101.6))),
        None
    );
    assert_eq!(chamfer_left(&none), None);
    assert_eq!(deck_left(&none, Some(mm(8.0))), None);
}
