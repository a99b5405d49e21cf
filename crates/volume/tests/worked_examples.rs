//! Published worked examples of compression ratio: `checks/compression_worked_examples`.

mod invented;

use invented::{bare, cc, inches, mm, round};
use parts::Cylinder;
use serde_json::Value;
use units::Volume;
use units::length::millimeter;
use units::volume::cubic_centimeter;
use volume::{clearance_volumes, compression_ratio, static_compression, swept_volume};

fn checks() -> Value {
    serde_json::from_str(include_str!("../../../checks/compression_worked_examples/examples.json"))
        .expect("the check's file is JSON")
}

fn number(from: &Value, key: &str) -> f64 {
    from[key].as_f64().unwrap_or_else(|| panic!("a number {key} in {from}"))
}

/// An example's cylinder; what it does not have is nothing.
fn cylinder(example: &Value) -> Cylinder {
    let or_nothing = |key: &str| example[key].as_f64().unwrap_or_default();
    let mut cylinder = bare(mm(number(example, "bore_mm")), mm(number(example, "stroke_mm")));
    // The articles take the bore for the gasket's opening.
    cylinder.gasket.opening = round(cylinder.block.bore);
    cylinder.gasket.thickness = mm(or_nothing("gasket_mm"));
    cylinder.piston.deck_offset = mm(or_nothing("deck_offset_mm"));
    cylinder.piston.crown_volume = cc(or_nothing("crown_cc"));
    cylinder.head.chamber_volume = cc(or_nothing("chamber_cc"));
    cylinder
}

#[track_caller]
fn check(id: &str, what: &str, printed: &Value, got: f64) -> usize {
    if printed.is_null() {
        return 0;
    }
    let (value, within) = (number(printed, "value"), number(printed, "within"));
    assert!((got - value).abs() <= within, "example {id}: {what} {got}, published {value} (± {within})");
    1
}

/// Racing press and workshop articles, named in the check's file.
#[test]
fn val_press_worked_examples_of_compression() {
    let mut n_figures = 0;
    for example in checks()["examples"].as_array().expect("a list of examples") {
        let id = example["id"].as_str().expect("a name");
        let cylinder = cylinder(example);
        let clearance = clearance_volumes(&cylinder);
        let volumes = [
            ("swept", swept_volume(&cylinder.block)),
            ("deck", clearance.deck),
            ("gasket", clearance.gasket),
        ];
        for (what, got) in volumes {
            let printed = &example[what];
            let unit_cc = printed["unit_cc"].as_f64().unwrap_or(1.0);
            n_figures += check(id, what, printed, got.get::<cubic_centimeter>() / unit_cc);
        }
        n_figures += check(id, "ratio", &example["ratio"], static_compression(&cylinder));
    }
    assert_eq!(n_figures, 14);
}

/// What 10 cc more chamber costs a 0.67 L cylinder near 10:1, and a forum's worked answer for 5 cc of 625.
#[test]
fn val_practice_more_chamber_costs_compression() {
    let practice = &checks()["practice"];
    let after = |rule: &Value| {
        let cc = |value: f64| Volume::new::<cubic_centimeter>(value);
        let (swept, before) = (number(rule, "swept_cc"), number(rule, "ratio_before"));
        compression_ratio(cc(swept), cc(swept / (before - 1.0) + number(rule, "chamber_more_cc")))
    };
    let ten = &practice["ten_cc"];
    let lost = number(ten, "ratio_before") - after(ten);
    assert!((lost - number(ten, "points_lost")).abs() < number(ten, "within"), "{lost} points");
    let five = &practice["five_cc"];
    let got = after(five);
    assert!((got - number(five, "ratio_after")).abs() < number(five, "within"), "{got}");
}

/// The article's rise at closing, put in for the travel that is left, is what makes its dynamic compression.
#[test]
fn val_press_dynamic_compression_takes_the_rise_off_the_stroke() {
    let closing = &checks()["closing"];
    let rise = mm(number(&closing["rise"], "value") * number(&closing["rise"], "unit_mm")).value;
    let mut cylinder = bare(inches(4.030), mm(number(closing, "stroke_mm")));
    cylinder.head.chamber_volume = cc(82.66);
    let left = cylinder.block.stroke.value - rise;
    let got = volume::effective_compression(&cylinder, left);
    // pi/4 4.030^2 x 2.5747 in3 = 538.17 cc over 82.66 cc, by hand.
    assert!((got - 7.5107).abs() < 1e-4, "{got} with {} mm left", left.get::<millimeter>());
}
