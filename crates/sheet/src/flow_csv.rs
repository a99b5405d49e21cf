//! A flow bench table from a CSV file of its own: a head that names the columns, then a row for each lift. Leaves out the
//! test pressure, which benches write elsewhere.

use parts::running::{BenchRow, BenchTable, FlowMeasure, ReferenceArea};
use units::{Length, Pressure, Quantity, Ratio, Reading};

use crate::csv_cells::cells;
use crate::problem::{File, Problems};
use crate::read_flow::{USUAL_TOLERANCE, flow_unit_si};
use crate::source::{Place, Sources, text_of};
use crate::vocabulary::flow::FLOW_ROWS;

/// Heads of the column of lifts, and metres in one.
const LIFTS: [(&str, f64); 2] = [("lift_mm", 1e-3), ("lift_in", 0.0254)];
/// Heads of the column of flows, and the unit they name.
const FLOWS: [(&str, &str); 3] = [("flow_cfm", "cfm"), ("flow_l_s", "l/s"), ("flow_m3_h", "m3/h")];
/// Heads of the column of discharge coefficients.
const COEFFICIENTS: [(&str, ReferenceArea); 3] = [
    ("cd_curtain", ReferenceArea::Curtain),
    ("cd_throat", ReferenceArea::Throat),
    ("cd_head", ReferenceArea::Head),
];

/// Reads a flow table from the bytes of a CSV file; flows were measured at, or reduced to, `test_pressure`.
///
/// The first line that is neither empty nor begins with `#` names two columns: `lift_mm` or `lift_in`, then `flow_cfm`,
/// `flow_l_s`, `flow_m3_h`, `cd_curtain`, `cd_throat` or `cd_head`. Columns stand apart by commas, semicolons or tabs;
/// further columns are not read.
pub fn read_flow_csv(bytes: &[u8], test_pressure: Reading<Pressure>) -> Result<BenchTable, Problems> {
    let text = text_of(&File::Base, bytes)?;
    let mut sources = Sources::default();
    let file = sources.add(File::Base, &text);
    let mut problems = Problems::default();
    let mut wrong = |place: Place, path: &str, found: String, expected: String| {
        problems.push(sources.problem(place, path, found, expected));
    };
    let mut lines = cells(&text, file).into_iter();
    let mut measure = FlowMeasure::Flow { test_pressure };
    let (mut lift_m, mut value_si) = (1.0, 1.0);
    if let Some(head) = lines.next() {
        match LIFTS.iter().find(|(name, _)| head.is(0, name)) {
            Some((_, unit)) => lift_m = *unit,
            None => wrong(head.place(0), "head", head.found(0), "lift_mm or lift_in".to_owned()),
        }
        let flow = FLOWS.iter().find(|(name, _)| head.is(1, name)).and_then(|(_, unit)| flow_unit_si(unit));
        let area = COEFFICIENTS.iter().find(|(name, _)| head.is(1, name));
        match (flow, area) {
            (Some(unit), _) => value_si = unit,
            (None, Some((_, area))) => measure = FlowMeasure::Coefficient(*area),
            (None, None) => {
                let names =
                    FLOWS.iter().map(|(name, _)| *name).chain(COEFFICIENTS.iter().map(|(name, _)| *name));
                let names = names.collect::<Vec<_>>().join(", ");
                wrong(head.place(1), "head", head.found(1), format!("one of {names}"));
            }
        }
    }
    let mut rows: Vec<BenchRow> = Vec::new();
    for line in lines {
        let [lift, value] = [0, 1].map(|idx| line.number(idx).filter(|number| *number >= 0.0));
        let path = format!("line {}", line.number);
        for (idx, number) in [lift, value].into_iter().enumerate() {
            if number.is_none() {
                wrong(line.place(idx), &path, line.found(idx), "a number of 0 or more".to_owned());
            }
        }
        let (Some(lift), Some(value)) = (lift, value) else { continue };
        let row = BenchRow { lift: Length::from_si(lift * lift_m), value_si: value * value_si };
        if rows.last().is_some_and(|last| row.lift <= last.lift) {
            wrong(line.place(0), &path, line.found(0), "lifts in rising order".to_owned());
        }
        rows.push(row);
    }
    if problems.is_empty() && !(FLOW_ROWS.least..=FLOW_ROWS.most).contains(&rows.len()) {
        let place = Place { file, start: 0, end: 0 };
        let expected =
            format!("a head such as lift_mm,flow_cfm and {} to {} rows", FLOW_ROWS.least, FLOW_ROWS.most);
        problems.push(sources.problem(place, "", format!("{} rows", rows.len()), expected));
    }
    let factor = Reading::measured(Ratio::from_si(1.0), Ratio::from_si(USUAL_TOLERANCE));
    if problems.is_empty() { Ok(BenchTable { measure, rows, factor }) } else { Err(problems.sorted()) }
}
