//! `[flow.intake]` and its like: tables from the flow bench, or of coefficients.

use parts::running::{BenchRow, BenchTable, Flow, FlowMeasure, ReferenceArea};
use units::{Basis, Length, Quantity, Ratio, Reading};

use crate::check::{join, number, unit_of};
use crate::layers::{Layers, Log};
use crate::read_lobe::missing;
use crate::tree::{Node, Value};
use crate::vocabulary::flow::{
    AREA, FLOW, FLOW_EXHAUST, FLOW_EXHAUST_REVERSE, FLOW_INTAKE, FLOW_INTAKE_REVERSE, FLOW_UNIT, LIFT_UNIT,
    OF, ROWS, SHROUDING, TEST_PRESSURE, TOLERANCE,
};

/// What a table is good for when nobody said: two sessions on one bench (racing press: 0.5 to 1 % on one bench, 5 to
/// 20 % between benches).
pub(crate) const USUAL_TOLERANCE: f64 = 0.03;

/// Flow of both duties.
pub(crate) fn read_flow(log: &mut Log, top: &Layers) -> Flow {
    let flow = top.inner(FLOW.key);
    let mut table = |key: &str| {
        let layers = flow.inner(key);
        if layers.absent() { None } else { read_table(log, &layers) }
    };
    Flow {
        intake: table(FLOW_INTAKE.key),
        intake_reverse: table(FLOW_INTAKE_REVERSE.key),
        exhaust: table(FLOW_EXHAUST.key),
        exhaust_reverse: table(FLOW_EXHAUST_REVERSE.key),
        shrouding: flow.get(&SHROUDING),
    }
}

fn read_table(log: &mut Log, table: &Layers) -> Option<BenchTable> {
    [&LIFT_UNIT, &ROWS].into_iter().for_each(|entry| table.require(log, entry));
    let coefficient = table.text(&OF) == "coefficient";
    let measure = if coefficient { read_area(log, table)? } else { read_pressure(log, table)? };
    let value_si = if coefficient { 1.0 } else { flow_unit_si(table.text(&FLOW_UNIT))? };
    let lift_m = unit_of(table.text(&LIFT_UNIT))?;
    let rows = read_rows(log, table, lift_m, value_si)?;
    let tolerance = table.get(&TOLERANCE);
    let factor = Reading {
        value: Ratio::from_si(1.0),
        tolerance: tolerance.map_or(Ratio::from_si(USUAL_TOLERANCE), |share| share.value),
        basis: tolerance.map_or(Basis::Measured, |share| share.basis),
    };
    Some(BenchTable { measure, rows, factor })
}

fn read_pressure(log: &mut Log, table: &Layers) -> Option<FlowMeasure> {
    if !table.has(TEST_PRESSURE.key()) {
        missing(
            log,
            table,
            TEST_PRESSURE.key(),
            "test_pressure = \"28 inH2O\", which the flow was measured at",
        );
    }
    if !table.has(FLOW_UNIT.words.key) {
        missing(log, table, FLOW_UNIT.words.key, "flow_unit = \"cfm\", the unit of the flows");
    }
    Some(FlowMeasure::Flow { test_pressure: table.get(&TEST_PRESSURE)? })
}

fn read_area(log: &mut Log, table: &Layers) -> Option<FlowMeasure> {
    let area = match table.text(&AREA) {
        "curtain" => ReferenceArea::Curtain,
        "throat" => ReferenceArea::Throat,
        "head" => ReferenceArea::Head,
        _ => {
            if !table.has(AREA.words.key) {
                missing(log, table, AREA.words.key, "area = \"curtain\", the area the coefficient stands on");
            }
            return None;
        }
    };
    Some(FlowMeasure::Coefficient(area))
}

/// m3/s in one of a unit.
pub(crate) fn flow_unit_si(unit: &str) -> Option<f64> {
    let units = <units::VolumeRate as Quantity>::UNITS;
    units
        .iter()
        .find(|known| known.symbol == unit || known.spellings.contains(&unit))
        .map(|unit| unit.to_si(1.0))
}

/// Rows of lift and flow, in rising order of lift, none negative.
fn read_rows(log: &mut Log, table: &Layers, lift_m: f64, value_si: f64) -> Option<Vec<BenchRow>> {
    let (node, _) = table.node(ROWS.words.key)?;
    let Value::List(list) = &node.value else { return None };
    let path = join(&table.path, ROWS.words.key);
    let mut rows: Vec<BenchRow> = Vec::with_capacity(list.len());
    for row in list {
        let [lift, value] = pair(row)?;
        let one = BenchRow { lift: Length::from_si(lift * lift_m), value_si: value * value_si };
        let rises = rows.last().is_none_or(|last| last.lift < one.lift);
        if !rises || lift < 0.0 || value < 0.0 {
            let expected = "lifts in rising order, lift and flow not negative";
            log.wrong(row.place, &path, format!("the row [{lift}, {value}]"), expected);
            return None;
        }
        rows.push(one);
    }
    (!rows.is_empty()).then_some(rows)
}

/// Two numbers.
pub(crate) fn pair(node: &Node) -> Option<[f64; 2]> {
    let Value::List(pair) = &node.value else { return None };
    let [first, second] = pair.as_slice() else { return None };
    Some([number(first)?, number(second)?])
}
