//! Compression and clearance volume: closed forms, sensitivities, and how they move with each reading.

mod invented;

use std::f64::consts::{FRAC_PI_4, PI};

use invented::{bare, cc, inches, mm, round};
use parts::Cylinder;
use proptest::prelude::*;
use units::length::millimeter;
use units::volume::cubic_centimeter;
use units::{Length, Volume};
use volume::{
    ClearancePart, clearance_volumes, compression_ratio, crank_turns, piston_travel, quench,
    static_compression, swept_volume,
};

/// Relative rounding of a short chain of products.
const ROUNDING: f64 = 1e-12;

#[track_caller]
fn same(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "{got}, expected {expected} ± {within}");
}

fn cc_of(volume: Volume) -> f64 {
    volume.get::<cubic_centimeter>()
}

/// The trade's example with a real gasket opening: 4.030 x 3.48 in, 64 cc, 5 cc of valve reliefs, 0.025 in down,
/// gasket 4.10 x 0.039 in. Swept 727.41, clearance 82.66 cc, 9.80 without the land and 9.72 with it, worked by hand.
fn small_block() -> Cylinder {
    let mut cylinder = bare(inches(4.030), inches(3.48));
    cylinder.gasket.opening = round(inches(4.10));
    cylinder.gasket.thickness = inches(0.039);
    cylinder.head.chamber_volume = cc(64.0);
    cylinder.piston.crown_volume = cc(5.0);
    cylinder.piston.deck_offset = inches(-0.025);
    cylinder
}

#[test]
fn exact_round_numbers() {
    // pi/4 x 10 x 10 x 10 cm3 swept; a ninth of it above makes 10:1 to rounding.
    let mut cylinder = bare(mm(100.0), mm(100.0));
    same(cc_of(swept_volume(&cylinder.block)), FRAC_PI_4 * 1000.0, 1e-9);
    cylinder.head.chamber_volume = cc(FRAC_PI_4 * 1000.0 / 9.0);
    same(static_compression(&cylinder), 10.0, ROUNDING * 10.0);
    // A crown 1 mm down adds a hundredth of the swept volume, and its gasket of 2 mm two.
    cylinder.piston.deck_offset = mm(-1.0);
    cylinder.gasket.thickness = mm(2.0);
    let clearance = clearance_volumes(&cylinder);
    same(cc_of(clearance.deck), FRAC_PI_4 * 10.0, 1e-9);
    same(cc_of(clearance.gasket), FRAC_PI_4 * 20.0, 1e-9);
    same(quench(&cylinder).get::<millimeter>(), 3.0, 1e-12);
    assert_eq!(
        compression_ratio(Volume::new::<cubic_centimeter>(900.0), Volume::new::<cubic_centimeter>(100.0)),
        10.0
    );
}

#[test]
fn exact_trade_example_with_a_real_opening() {
    let mut cylinder = small_block();
    same(cc_of(swept_volume(&cylinder.block)), 727.41, 0.005);
    same(cc_of(clearance_volumes(&cylinder).total()), 82.66, 0.005);
    same(static_compression(&cylinder), 9.80, 0.005);
    cylinder.piston.land_clearance = inches(0.015);
    cylinder.piston.top_land_height = inches(0.25);
    same(cc_of(clearance_volumes(&cylinder).top_land), 0.78, 0.005);
    same(static_compression(&cylinder), 9.72, 0.01);
}

/// 1 cc costs 0.105 of a point there; 0.001 in of deck is 0.209 cc and 0.022 of a point.
#[test]
fn exact_trade_sensitivities() {
    let at = small_block();
    let base = static_compression(&at);
    let mut more = small_block();
    more.head.chamber_volume = cc(65.0);
    same(static_compression(&more) - base, -0.105, 0.0015);
    let mut lower = small_block();
    lower.piston.deck_offset = inches(-0.026);
    let deck = clearance_volumes(&lower).deck - clearance_volumes(&at).deck;
    same(cc_of(deck), 0.209, 0.0005);
    same(static_compression(&lower) - base, -0.022, 0.0005);
}

/// A land thinner than the bore, standing proud: the space counted piece by piece between ring and head is what the
/// plain formulas give.
///
/// ```text
///   head  ================
///         |  gasket      |   t
///   deck  |__  ______  __|        crown 0.8 above the deck
///         |  ||      ||  |
///         |  || land ||  |   h    ring 6 below the crown
///         |--++------++--|
/// ```
#[test]
fn exact_proud_piston_piece_by_piece() {
    let (bore, land_gap, height, proud, thickness) = (86.0, 0.5, 6.0, 0.8, 1.4);
    let mut cylinder = bare(mm(bore), mm(86.0));
    cylinder.piston.deck_offset = mm(proud);
    cylinder.piston.land_clearance = mm(land_gap);
    cylinder.piston.top_land_height = mm(height);
    cylinder.gasket.thickness = mm(thickness);
    let disc = |diameter: f64| FRAC_PI_4 * diameter * diameter;
    let land = bore - 2.0 * land_gap;
    let over_deck = disc(bore) * thickness - disc(land) * proud;
    let beside_land = (disc(bore) - disc(land)) * (height - proud);
    same(cc_of(clearance_volumes(&cylinder).total()), (over_deck + beside_land) / 1e3, 1e-9);
    same(quench(&cylinder).get::<millimeter>(), thickness - proud, 1e-12);
}

/// A chamfer is a frustum less the bore's own cylinder.
#[test]
fn exact_chamfer_is_a_frustum_less_a_cylinder() {
    let mut cylinder = bare(mm(82.0), mm(76.0));
    cylinder.block.chamfer_width = mm(0.9);
    cylinder.block.chamfer_depth = mm(1.5);
    let (small, large) = (41.0, 41.9);
    let frustum = PI / 3.0 * 1.5 * (small * small + small * large + large * large);
    same(cc_of(clearance_volumes(&cylinder).chamfer), (frustum - PI * small * small * 1.5) / 1e3, 1e-9);
}

/// Both ends of the travel from Pythagoras: e 12, L + r 40 (37.947...) and L - r 13 (exactly 5).
#[test]
fn exact_pin_offset_lengthens_the_travel() {
    let mut block = bare(mm(80.0), mm(27.0)).block;
    block.rod_length = mm(26.5);
    block.pin_offset = mm(12.0);
    assert!(crank_turns(&block));
    same(piston_travel(&block).get::<millimeter>(), (40.0f64 * 40.0 - 144.0).sqrt() - 5.0, 1e-12);
    block.pin_offset = mm(-12.0);
    same(piston_travel(&block).get::<millimeter>(), (40.0f64 * 40.0 - 144.0).sqrt() - 5.0, 1e-12);
    block.pin_offset = mm(14.0);
    assert!(!crank_turns(&block));
    assert_eq!(piston_travel(&block), block.stroke.value);
}

/// Makes one reading larger, so that there is more space above the piston.
type Grow = fn(&mut Cylinder, Length);

prop_compose! {
    fn any_cylinder()(
        bore in 40.0..140.0f64,
        stroke in 0.5..1.6f64,
        rod in 1.4..2.4f64,
        offset in -2.0..2.0f64,
        chamber in 0.06..0.2f64,
        opening in 0.0..4.0f64,
        thickness in 0.2..2.5f64,
        deck in -1.5..0.15f64,
        crown in -0.02..0.05f64,
        land in 0.05..0.6f64,
        height in 2.0..12.0f64,
        chamfer in 0.0..1.2f64,
    ) -> Cylinder {
        let stroke = bore * stroke;
        let swept_cc = FRAC_PI_4 * bore * bore * stroke / 1e3;
        let mut cylinder = bare(mm(bore), mm(stroke));
        cylinder.block.rod_length = mm(rod * stroke);
        cylinder.block.pin_offset = mm(offset);
        cylinder.block.chamfer_width = mm(chamfer);
        cylinder.block.chamfer_depth = mm(chamfer);
        cylinder.head.chamber_volume = cc(chamber * swept_cc);
        cylinder.gasket.opening = round(mm(bore + opening));
        cylinder.gasket.thickness = mm(thickness);
        cylinder.piston.deck_offset = mm(deck);
        cylinder.piston.crown_volume = cc(crown * swept_cc);
        cylinder.piston.land_clearance = mm(land);
        cylinder.piston.top_land_height = mm(height);
        cylinder
    }
}

proptest! {
    /// Whatever adds space above the piston costs compression.
    #[test]
    fn exact_compression_falls_with_every_volume(cylinder in any_cylinder(), more in 0.001..1.0f64) {
        let before = static_compression(&cylinder);
        let grow: [(&str, Grow); 7] = [
            ("chamber", |c, by| c.head.chamber_volume.value += by * by * by * 1e3),
            ("crown", |c, by| c.piston.crown_volume.value += by * by * by * 1e3),
            ("thickness", |c, by| c.gasket.thickness.value += by),
            ("deck", |c, by| c.piston.deck_offset.value -= by),
            ("opening", |c, by| {
                let parts::Shape::Circle { diameter } = &mut c.gasket.opening.shape else { unreachable!() };
                diameter.value += by;
            }),
            ("land", |c, by| c.piston.top_land_height.value += by),
            ("chamfer", |c, by| {
                c.block.chamfer_width.value += by;
                c.block.chamfer_depth.value += by;
            }),
        ];
        for (what, grow) in grow {
            let mut larger = cylinder.clone();
            grow(&mut larger, mm(more).value);
            prop_assert!(static_compression(&larger) < before, "{what}");
        }
        let mut stroked = cylinder.clone();
        stroked.block.stroke.value += mm(more).value;
        prop_assert!(static_compression(&stroked) > before, "stroke");
    }

    /// Without pin offset the rod does not matter at all; with it, no more than its first-order term, twice over.
    #[test]
    fn exact_compression_is_independent_of_the_rod(cylinder in any_cylinder(), rod in 1.4..2.4f64) {
        let (mut one, mut other) = (cylinder.clone(), cylinder);
        other.block.rod_length.value = rod * other.block.stroke.value;
        let share = |c: &Cylinder| {
            let (r, l) = (c.block.stroke.value / 2.0, c.block.rod_length.value);
            let e = c.block.pin_offset.value;
            (e * e / (2.0 * (l * l - r * r))).value
        };
        let most = 2.0 * (share(&one) + share(&other));
        let (a, b) = (static_compression(&one), static_compression(&other));
        prop_assert!((a - b).abs() <= most * a + ROUNDING * a, "{a} {b}");
        one.block.pin_offset = mm(0.0);
        other.block.pin_offset = mm(0.0);
        prop_assert_eq!(static_compression(&one), static_compression(&other));
    }

    /// The parts add up, and the engine may be drawn at any scale.
    #[test]
    fn exact_parts_add_up_and_scale(cylinder in any_cylinder(), scale in 0.3..3.0f64) {
        let clearance = clearance_volumes(&cylinder);
        let sum: f64 = ClearancePart::ALL.iter().map(|part| cc_of(clearance.of(*part))).sum();
        prop_assert!((sum - cc_of(clearance.total())).abs() < 1e-9);
        let mut scaled = cylinder.clone();
        parts::readings::Visit::visit(&mut scaled, "", &mut |_, reading| match reading.kind {
            parts::readings::Kind::Length => *reading.value_si *= scale,
            parts::readings::Kind::Volume => *reading.value_si *= scale.powi(3),
            _ => {}
        });
        let (a, b) = (static_compression(&cylinder), static_compression(&scaled));
        prop_assert!((a - b).abs() < 1e-9 * a, "{a} {b}");
    }
}
