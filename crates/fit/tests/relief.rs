//! Cuts in bore, deck and crown: the two-circle closed form, and solid booleans of OpenCascade (`checks/fit_relief`).

use fit::relief_cut::ReliefCut;
use fit::relief_cutter::{Cutter, Shape};
use fit::relief_fly_cut::FlyCut;
use fit::relief_mesh_cut::cut_mesh;
use fit::relief_mesh_pocket::pocket_mesh;
use fit::relief_volume::{Metal, removed_after_m3, removed_volume_m3};
use glam::DVec3;
use proptest::prelude::*;
use serde_json::Value;
use units::angle::degree;
use units::area::square_millimeter;
use units::length::millimeter;
use units::volume::cubic_millimeter;
use units::{Angle, Length, Volume};

const CASES: &str = include_str!("../../../checks/fit_relief/cases.json");

/// The data's millimetres in metres.
const MM: f64 = 1e-3;

fn cutter(end_mm: [f64; 3], tilt_deg: [f64; 2], radius_mm: f64, corner_mm: f64, layback_deg: f64) -> Cutter {
    let axis = DVec3::new(tilt_deg[0].to_radians().tan(), tilt_deg[1].to_radians().tan(), 1.0).normalize();
    let first = DVec3::new(axis.z, 0.0, -axis.x).normalize();
    let shape = Shape::LaidBack {
        corner_radius: Length::new::<millimeter>(corner_mm),
        layback: Angle::new::<degree>(layback_deg),
    };
    let end = DVec3::from_array(end_mm) * MM;
    Cutter::new(end, axis, [first, axis.cross(first)], radius_mm * MM, shape).expect("a possible cutter")
}

fn mm3(value: f64) -> Volume {
    Volume::new::<cubic_millimeter>(value)
}

/// Area of the circle of radius `cut`, its centre `off` from the bore's, outside the bore: circle less lens.
/// Weisstein, "Circle-Circle Intersection", MathWorld, equation 14 (from memory).
fn area_outside(bore: f64, off: f64, cut: f64) -> f64 {
    let half = |near: f64, far: f64| {
        near * near * ((off * off + near * near - far * far) / (2.0 * off * near)).acos()
    };
    let kite = ((-off + bore + cut) * (off + bore - cut) * (off - bore + cut) * (off + bore + cut)).sqrt();
    std::f64::consts::PI * cut * cut - (half(bore, cut) + half(cut, bore) - 0.5 * kite)
}

/// A thousandth and a hundredth of a cubic millimetre.
const FINE_M3: f64 = 1e-12;
const COARSE_M3: f64 = 1e-11;

#[test]
fn exact_a_cut_made_twice_takes_its_metal_once() {
    let metal = Metal::block(0.0508, 0.0008, 0.0008);
    let leaning = cutter([24.0, 3.0, -4.0], [5.0, -3.0], 28.5, 1.5, 20.0);
    let alone = removed_volume_m3(&leaning, &metal, FINE_M3);
    assert!(alone > 1e-8, "{alone}");
    assert!(removed_after_m3(&leaning, &[leaning], &metal, FINE_M3).abs() < FINE_M3);
    // What lies wholly inside another adds nothing; what is far away shares nothing.
    let inside = cutter([24.0, 3.0, -3.0], [5.0, -3.0], 26.0, 1.5, 20.0);
    assert!(removed_after_m3(&inside, &[leaning], &metal, FINE_M3).abs() < FINE_M3);
    let opposite = cutter([-24.0, 3.0, -4.0], [-5.0, -3.0], 28.5, 1.5, 0.0);
    let far = removed_volume_m3(&opposite, &metal, FINE_M3);
    assert!((removed_after_m3(&opposite, &[leaning], &metal, FINE_M3) - far).abs() < 2.0 * FINE_M3);
}

#[test]
fn exact_two_pockets_that_overlap_are_two_circles_less_a_lens() {
    // In a wide piston, both 2 mm deep: radius 18 and 15 mm, centres 25 mm apart.
    let metal = Metal::Piston { radius: 0.06 };
    let (one, other) = (
        cutter([0.0, 0.0, -2.0], [0.0; 2], 18.0, 0.0, 0.0),
        cutter([25.0, 0.0, -2.0], [0.0; 2], 15.0, 0.0, 0.0),
    );
    let both = removed_volume_m3(&one, &metal, FINE_M3) + removed_after_m3(&other, &[one], &metal, FINE_M3);
    let expected = 2.0 * (std::f64::consts::PI * 18.0 * 18.0 + area_outside(18.0, 25.0, 15.0));
    assert!((both * 1e9 - expected).abs() < 0.002, "{both} m3, expected {expected} mm3");
}

#[test]
fn exact_the_order_of_cuts_does_not_matter() {
    let metal = Metal::block(0.0508, 0.0008, 0.0008);
    let cutters = [
        cutter([24.0, 3.0, -4.0], [5.0, -3.0], 28.5, 1.5, 0.0),
        cutter([18.0, 19.0, -5.0], [2.0, 4.0], 26.5, 1.0, 25.0),
        cutter([22.0, -12.0, -3.0], [0.0, 0.0], 29.0, 0.0, 0.0),
    ];
    let sum = |order: [usize; 3]| {
        let [a, b, c] = order.map(|idx| cutters[idx]);
        removed_after_m3(&a, &[], &metal, COARSE_M3)
            + removed_after_m3(&b, &[a], &metal, COARSE_M3)
            + removed_after_m3(&c, &[a, b], &metal, COARSE_M3)
    };
    let alone: f64 = cutters.iter().map(|cutter| removed_volume_m3(cutter, &metal, COARSE_M3)).sum();
    let (one, other) = (sum([0, 1, 2]), sum([2, 1, 0]));
    // Each of six integrals is good to a hundredth of a cubic millimetre.
    assert!((one - other).abs() < 6.0 * COARSE_M3, "{one} {other}");
    assert!(one < alone - 1e-9, "they overlap: {one} m3 of {alone} m3");
}

#[test]
fn exact_upright_cut_in_a_sharp_bore_is_a_lens() {
    //            deck
    //   ---------+  |<- 1.7 over the bore
    //            |__|     4 deep
    //       bore    |
    let cut =
        ReliefCut::new(cutter([24.0, 0.0, -4.0], [0.0; 2], 28.5, 0.0, 0.0), Metal::block(0.0508, 0.0, 0.0));
    let area = area_outside(50.8, 24.0, 28.5);
    assert!((area - 32.45).abs() < 0.005, "{area}");
    assert!((cut.deck_area().get::<square_millimeter>() - area).abs() < 1e-9);
    assert!((cut.overhang().get::<millimeter>() - 1.7).abs() < 1e-9);
    assert!((cut.overhang_at_deck().get::<millimeter>() - 1.7).abs() < 1e-9);
    assert!((cut.depth().get::<millimeter>() - 4.0).abs() < 1e-12);
    let cos_half = (24.0_f64.powi(2) + 50.8_f64.powi(2) - 28.5_f64.powi(2)) / (2.0 * 24.0 * 50.8);
    let chord = 2.0 * 50.8 * (1.0 - cos_half * cos_half).sqrt();
    assert!((chord - 27.9).abs() < 0.05, "{chord}");
    // The ends of the chord are where the two circles part at a shallow angle: angles to 1e-11 rad give a nanometre.
    assert!((cut.chord().get::<millimeter>() - chord).abs() < 1e-6, "{:?}", cut.chord());
    for accuracy in [1.0, 1e-2, 1e-4, 1e-6] {
        let off = (cut.volume(mm3(accuracy)).get::<cubic_millimeter>() - 4.0 * area).abs();
        assert!(off < accuracy, "{off} mm3 off at {accuracy}");
    }
}

#[test]
fn exact_laid_back_cut_by_slices() {
    // Upright: every level section is a circle, so the volume is the integral of the closed-form area over the depth.
    let (bore, off, cut, depth) = (43.0, 19.0, 25.0, 5.0);
    let growth = 30.0_f64.to_radians().tan();
    let n = 20_000;
    let sum: f64 = (0..n)
        .map(|idx| area_outside(bore, off, cut + growth * depth * (f64::from(idx) + 0.5) / f64::from(n)))
        .sum();
    let expected = sum * depth / f64::from(n);
    let found = ReliefCut::new(
        cutter([0.0, off, -depth], [0.0; 2], cut, 0.0, 30.0),
        Metal::block(bore * MM, 0.0, 0.0),
    );
    for accuracy in [1e-1, 1e-3, 1e-5] {
        let by = (found.volume(mm3(accuracy)).get::<cubic_millimeter>() - expected).abs();
        // The midpoint sum itself is good to 1e-6 mm3.
        assert!(by < accuracy + 1e-6, "{by} mm3 off at {accuracy}");
    }
    assert!((found.overhang().get::<millimeter>() - (off + cut + growth * depth - bore)).abs() < 1e-9);
}

#[test]
fn exact_fly_cut_inside_the_crown_is_a_cylinder() {
    let piston = Metal::Piston { radius: 0.043 };
    let cut = FlyCut::new(cutter([15.0, 3.0, -2.5], [0.0; 2], 20.0, 0.0, 0.0), piston);
    let expected = std::f64::consts::PI * 400.0 * 2.5;
    let found = cut.volume(mm3(1e-4)).get::<cubic_millimeter>();
    assert!((found - expected).abs() < 1e-4, "{found}, expected {expected}");
    assert!((cut.crown_area().get::<square_millimeter>() - expected / 2.5).abs() < 1e-9);
    assert!(!cut.breaks_edge());
    assert_eq!(cut.floor_depth(), Length::new::<millimeter>(2.5));
}

#[test]
fn exact_cuts_just_past_half_a_turn() {
    // Angles are counted from -180 to 180 degrees: the farthest point lies next to where they start again.
    for y in [0.3, -0.3] {
        let cut = ReliefCut::new(
            cutter([-24.0, y, -4.0], [0.0; 2], 28.5, 0.5, 0.0),
            Metal::block(0.0508, 0.0, 0.0),
        );
        let expected = 24.0_f64.hypot(y) + 28.5 - 50.8;
        assert!((cut.overhang().get::<millimeter>() - expected).abs() < 1e-9, "{:?}", cut.overhang());
        assert!((cut.overhang_at_deck().get::<millimeter>() - expected).abs() < 1e-9);
        assert_eq!(cut.azimuths().len(), 1);
    }
}

#[test]
fn exact_cutters_that_do_not_reach_make_empty_cuts() {
    let block = Metal::block(0.0508, 0.0005, 0.0005);
    for (end, tilt) in
        [([10.0, 0.0, -4.0], [0.0; 2]), ([24.0, 0.0, 0.5], [0.0; 2]), ([24.0, 0.0, 30.0], [5.0, 3.0])]
    {
        let cut = ReliefCut::new(cutter(end, tilt, 28.5, 1.0, 0.0), block);
        assert!(cut.is_empty(), "{end:?}");
        assert_eq!(cut.volume(mm3(1e-3)), Volume::default());
        assert_eq!(
            (cut.overhang(), cut.depth(), cut.chord()),
            (Length::default(), Length::default(), Length::default())
        );
        assert_eq!(cut.deck_area().get::<square_millimeter>(), 0.0);
    }
}

#[test]
fn exact_outline_points_lie_on_cutter_or_bore() {
    let cut = ReliefCut::new(
        cutter([22.0, 9.0, -4.0], [-7.0, 3.0], 28.5, 2.0, 0.0),
        Metal::block(0.0508, 0.0008, 0.001),
    );
    let lines = cut.outline.polylines(1e-6);
    assert_eq!(lines.len(), 1);
    for p in &lines[0] {
        let (on_cutter, on_edge) = (cut.cutter.distance(p.extend(0.0)).abs(), (p.length() - 0.0516).abs());
        assert!(on_cutter.min(on_edge) < 1e-9, "{p}: {on_cutter}, {on_edge}");
    }
    let n = lines[0].len();
    for idx in 0..n {
        let middle = 0.5 * (lines[0][idx] + lines[0][(idx + 1) % n]);
        let (off_cutter, off_edge) =
            (cut.cutter.distance(middle.extend(0.0)).abs(), (middle.length() - 0.0516).abs());
        assert!(off_cutter.min(off_edge) < 1.1e-6, "chord at {middle}: {off_cutter}, {off_edge}");
    }
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().expect("the check data hold a number there")
}

fn case_cutter(case: &Value) -> Cutter {
    let c = &case["cutter"];
    cutter(
        [number(c, "x"), number(c, "y"), number(c, "z")],
        [number(c, "tilt_x"), number(c, "tilt_y")],
        number(c, "radius"),
        number(c, "corner"),
        number(c, "layback"),
    )
}

/// Issue and trade ask for volumes within 0.1 % and extents within 2 micrometres.
const VOLUME_SHARE: f64 = 1e-3;
const TWO_MICROMETRES: f64 = 2e-3;

#[expect(clippy::print_stdout, reason = "the largest difference is worth seeing")]
#[test]
fn val_opencascade_volumes_and_extents() {
    let data: Value = serde_json::from_str(CASES).expect("the check data are JSON");
    let cases = data["cases"].as_array().expect("a list of cases");
    assert!(cases.len() >= 60, "only {} cases", cases.len());
    let mut wrong = Vec::new();
    let (mut worst_volume, mut worst_extent) = (0.0_f64, 0.0_f64);
    let mut check_extent = |id: &Value, what: &str, found: f64, expected: f64| {
        worst_extent = worst_extent.max((found - expected).abs());
        if (found - expected).abs() > TWO_MICROMETRES {
            wrong.push(format!("case {id}: {what} {found}, kernel {expected}"));
        }
    };
    let mut off_volumes = Vec::new();
    for case in cases {
        let (id, m) = (&case["id"], &case["metal"]);
        let radius = number(m, "R");
        let accuracy = mm3(0.05 * VOLUME_SHARE * number(case, "volume"));
        let (volume, extent, outline) = if case["kind"] == "crown" {
            let cut = FlyCut::new(case_cutter(case), Metal::Piston { radius: radius * MM });
            (cut.volume(accuracy), cut.extent, cut.outline)
        } else {
            let metal = Metal::block(radius * MM, number(m, "w") * MM, number(m, "d") * MM);
            let cut = ReliefCut::new(case_cutter(case), metal);
            (cut.volume(accuracy), cut.extent, cut.outline)
        };
        let off = volume.get::<cubic_millimeter>() / number(case, "volume") - 1.0;
        worst_volume = worst_volume.max(off.abs());
        if off.abs() > VOLUME_SHARE {
            off_volumes.push(format!("case {id}: volume off by {off:.2e}"));
        }
        let Some(extent) = extent else {
            off_volumes.push(format!("case {id}: empty"));
            continue;
        };
        check_extent(id, "lowest", extent.lowest.z / MM, number(case, "lowest"));
        check_extent(id, "reach", extent.farthest.truncate().length() / MM, number(case, "reach"));
        if let Some(expected) = case["azimuths"].as_array() {
            for (end, expected) in [0, 1].map(|idx| (extent.azimuths[0][idx], &expected[idx])) {
                let turn = end.to_degrees() - expected.as_f64().expect("degrees");
                let turn = (turn + 540.0).rem_euclid(360.0) - 180.0;
                check_extent(id, "end on the wall", turn.to_radians() * radius, 0.0);
            }
        }
        if let Some(expected) = case["top_reach"].as_f64() {
            let farthest = outline.farthest.map_or(0.0, |p| p.length() / MM);
            check_extent(id, "reach at the top", farthest, expected);
        }
        let area = outline.area_m2() / (MM * MM);
        let expected = number(case, "top_area");
        // Chords of a micrometre lose at most a micrometre times the length of the outline.
        if (area - expected).abs() > 1e-3 * expected + 0.01 {
            off_volumes.push(format!("case {id}: area {area}, kernel {expected}"));
        }
    }
    wrong.extend(off_volumes);
    println!(
        "{} cases; largest difference: volume {worst_volume:.2e}, extent {worst_extent:.2e} mm",
        cases.len()
    );
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n"));
}

/// The mesh is chordal; a thousandth is what its doc comment promises.
const MESH_SHARE: f64 = 1e-3;

#[test]
fn val_opencascade_meshes_are_closed_and_hold_the_volume() {
    let data: Value = serde_json::from_str(CASES).expect("the check data are JSON");
    let mut wrong = Vec::new();
    let cases = data["cases"].as_array().expect("a list of cases");
    // Every fourth half dozen, which holds one of every kind.
    for case in cases.chunks(6).step_by(4).flatten() {
        let m = &case["metal"];
        let radius = number(m, "R") * MM;
        let mesh = if case["kind"] == "crown" {
            pocket_mesh(&FlyCut::new(case_cutter(case), Metal::Piston { radius }))
        } else {
            let metal = Metal::block(radius, number(m, "w") * MM, number(m, "d") * MM);
            cut_mesh(&ReliefCut::new(case_cutter(case), metal))
        };
        let off = mesh.volume_m3() / (MM * MM * MM) / number(case, "volume") - 1.0;
        if mesh.n_open_edges() > 0 || off.abs() > MESH_SHARE {
            wrong.push(format!(
                "case {} {}: {} open edges, volume off by {off:.2e}",
                case["id"],
                case["kind"],
                mesh.n_open_edges()
            ));
        }
    }
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    /// Turning cutter and all about the bore axis changes nothing but the azimuth.
    #[test]
    fn exact_turning_about_the_bore_changes_nothing(turn in 0.0..360.0_f64, lean in 0.0..15.0_f64) {
        let block = Metal::block(0.045, 0.0006, 0.0009);
        let make = |azimuth: f64| {
            let (sin, cos) = azimuth.to_radians().sin_cos();
            let tan = lean.to_radians().tan();
            let tilt = [(tan * cos).atan().to_degrees(), (tan * sin).atan().to_degrees()];
            ReliefCut::new(cutter([22.0 * cos, 22.0 * sin, -5.0], tilt, 26.0, 1.5, 0.0), block)
        };
        let (still, turned) = (make(0.0), make(turn));
        for (a, b) in [
            (still.overhang(), turned.overhang()),
            (still.depth(), turned.depth()),
            (still.chord(), turned.chord()),
        ] {
            prop_assert!((a - b).abs() < Length::new::<millimeter>(1e-5), "{a:?} {b:?}");
        }
        let by = (still.volume(mm3(1e-1)) - turned.volume(mm3(1e-1))).abs();
        prop_assert!(by < mm3(2e-1), "{by:?}");
    }
}
