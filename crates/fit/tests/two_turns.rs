//! Least gaps over two turns of the crank against brute force: `checks/fit_two_turns`, 130 builds with two valves each, and
//! some of them with a piston that leans, a lofting exhaust valve, a phased intake and a chamber.

use fit::lift_law::{LiftLaw, Lofted};
use fit::piston_edge_to_chamber::PistonTop;
use fit::solid::{Crown, Cup, Dome, Obstacle, Plan, ValveHead};
use fit::two_turns::{MovingParts, MovingValve, Pair, Way, two_turns};
use glam::DVec3;
use motion::SliderCrank;
use serde_json::Value;
use units::Length;
use units::length::millimeter;

const CASES: &str = include_str!("../../../checks/fit_two_turns/cases.json");
const LEANING: &str = include_str!("../../../checks/fit_two_turns/leaning.json");

/// What the trade can use; the reference is good to a twentieth of it.
const GAP_TOLERANCE_M: f64 = 2e-6;
const ANGLE_TOLERANCE_DEG: f64 = 0.05;

/// The data's millimetres in metres.
const MM: f64 = 1e-3;

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().expect("the check data hold a number there")
}

fn length(value: &Value, key: &str) -> f64 {
    number(value, key) * MM
}

fn tilts(value: &Value) -> [f64; 2] {
    ["tilt_x", "tilt_y"].map(|key| number(value, key).to_radians())
}

/// The lift law of the data: `max (1 - s^2)^power`, s from the peak in half durations.
struct Law {
    max_m: f64,
    peak_deg: f64,
    open_deg: f64,
    close_deg: f64,
    power: f64,
}

impl LiftLaw for Law {
    fn lift_m(&self, crank_deg: f64) -> f64 {
        let away = (crank_deg - self.peak_deg + 360.0).rem_euclid(720.0) - 360.0;
        let s = away / if away < 0.0 { self.open_deg } else { self.close_deg };
        self.max_m * (1.0 - s * s).max(0.0).powf(self.power)
    }

    fn nose_deg(&self) -> f64 {
        self.peak_deg
    }
}

fn moving_valve(valve: &Value) -> MovingValve<Lofted<Law>> {
    let law = &valve["lift"];
    let pocket = Some(&valve["pocket"]).filter(|pocket| !pocket.is_null());
    let cup = pocket
        .map(|p| Cup::new(length(p, "x"), length(p, "y"), length(p, "depth"), length(p, "r"), tilts(p)));
    MovingValve {
        head: ValveHead::new(
            length(valve, "rv"),
            length(valve, "m"),
            number(valve, "seat").to_radians(),
            length(valve, "rs"),
            DVec3::new(length(valve, "x"), length(valve, "y"), length(valve, "z_seated")),
            tilts(valve),
        ),
        lift: Lofted {
            law: Law {
                max_m: length(law, "max"),
                peak_deg: number(law, "peak"),
                open_deg: number(law, "open"),
                close_deg: number(law, "close"),
                power: number(law, "power"),
            },
            loft_m: law["loft"].as_f64().unwrap_or(0.0) * MM,
        },
        pocket: cup.map(|_| 0),
        crown: Crown::new(cup.into_iter().collect(), None),
    }
}

fn moving_parts(case: &Value) -> MovingParts<Lofted<Law>> {
    let crank = &case["crank"];
    let given = |key: &str| Some(&case[key]).filter(|value| !value.is_null());
    let dome = given("dome").map(|dome| Dome {
        base_radius: length(dome, "base"),
        top_radius: length(dome, "top"),
        height: length(dome, "height"),
    });
    let wall = |chamber: &Value| {
        let face = length(case, "gasket");
        let plan = Plan::Circle {
            center: [length(chamber, "x"), length(chamber, "y")],
            radius: length(chamber, "r"),
        };
        Obstacle::plate(plan, face, face + length(chamber, "height"))
    };
    let mm = |key: &str| Length::new::<millimeter>(number(crank, key));
    MovingParts {
        crank: SliderCrank::new(mm("stroke"), mm("rod"), mm("pin_offset")).expect("a crank that turns"),
        deck_offset_m: length(case, "deck_offset"),
        rock_rad: case["rock"].as_f64().unwrap_or(0.0),
        top: PistonTop { radius_m: case["piston_radius"].as_f64().unwrap_or(45.0) * MM, dome },
        chamber: given("chamber").map(wall),
        pin_m: [0, 1].map(|idx| case["pin"][idx].as_f64().unwrap_or(0.0) * MM),
        head_face_m: length(case, "gasket"),
        valves: case["valves"].as_array().expect("a list of valves").iter().map(moving_valve).collect(),
    }
}

/// Where the data hold a pair's least gap and its angle.
fn expected(case: &Value, pair: Pair) -> &Value {
    match pair {
        Pair::ValveToPiston(idx, way) => {
            let key = match way {
                Way::Vertical => "vertical",
                Way::Axial => "axial",
                Way::Distance => "distance",
                Way::Radial => "radial",
            };
            &case["valve_to_piston"][idx][key]
        }
        Pair::ValveToValve(..) => &case["valve_to_valve"],
        Pair::PistonToHead => &case["quench"],
        Pair::PistonEdge => &case["piston_edge"],
    }
}

#[test]
fn val_brute_force_least_gaps_and_their_angles() {
    check(CASES, 130);
}

/// The straight way up along the bore is not in these data.
#[test]
fn val_brute_force_leaning_pistons_loft_and_chamber() {
    check(LEANING, 25);
}

/// Leaning builds hold no gaps but those a lean, a phase or a loft changes.
fn is_not_asked(case: &Value, pair: Pair) -> bool {
    let leaning = !case["rock"].is_null();
    leaning
        && matches!(pair, Pair::ValveToPiston(_, Way::Vertical) | Pair::ValveToValve(..) | Pair::PistonToHead)
}

fn check(text: &str, n_least: usize) {
    let data: Value = serde_json::from_str(text).expect("the check data are JSON");
    let cases = data["cases"].as_array().expect("a list of cases");
    assert!(cases.len() >= n_least, "only {} cases", cases.len());
    let (mut wrong, mut n_gaps, mut n_angles) = (Vec::new(), 0, 0);
    let (mut worst_gap, mut worst_angle) = (0.0_f64, 0.0_f64);
    for case in cases {
        let parts = moving_parts(case);
        for least in two_turns(&parts) {
            let expected = expected(case, least.pair);
            if is_not_asked(case, least.pair) {
                continue;
            }
            let Some(gap) = expected[0].as_f64().or(expected.as_f64()) else {
                wrong.push(format!("case {}: {least:?}, brute force none", case["id"]));
                continue;
            };
            n_gaps += 1;
            let off = (least.gap_m - gap * MM).abs();
            worst_gap = worst_gap.max(off);
            if off > GAP_TOLERANCE_M {
                wrong.push(format!("case {}: {least:?}, brute force {expected}", case["id"]));
            }
            if let Some(angle) = expected[1].as_f64() {
                n_angles += 1;
                let turned = (least.crank_deg - angle + 360.0).rem_euclid(720.0) - 360.0;
                // Both tops are as near to the head.
                let off = if least.pair == Pair::PistonToHead {
                    turned.abs().min((turned.abs() - 360.0).abs())
                } else {
                    turned.abs()
                };
                worst_angle = worst_angle.max(off);
                if off > ANGLE_TOLERANCE_DEG {
                    wrong.push(format!("case {}: {least:?}, brute force {expected}", case["id"]));
                }
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {n_gaps} gaps and {n_angles} angles differ, by up to {worst_gap:.2e} m and {worst_angle:.2e} deg:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
