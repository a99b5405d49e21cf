//! Sheets with something wrong in what the engine needs to run: each message says line, column, what was found and what
//! was expected.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use parts::running::{ExhaustLayout, FlowMeasure, FuelKind, InductionLayout, SparkChoice};
use sheet::{read_build, read_flow_csv};
use units::{Basis, Pressure, Quantity, Reading};
use wrong::{Message, check_in};

mod wrong;

/// A sheet with every kind of key; the cases below change a line of it.
const RUNS: &str = r#"format = 1
name = "Test four"
[engine]
cylinders = 4
firing_order = [1, 3, 4, 2]
firing_intervals = [180, 180, 180, 180]
year = 1968
[block]
bore = "82 mm"
stroke = "76 mm"
[head]
chamber_volume = "42 cc"
[[head.valve]]
name = "in"
duty = "intake"
head_diameter = "38 mm"
x = "19 mm"
y = "0 mm"
lift = "10 mm"
[[head.valve]]
name = "ex"
duty = "exhaust"
head_diameter = "34 mm"
x = "-20 mm"
y = "0 mm"
lift = "10 mm"
[port.intake]
length = "95 mm"
siamesed = [[1, 2], [3, 4]]
[flow.intake]
test_pressure = "28 inH2O"
lift_unit = "mm"
flow_unit = "cfm"
rows = [[2.5, 50], [5.0, 98], [10.0, 140]]
tolerance = "2 %"
[flow.exhaust]
of = "coefficient"
area = "curtain"
lift_unit = "mm"
rows = [[2.5, 0.65], [9.0, 0.5]]
[induction]
layout = "individual"
throttles = 2
throttle_diameter = "40 mm"
venturi_diameter = "32 mm"
[exhaust]
layout = "pairs"
groups = [[1, 4], [2, 3]]
silenced = false
[boost]
pressure = "0.5 bar"
[fuel]
kind = "e10"
lambda = "0.87"
[spark]
timing = "given"
table = [[1000, 10], [3000, 28]]
[burning]
delay = "24 deg"
duration = "30 deg"
[walls]
law = "hohenberg"
[friction]
mains = 5
[weather]
temperature = "15 degC"
humidity = "60 %"
[use]
band_from = "3000 rpm"
band_to = "6200 rpm"
weights = [[3000, 1], [6000, 2]]
"#;

fn check(from: &str, to: &str, expected: Message) {
    check_in(RUNS, from, to, &[expected]);
}

#[test]
fn exact_every_section_is_read() {
    let sheet = read_build(RUNS).unwrap_or_else(|problems| panic!("{problems}"));
    let running = sheet.build.running;
    assert_eq!(running.year, Some(1968));
    assert_eq!(running.firing.fires_at_deg(4).unwrap(), [0.0, 540.0, 180.0, 360.0]);
    assert_eq!(running.ports.intake.siamesed, [[1, 2], [3, 4]]);
    assert_eq!(running.ports.intake.length.unwrap().basis, Basis::Measured);
    assert!(running.ports.exhaust.length.is_none());
    let bench = running.flow.intake.unwrap();
    assert!(matches!(bench.measure, FlowMeasure::Flow { .. }));
    assert!((bench.rows[1].value_si - 98.0 * 4.719_474_432e-4).abs() < 1e-12);
    assert!((bench.factor.tolerance.si() - 0.02).abs() < 1e-12);
    assert!(matches!(running.flow.exhaust.unwrap().measure, FlowMeasure::Coefficient(_)));
    assert_eq!(running.induction.layout, Some(InductionLayout::Individual));
    assert_eq!(running.induction.throttles, Some(2));
    assert_eq!(running.exhaust.layout, Some(ExhaustLayout::Pairs));
    assert_eq!(running.exhaust.groups, Some(vec![vec![1, 4], vec![2, 3]]));
    assert_eq!(running.exhaust.silenced, Some(false));
    assert!((running.boost.unwrap().pressure.value.si() - 5e4).abs() < 1e-9);
    assert_eq!(running.fuel.kind, Some(FuelKind::E10));
    assert_eq!(running.ignition.choice, Some(SparkChoice::Given));
    assert_eq!(running.ignition.table.len(), 2);
    assert!((running.weather.temperature.unwrap().value.si() - 288.15).abs() < 1e-9);
    assert!((running.band.to.unwrap().value.si() - 6200.0 * std::f64::consts::PI / 30.0).abs() < 1e-9);
    assert_eq!(running.band.weights.len(), 2);
}

#[test]
fn exact_firing() {
    check("[1, 3, 4, 2]", "[1, 3, 3, 2]", (5, 16, "a list", "each of the numbers 1 to 4 once", None));
    check(
        "[180, 180, 180, 180]",
        "[180, 180, 180]",
        (6, 20, "3 intervals", "4 intervals, one after each cylinder", None),
    );
    check(
        "[180, 180, 180, 180]",
        "[180, 180, 180, 190]",
        (6, 20, "730 degrees together", "720 degrees together, none of them negative", None),
    );
    check("[1, 3, 4, 2]", "\"1342\"", (5, 16, "the text \"1342\"", "a list of 1 to 32 numbers", None));
}

#[test]
fn exact_ports_and_groups() {
    check(
        "[[1, 2], [3, 4]]",
        "[[1, 2], [2, 4]]",
        (29, 22, "cylinder 2 a second time", "each cylinder once", None),
    );
    check("[[1, 2], [3, 4]]", "[[1, 2, 3]]", (29, 13, "a list of 3", "pairs, as in [1, 2]", None));
    check("[[1, 2], [3, 4]]", "[[1, 7]]", (29, 17, "cylinder 7", "a number from 1 to 4", None));
    check("[[1, 4], [2, 3]]", "[[1, 4], [2]]", (48, 10, "no cylinder 3", "every cylinder in one list", None));
}

#[test]
fn exact_flow_tables() {
    check(
        "[5.0, 98]",
        "[2.0, 98]",
        (34, 20, "the row [2, 98]", "lifts in rising order, lift and flow not negative", None),
    );
    check(
        "test_pressure = \"28 inH2O\"\n",
        "",
        (30, 1, "no test_pressure", "test_pressure = \"28 inH2O\", which the flow was measured at", None),
    );
    check(
        "area = \"curtain\"\n",
        "",
        (36, 1, "no area", "area = \"curtain\", the area the coefficient stands on", None),
    );
    check("[5.0, 98]", "[5.0]", (34, 20, "a row of 1 number", "two finite numbers [lift, flow]", None));
    check(
        "flow_unit = \"cfm\"",
        "flow_unit = \"cfn\"",
        (
            33,
            13,
            "the text \"cfn\"",
            "one of \"cfm\", \"l/s\", \"m3/h\"",
            Some("the nearest valid word is cfm"),
        ),
    );
}

#[test]
fn exact_charge_and_band() {
    check(
        "lambda = \"0.87\"",
        "lambda = \"0.87\"\nair_fuel_ratio = \"12.8\"",
        (55, 18, "both lambda and air_fuel_ratio", "one of the two", None),
    );
    check(
        "table = [[1000, 10], [3000, 28]]\n",
        "",
        (55, 1, "no table", "table = [[1000, 12], [3000, 30]], the given timing", None),
    );
    check("duration = \"30 deg\"\n", "", (58, 1, "no duration", "duration = \"28 deg\" beside delay", None));
    check(
        "band_to = \"6200 rpm\"",
        "band_to = \"2900 rpm\"",
        (70, 11, "the text \"2900 rpm\"", "a speed above band_from", None),
    );
    check(
        "pressure = \"0.5 bar\"\n",
        "drive = \"turbine\"\n",
        (50, 1, "no pressure", "pressure = \"0.6 bar\", pressure over that of the air outside", None),
    );
    check(
        "[6000, 2]",
        "[6000, -2]",
        (
            71,
            23,
            "the row [6000, -2]",
            "speeds in rising order, above 0 and below 30000 rpm, and 0 to 180 beside them",
            None,
        ),
    );
}

#[test]
fn exact_flow_from_csv() {
    let at = Reading::measured(Pressure::from_si(6974.5), Pressure::from_si(0.0));
    let table = read_flow_csv(b"# port 1\nlift_in;flow_cfm;swirl\n0.1;58;0\n0.2;112;0.1\n", at).unwrap();
    assert_eq!(table.rows.len(), 2);
    assert!((table.rows[1].lift.si() - 0.00508).abs() < 1e-15);
    let problems = read_flow_csv(b"lift_mm,flow_cfn\n1,2\n0.5,x\n", at).unwrap_err();
    let found: Vec<_> =
        problems.list().iter().map(|one| (one.line, one.column, one.found.as_str())).collect();
    assert_eq!(found, [(1, 9, "\"flow_cfn\""), (3, 5, "\"x\"")]);
    assert!(read_flow_csv(b"", at).is_err());
}
