//! A measured lobe from a CSV file of its own: a head that names what the columns are, then a row for each angle. Leaves out
//! judging the rows, which the fit of the lobe does.

use parts::cam::{LiftAt, LobeRow, LobeTable, TableAngles};
use parts::train::Train;
use units::angle::degree;
use units::{Angle, Length, Quantity};

use crate::csv_cells::cells;
use crate::problem::{File, Problems};
use crate::read_lobe::of_valve;
use crate::source::{Place, Sources, text_of};
use crate::vocabulary::lobe::ROWS;

/// Heads of the column of angles, and which shaft they belong to.
const ANGLES: [(&str, TableAngles); 2] = [("cam_deg", TableAngles::Cam), ("crank_deg", TableAngles::Crank)];
/// Heads of the column of lifts: whether the valve's, and metres in one.
const LIFTS: [(&str, bool, f64); 6] = [
    ("lift_mm", false, 1e-3),
    ("lift_in", false, 0.0254),
    ("tappet_lift_mm", false, 1e-3),
    ("tappet_lift_in", false, 0.0254),
    ("valve_lift_mm", true, 1e-3),
    ("valve_lift_in", true, 0.0254),
];

/// Reads a lift table from the bytes of a CSV file.
///
/// The first line that is neither empty nor begins with `#` names two columns: `cam_deg` or `crank_deg`, then `lift_mm`,
/// `lift_in`, `valve_lift_mm` or `valve_lift_in`. Columns stand apart by commas, semicolons or tabs; further columns are not
/// read. Lifts of the valve were taken through this train with its cold lash. Rows are numbered by their line.
pub fn read_lobe_csv(bytes: &[u8], train: &Train) -> Result<LobeTable, Problems> {
    let text = text_of(&File::Base, bytes)?;
    let mut sources = Sources::default();
    let file = sources.add(File::Base, &text);
    let mut problems = Problems::default();
    let mut wrong = |place: Place, path: &str, found: String, expected: String| {
        problems.push(sources.problem(place, path, found, expected));
    };
    let lines = cells(&text, file);
    let mut lines = lines.into_iter();
    let mut table =
        LobeTable { angles: TableAngles::Cam, lifts: LiftAt::Tappet, rows: Vec::new(), noise: None };
    let mut unit_m = 1.0;
    if let Some(head) = lines.next() {
        match ANGLES.iter().find(|(name, _)| head.is(0, name)) {
            Some((_, angles)) => table.angles = *angles,
            None => wrong(head.place(0), "head", head.found(0), "cam_deg or crank_deg".into()),
        }
        match LIFTS.iter().find(|(name, ..)| head.is(1, name)) {
            Some((_, valve, unit)) => {
                unit_m = *unit;
                if *valve {
                    table.lifts = of_valve(train);
                }
            }
            None => {
                let names: Vec<&str> = LIFTS.iter().map(|(name, ..)| *name).collect();
                wrong(head.place(1), "head", head.found(1), format!("one of {}", names.join(", ")));
            }
        }
    }
    for line in lines {
        let [angle, lift] = [0, 1].map(|idx| line.number(idx));
        for (idx, number) in [angle, lift].into_iter().enumerate() {
            if number.is_none() {
                wrong(line.place(idx), &format!("line {}", line.number), line.found(idx), "a number".into());
            }
        }
        if let (Some(angle), Some(lift)) = (angle, lift) {
            let (angle, lift) = (Angle::new::<degree>(angle), Length::from_si(lift * unit_m));
            table.rows.push(LobeRow { number: line.number, angle, lift });
        }
    }
    if problems.is_empty() && !ROWS.contains(&table.rows.len()) {
        let place = Place { file, start: 0, end: 0 };
        let found = format!("{} rows", table.rows.len());
        let expected = format!("a head such as cam_deg,lift_mm and {} to {} rows", ROWS.start(), ROWS.end());
        problems.push(sources.problem(place, "", found, expected));
    }
    if problems.is_empty() { Ok(table) } else { Err(problems.sorted()) }
}
