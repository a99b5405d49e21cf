//! Gaps and first contacts against a solid-geometry kernel: `checks/fit_valve_gap`, 360 cases of ten lifts each.

use fit::Surrounding;
use fit::first_contact::sweep;
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
    let (mut worst_gap, mut worst_contact, mut n_contacts) = (0.0_f64, 0.0_f64, 0);
    let mut wrong = Vec::new();
    for case in cases {
        let (valve, (metal, surrounding)) = (valve(case), metal(case));
        let (lifts, gaps) = (lengths(&case["lifts"]), lengths(&case["gaps"]));
        for (lift, expected) in lifts.iter().zip(&gaps) {
            let found = gap_m(&valve, &metal, *lift);
            worst_gap = worst_gap.max((found - expected).abs());
            if (found - expected).abs() > ONE_MICROMETRE_M {
                wrong.push(format!("case {} lift {lift}: gap {found}, kernel {expected}", case["id"]));
            }
        }
        if case["grazing"].as_bool() == Some(true) {
            continue;
        }
        let travel = lifts[lifts.len() - 1];
        let found = sweep(&valve, &metal, surrounding, travel).first_contact.map(|gap| gap.lift_m);
        match (found, case["first_contact"].as_f64().map(|lift| lift * MM)) {
            (None, None) => {}
            (Some(found), Some(expected)) => {
                n_contacts += 1;
                worst_contact = worst_contact.max((found - expected).abs());
                if (found - expected).abs() > ONE_MICROMETRE_M {
                    wrong.push(format!("case {}: first contact {found}, kernel {expected}", case["id"]));
                }
            }
            (found, expected) => {
                wrong.push(format!("case {}: first contact {found:?}, kernel {expected:?}", case["id"]));
            }
        }
    }
    println!(
        "{} cases, {n_contacts} contacts; largest difference: gap {:.2e} m, first contact {:.2e} m",
        cases.len(),
        worst_gap,
        worst_contact
    );
    assert!(wrong.is_empty(), "{} differ by more than 1 micrometre:\n{}", wrong.len(), wrong.join("\n"));
    assert!(n_contacts > 50, "only {n_contacts} contacts");
}
