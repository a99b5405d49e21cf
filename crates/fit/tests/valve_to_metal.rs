//! Gaps and first contacts against a solid-geometry kernel: `checks/fit_valve_gap`, 360 cases of ten lifts each.

use fit::Surrounding;
use fit::first_contact::sweep;
use fit::front::first_contact_m;
use fit::solid::{Obstacle, Plan, ValveHead};
use fit::valve_to_metal::gap_m;
use glam::DVec3;
use serde_json::Value;

const CASES: &str = include_str!("../../../checks/fit_valve_gap/cases.json");

/// What issue and trade ask for; the kernel's own numbers are rounded to a ten-thousandth of it.
const ONE_MICROMETRE_M: f64 = 1e-6;

/// The data's millimetres in metres.
const MM: f64 = 1e-3;

fn degrees(value: &Value, key: &str) -> f64 {
    value[key].as_f64().expect("the check data hold a number there").to_radians()
}

fn length(value: &Value, key: &str) -> f64 {
    value[key].as_f64().expect("the check data hold a number there") * MM
}

fn lengths(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|v| v.as_f64().expect("of numbers") * MM).collect()
}

fn valve(case: &Value) -> ValveHead {
    let v = &case["valve"];
    ValveHead::new(
        length(v, "rv"),
        length(v, "m"),
        degrees(v, "seat"),
        length(v, "rs"),
        DVec3::new(length(v, "x"), length(v, "y"), length(v, "z_seated")),
        [degrees(v, "tilt_x"), degrees(v, "tilt_y")],
    )
}

fn metal(case: &Value) -> (Obstacle, Surrounding) {
    if let Some(block) = case.get("block").filter(|block| !block.is_null()) {
        let metal = Obstacle::block(length(block, "R"), length(block, "w"), length(block, "d"));
        return (metal, Surrounding::Block);
    }
    let plate = &case["plate"];
    let outline = &plate["outline"];
    let plan = if let Some(circle) = outline.get("circle") {
        let circle = lengths(circle);
        Plan::Circle { center: [circle[0], circle[1]], radius: circle[2] }
    } else {
        let corners = outline["polygon"].as_array().expect("a list of corners");
        Plan::polygon(corners.iter().map(|p| [lengths(p)[0], lengths(p)[1]]).collect(), 0.0)
    };
    (Obstacle::plate(plan, length(plate, "z0"), length(plate, "z1")), Surrounding::Gasket)
}

#[test]
fn val_opencascade_gaps_and_first_contacts() {
    let data: Value = serde_json::from_str(CASES).expect("the check data are JSON");
    let cases = data["cases"].as_array().expect("a list of cases");
    assert!(cases.len() >= 300, "only {} cases", cases.len());
    let mut n_contacts = 0;
    let mut wrong = Vec::new();
    for case in cases {
        let (valve, (metal, surrounding)) = (valve(case), metal(case));
        let (lifts, gaps) = (lengths(&case["lifts"]), lengths(&case["gaps"]));
        for (lift, expected) in lifts.iter().zip(&gaps) {
            let found = gap_m(&valve, &metal, *lift);
            if (found - expected).abs() > ONE_MICROMETRE_M {
                wrong.push(format!("case {} lift {lift}: gap {found}, kernel {expected}", case["id"]));
            }
        }
        if case["grazing"].as_bool() == Some(true) {
            continue;
        }
        let travel = lifts[lifts.len() - 1];
        // The other way to the same lift. It does not notice a seated valve that stands in the metal behind its face.
        let by_front = Some(first_contact_m(&valve, &metal)).filter(|lift| *lift <= travel);
        if case["first_contact"].as_f64() != Some(0.0) {
            let expected = case["first_contact"].as_f64().map(|lift| lift * MM);
            let agree = match (by_front, expected) {
                (Some(found), Some(expected)) => (found - expected).abs() < ONE_MICROMETRE_M,
                (found, expected) => found.is_some() == expected.is_some(),
            };
            if !agree {
                wrong.push(format!("case {}: by the front {by_front:?}, kernel {expected:?}", case["id"]));
            }
        }
        let found = sweep(&valve, &metal, surrounding, travel).first_contact.map(|gap| gap.lift_m);
        match (found, case["first_contact"].as_f64().map(|lift| lift * MM)) {
            (None, None) => {}
            (Some(found), Some(expected)) => {
                n_contacts += 1;
                if (found - expected).abs() > ONE_MICROMETRE_M {
                    wrong.push(format!("case {}: first contact {found}, kernel {expected}", case["id"]));
                }
            }
            (found, expected) => {
                wrong.push(format!("case {}: first contact {found:?}, kernel {expected:?}", case["id"]));
            }
        }
    }
    assert!(wrong.is_empty(), "{} differ by more than 1 micrometre:\n{}", wrong.len(), wrong.join("\n"));
    assert!(n_contacts > 50, "only {n_contacts} contacts");
}
