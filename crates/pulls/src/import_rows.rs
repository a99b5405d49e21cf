//! The runs of a table: its rows of readings as numbers, with a line for each. Leaves out what the columns are and what pulls
//! are made of the runs.

use crate::cell_number::clock_seconds;
use crate::column_kind::ColumnKind;
use crate::header_find::Header;
use crate::import_error::ImportError;
use crate::layout::{Column, Layout};
use crate::pull::{OtherColumn, power_kw, torque_of_power_nm};
use crate::table::{Row, Table};

/// Readings of one run, in stored units.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Run {
    pub lines: Vec<usize>,
    pub speed_rpm: Vec<f64>,
    pub torque_nm: Vec<f64>,
    pub time_s: Option<Vec<f64>>,
    pub others: Vec<OtherColumn>,
}

/// What reading the rows left to be said.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct RowNotes {
    /// Lines without a speed or a torque.
    pub skipped: Vec<usize>,
    /// Lines among or below the readings that are text.
    pub texts: Vec<(usize, String)>,
    /// Readings of other columns that are no numbers.
    pub holes: Vec<(usize, String)>,
    /// Torque and power agree, with the greatest difference.
    pub power_agrees: Option<f64>,
    /// How torque came about.
    pub torque_from: Option<&'static str>,
}

/// Speeds no engine of a shop reaches, and torques no brake of one holds.
const MOST_RPM: f64 = 30_000.0;
const MOST_NM: f64 = 20_000.0;
/// Torque times speed and power may differ by this share: two rounded columns of one measurement, low on the scale.
const POWER_SLACK: f64 = 0.03;

/// How a row's torque is found.
enum Source {
    Torque(usize),
    Power(usize),
    /// Without a factor column the figure is handed on as it is, for the factor to be worked out from the weather.
    Corrected {
        figure: usize,
        is_power: bool,
        factor: Option<usize>,
    },
}

/// Reads the runs.
pub(crate) fn read_runs(
    table: &Table,
    header: &Header,
    layout: &Layout,
) -> Result<(Vec<Run>, RowNotes), ImportError> {
    let mut notes = RowNotes::default();
    let speed = layout
        .column(ColumnKind::Speed)
        .ok_or(ImportError::NoSpeed { line: header.line, names: header.names.clone() })?;
    let source =
        source(layout).ok_or(ImportError::NoTorque { line: header.line, names: header.names.clone() })?;
    notes.torque_from = match source {
        Source::Torque(_) => None,
        Source::Power(_) => Some("torque computed from power and speed"),
        Source::Corrected { factor: Some(_), .. } => {
            Some("torque computed from the corrected figure and its factor")
        }
        Source::Corrected { factor: None, .. } => None,
    };
    let time = layout.column(ColumnKind::Time);
    let run_column = layout.column(ColumnKind::Run);
    let kept: Vec<usize> =
        (0..layout.columns.len()).filter(|idx| is_kept(layout.columns[*idx].kind)).collect();
    let mut reader = Reader { layout, notes: &mut notes };
    let mut runs: Vec<Run> = Vec::new();
    let mut run_name: Option<String> = None;
    let mut fresh = true;
    for row in &table.rows[header.first_data..] {
        if repeats(row, header) {
            fresh = true;
            continue;
        }
        let text_row =
            !row.is_data() && row.cells.get(speed).and_then(|cell| cell.number(layout.decimal)).is_none();
        if text_row {
            let says: Vec<&str> =
                row.cells.iter().map(|cell| cell.text.trim()).filter(|text| !text.is_empty()).collect();
            let all_units = says.iter().all(|text| crate::column_unit::is_some_unit(text));
            if !all_units {
                reader.notes.texts.push((row.line, says.join(" ")));
            }
            continue;
        }
        let Some((speed_rpm, torque_nm)) = reader.essentials(row, speed, &source)? else { continue };
        let time_s = match time {
            Some(column) => match reader.time(row, column)? {
                Some(time_s) => Some(time_s),
                None => {
                    reader.notes.skipped.push(row.line);
                    continue;
                }
            },
            None => None,
        };
        let name = run_column.map(|column| row.text(column).to_owned());
        let back = runs
            .last()
            .and_then(|run| run.time_s.as_ref()?.last().copied())
            .zip(time_s)
            .is_some_and(|(last, now)| now < last);
        if fresh || name != run_name || back {
            let blank = |idx: &usize| OtherColumn {
                kind: layout.columns[*idx].kind,
                name: layout.columns[*idx].name.clone(),
                values: Vec::new(),
            };
            runs.push(Run {
                time_s: time.map(|_| Vec::new()),
                others: kept.iter().map(blank).collect(),
                ..Run::default()
            });
        }
        (fresh, run_name) = (false, name);
        let Some(run) = runs.last_mut() else { continue };
        run.lines.push(row.line);
        run.speed_rpm.push(speed_rpm);
        run.torque_nm.push(torque_nm);
        if let (Some(times), Some(time_s)) = (&mut run.time_s, time_s) {
            times.push(time_s);
        }
        for (column, other) in kept.iter().zip(&mut run.others) {
            other.values.push(reader.other(row, *column));
        }
    }
    notes.power_agrees = power_agrees(table, header, layout)?;
    Ok((runs, notes))
}

fn source(layout: &Layout) -> Option<Source> {
    if let Some(torque) = layout.column(ColumnKind::Torque) {
        return Some(Source::Torque(torque));
    }
    if let Some(power) = layout.column(ColumnKind::Power) {
        return Some(Source::Power(power));
    }
    let factor = layout.column(ColumnKind::Factor);
    let torque = layout.column(ColumnKind::CorrectedTorque).map(|figure| (figure, false));
    let power = layout.column(ColumnKind::CorrectedPower).map(|figure| (figure, true));
    let (figure, is_power) = torque.or(power)?;
    Some(Source::Corrected { figure, is_power, factor })
}

/// Columns that are kept beside speed, torque and time.
fn is_kept(kind: ColumnKind) -> bool {
    !matches!(
        kind,
        ColumnKind::Speed
            | ColumnKind::Torque
            | ColumnKind::Power
            | ColumnKind::CorrectedTorque
            | ColumnKind::CorrectedPower
            | ColumnKind::Time
            | ColumnKind::Run
            | ColumnKind::Ignored
    )
}

/// Whether a row writes the header once more.
fn repeats(row: &Row, header: &Header) -> bool {
    let same = header
        .as_written
        .iter()
        .enumerate()
        .filter(|(idx, name)| !name.is_empty() && row.text(*idx) == *name);
    let named = header.as_written.iter().filter(|name| !name.is_empty()).count();
    named > 0 && same.count() == named
}

struct Reader<'a> {
    layout: &'a Layout,
    notes: &'a mut RowNotes,
}

impl Reader<'_> {
    fn column(&self, idx: usize) -> &Column {
        &self.layout.columns[idx]
    }

    /// Speed and torque of a row; `None` where there is no reading.
    fn essentials(
        &mut self,
        row: &Row,
        speed: usize,
        source: &Source,
    ) -> Result<Option<(f64, f64)>, ImportError> {
        let Some(speed_rpm) = self.figure(row, speed)? else { return Ok(self.skip(row)) };
        if !(-100.0..=MOST_RPM).contains(&speed_rpm) {
            return Err(self.absurd(row, speed, "an engine speed from 0 to 30,000 rpm"));
        }
        let (column, torque_nm) = match source {
            Source::Torque(column) => (*column, self.figure(row, *column)?),
            Source::Power(column) => {
                (*column, self.figure(row, *column)?.map(|kw| torque_of_power_nm(kw, speed_rpm)))
            }
            Source::Corrected { figure, is_power, factor } => {
                let by = factor.map_or(Ok(Some(1.0)), |factor| self.figure(row, factor))?;
                let (Some(corrected), Some(factor)) = (self.figure(row, *figure)?, by) else {
                    return Ok(self.skip(row));
                };
                let raw = corrected / factor;
                (*figure, Some(if *is_power { torque_of_power_nm(raw, speed_rpm) } else { raw }))
            }
        };
        let Some(torque_nm) = torque_nm else { return Ok(self.skip(row)) };
        // Power over no speed is no torque.
        if !torque_nm.is_finite() {
            return Ok(self.skip(row));
        }
        if torque_nm.abs() > MOST_NM {
            return Err(self.absurd(row, column, "a torque under 20,000 N m"));
        }
        Ok(Some((speed_rpm, torque_nm)))
    }

    fn skip<T>(&mut self, row: &Row) -> Option<T> {
        self.notes.skipped.push(row.line);
        None
    }

    fn absurd(&self, row: &Row, column: usize, expected: &'static str) -> ImportError {
        let unit = self.column(column).unit.map_or("", |unit| unit.symbol());
        let found = format!("{} {unit}", row.text(column)).trim().to_owned();
        ImportError::Absurd { line: row.line, column: self.column(column).name.clone(), found, expected }
    }

    /// A cell that has to be a number or blank, in the stored unit of its kind.
    fn figure(&self, row: &Row, column: usize) -> Result<Option<f64>, ImportError> {
        let Some(cell) = row.cells.get(column).filter(|cell| !cell.is_missing()) else { return Ok(None) };
        let Some(number) = cell.number(self.layout.decimal) else {
            let (column, found) = (self.column(column).name.clone(), cell.text.trim().to_owned());
            return Err(ImportError::NotANumber { line: row.line, column, found });
        };
        let Column { kind, unit, .. } = self.column(column);
        let stored = unit.map_or(number, |unit| unit.to_stored(*kind, number));
        Ok(Some(stored).filter(|number| number.is_finite()))
    }

    fn time(&self, row: &Row, column: usize) -> Result<Option<f64>, ImportError> {
        let clock = row.cells.get(column).and_then(|cell| clock_seconds(&cell.text));
        if clock.is_some() { Ok(clock) } else { self.figure(row, column) }
    }

    /// A further reading in its stored unit; NaN where there is none.
    fn other(&mut self, row: &Row, column: usize) -> f64 {
        match self.figure(row, column) {
            Ok(reading) => reading.unwrap_or(f64::NAN),
            Err(_) => {
                self.notes.holes.push((row.line, self.column(column).name.clone()));
                f64::NAN
            }
        }
    }
}

/// Whether torque times speed is the power column, where both are there. Compared in the upper half of the torques; the
/// median of the differences decides, so that one bad row does not.
fn power_agrees(table: &Table, header: &Header, layout: &Layout) -> Result<Option<f64>, ImportError> {
    let find = |kind| layout.column(kind).filter(|idx| layout.columns[*idx].unit.is_some());
    let (Some(speed), Some(torque), Some(power)) =
        (find(ColumnKind::Speed), find(ColumnKind::Torque), find(ColumnKind::Power))
    else {
        return Ok(None);
    };
    let mut found: Vec<(f64, f64, f64, usize)> = Vec::new();
    for row in table.rows[header.first_data..].iter().filter(|row| row.is_data()) {
        let si = |idx: usize| {
            let number = row.cells.get(idx)?.number(layout.decimal)?;
            Some(layout.columns[idx].unit.map_or(number, |unit| unit.to_si(number)))
        };
        let (Some(speed), Some(torque), Some(power)) = (si(speed), si(torque), si(power)) else { continue };
        let made = power_kw(torque, ColumnKind::Speed.stored_unit().from_si(speed));
        found.push((torque, made, power / 1e3, row.line));
    }
    let most = found.iter().map(|row| row.0).fold(0.0, f64::max);
    found.retain(|row| row.0 >= 0.5 * most && row.1 > 0.0 && row.1.is_finite() && row.2.is_finite());
    found.sort_by(|a, b| (a.2 / a.1).total_cmp(&(b.2 / b.1)));
    let Some((_, made, said, line)) = found.get(found.len() / 2).copied() else { return Ok(None) };
    let off = said / made - 1.0;
    if off.abs() > POWER_SLACK {
        let name = layout.columns[power].name.clone();
        return Err(ImportError::Contradiction { line, made, said, percent: 100.0 * off.abs(), power: name });
    }
    Ok(Some(off.abs()))
}
