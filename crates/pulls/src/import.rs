//! A brake's file in, pulls out: the steps in order. Leaves out paths, asking for confirmation and keeping what was read.

use units::{Pressure, Quantity as _, Ratio};

use crate::cell_number::Decimal;
use crate::column_kind::ColumnKind;
use crate::columns_take::{ColumnInstruction, take_columns};
use crate::correct::correction;
use crate::correct_standard::Standard;
use crate::decimal_find::find_decimal;
use crate::digest::digest;
use crate::engine_kind::EngineKind;
use crate::header_find::{Header, find_header};
use crate::import_error::ImportError;
use crate::import_heads::{Heads, read_heads};
use crate::import_rows::{RowNotes, Run, read_runs};
use crate::layout::{Layout, Why, header_digest};
use crate::processing::Processing;
use crate::pull::{Group, Origin, Pull, Rows, Sweep};
use crate::sweep_split::split;
use crate::table::Table;
use crate::table_text::table_of_text;
use crate::table_workbook::{is_workbook, tables_of_workbook};
use crate::text_decode::decode;
use crate::weather_humidity::Humidity;
use crate::weather_pressure::{Barometer, StationPressure};
use crate::weather_readings::WeatherReadings;
use crate::when::When;

/// What somebody says of a file before it is read.
#[derive(Clone, Debug, Default)]
pub struct ImportOptions {
    /// Name of the file, for the names of the pulls.
    pub file: String,
    /// The sheet of a workbook; the first that reads otherwise.
    pub sheet: Option<String>,
    /// What columns are.
    pub columns: Vec<ColumnInstruction>,
    /// How decimals are written.
    pub decimal: Option<Decimal>,
    /// Layouts confirmed before.
    pub remembered: Vec<Layout>,
    /// Part of the test.
    pub group: Option<Group>,
    /// When the first pull was made.
    pub when: Option<When>,
    /// What measured it.
    pub instrument: Option<String>,
    /// The torque is that at the wheels.
    pub at_wheels: bool,
    /// Ignition and charging.
    pub engine: EngineKind,
    /// Readings of the air; they go before those of the file.
    pub weather: WeatherReadings,
    /// What figures that are corrected were corrected to, where no column gives the factor.
    pub corrected_to: Option<Standard>,
    /// Inertia and smoothing.
    pub processing: Processing,
}

/// What a file came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Import {
    /// What each column was taken for.
    pub layout: Layout,
    /// The pulls, in the order they were made.
    pub pulls: Vec<Pull>,
    /// How the file was read and what was left out, one line each.
    pub notes: Vec<String>,
    /// Whether the layout was known.
    pub remembered: bool,
}

/// A pull goes over at least so many rpm.
const LEAST_SPAN_RPM: f64 = 300.0;
/// And has at least so many readings.
const LEAST_ROWS: usize = 4;

/// Reads a file.
pub fn import(bytes: &[u8], options: &ImportOptions) -> Result<Import, ImportError> {
    if bytes.is_empty() {
        return Err(ImportError::Empty);
    }
    let tables =
        if is_workbook(bytes) { tables_of_workbook(bytes)? } else { vec![table_of_text(&decode(bytes)?)?] };
    let tables = chosen(tables, options)?;
    let (mut first_wrong, mut no_table) = (None, None);
    for table in &tables {
        match import_table(table, &digest(bytes), options) {
            Ok(import) => return Ok(import),
            // A cover sheet without a table is not what is wrong with a workbook.
            Err(ImportError::NoTable { line }) => no_table = no_table.or(Some(ImportError::NoTable { line })),
            Err(wrong) => first_wrong = first_wrong.or(Some(wrong)),
        }
    }
    Err(first_wrong.or(no_table).unwrap_or(ImportError::Empty))
}

fn chosen(tables: Vec<Table>, options: &ImportOptions) -> Result<Vec<Table>, ImportError> {
    let Some(wanted) = options.sheet.as_ref().filter(|_| tables.iter().any(|table| !table.sheet.is_empty()))
    else {
        return Ok(tables);
    };
    let have = tables.iter().map(|table| table.sheet.clone()).collect();
    let table = tables.into_iter().find(|table| table.sheet.eq_ignore_ascii_case(wanted));
    Ok(vec![table.ok_or(ImportError::NoSheet { wanted: wanted.clone(), have })?])
}

fn import_table(table: &Table, digest: &str, options: &ImportOptions) -> Result<Import, ImportError> {
    let header = find_header(table)?;
    let header_key = header_digest(&header.names, &header.units);
    let known = options.remembered.iter().find(|known| known.digest == header_key);
    let data = &table.rows[header.first_data..];
    let speed = speed_guess(&header, options).map(|column| {
        let written = header.units.get(column).map_or("", String::as_str);
        (column, crate::column_unit::unit_for(ColumnKind::Speed, written).map_or(1.0, |unit| unit.times))
    });
    let decimal = match options.decimal {
        Some(decimal) => decimal,
        None => match (find_decimal(data, speed), known) {
            (Err(ImportError::EitherDecimal { .. }), Some(known)) => known.decimal,
            (found, _) => found?,
        },
    };
    let layout = take_columns(&header, data, decimal, &options.columns, known)?;
    let undo = to_undo(&header, &layout, options)?;
    let (runs, row_notes) = read_runs(table, &header, &layout)?;
    let heads = read_heads(&table.rows[..header.first]);
    let mut notes = notes_of(table, &layout, &row_notes);
    let pulls = pulls_of(&runs, &header, &heads, &layout, &row_notes, digest, options, &mut notes)?;
    let pulls = match undo {
        Some(standard) => pulls.into_iter().map(|pull| undone(pull, standard)).collect::<Result<_, _>>()?,
        None => pulls,
    };
    let remembered = layout.columns.iter().any(|column| column.why == Why::Remembered);
    Ok(Import { layout, pulls, notes, remembered })
}

/// The standard whose correction has to be worked out and undone: where there are corrected figures alone and no factor.
fn to_undo(
    header: &Header,
    layout: &Layout,
    options: &ImportOptions,
) -> Result<Option<Standard>, ImportError> {
    let measured = [ColumnKind::Torque, ColumnKind::Power, ColumnKind::Factor];
    if measured.into_iter().any(|kind| layout.column(kind).is_some()) {
        return Ok(None);
    }
    let corrected = [ColumnKind::CorrectedTorque, ColumnKind::CorrectedPower];
    let Some(idx) = corrected.into_iter().find_map(|kind| layout.column(kind)) else { return Ok(None) };
    let name = layout.columns[idx].name.clone();
    options.corrected_to.map(Some).ok_or(ImportError::OnlyCorrected { line: header.line, name })
}

/// Measured readings of corrected ones, by the factor of the pull's own weather.
fn undone(pull: Pull, standard: Standard) -> Result<Pull, ImportError> {
    let line = pull.origin.lines.0;
    let weather = pull.weather.complete();
    let weather = weather.map_err(|missing| ImportError::CorrectedWithoutWeather { line, missing })?;
    let correction = correction(standard, pull.engine, &weather);
    let correction = correction.map_err(|wrong| ImportError::CorrectedInBadWeather { line, wrong })?;
    let mut assumed = pull.assumed.clone();
    assumed.push(format!(
        "torque computed from figures corrected to {}, by the factor {:.4} of this weather",
        standard.name(),
        correction.factor
    ));
    Ok(Pull { rows: pull.rows.scaled(1.0 / correction.factor), assumed, ..pull })
}

/// The column that is going to be the speed, for telling thousands from decimals.
fn speed_guess(header: &Header, options: &ImportOptions) -> Option<usize> {
    let told = options.columns.iter().find(|told| told.kind == ColumnKind::Speed);
    if let Some(told) = told {
        let by_name = header.names.iter().position(|name| name.eq_ignore_ascii_case(&told.name));
        return by_name.or_else(|| told.name.parse::<usize>().ok()?.checked_sub(1));
    }
    header.names.iter().zip(&header.units).position(|(name, unit)| {
        crate::column_kind::kind_of_name(name) == Some(ColumnKind::Speed)
            || crate::column_unit::unit_for(ColumnKind::Speed, unit).is_some()
    })
}

fn notes_of(table: &Table, layout: &Layout, rows: &RowNotes) -> Vec<String> {
    let mut notes = Vec::new();
    let sheet = if table.sheet.is_empty() { String::new() } else { format!(", sheet `{}`", table.sheet) };
    notes.push(format!(
        "read as {}{sheet}, cells separated by {}, decimal {}",
        table.encoding,
        table.separator,
        layout.decimal.key()
    ));
    notes.extend(rows.torque_from.map(str::to_owned));
    if let Some(off) = rows.power_agrees {
        notes.push(format!("torque times speed agrees with the power column within {:.1} %", 100.0 * off));
    }
    if !rows.skipped.is_empty() {
        notes.push(format!("no speed or no torque on {}: left out", lines(&rows.skipped)));
    }
    for (line, text) in &rows.texts {
        notes.push(format!("line {line} is text and was not read: {text}"));
    }
    if let Some((line, name)) = rows.holes.first() {
        let n = rows.holes.len();
        notes.push(format!("{n} cells of lesser columns are no numbers and count as no reading, the first `{name}` on line {line}"));
    }
    notes
}

/// `line 4`, `lines 4, 5 and 9`, or the first of many and their number.
fn lines(list: &[usize]) -> String {
    match list {
        [one] => format!("line {one}"),
        list if list.len() <= 8 => {
            let (last, rest) = list.split_last().map_or((0, list), |(last, rest)| (*last, rest));
            let rest: Vec<String> = rest.iter().map(usize::to_string).collect();
            format!("lines {} and {last}", rest.join(", "))
        }
        list => format!("{} lines, the first {}", list.len(), list[0]),
    }
}

#[expect(clippy::too_many_arguments, reason = "the pieces of one file, each read by its own step")]
fn pulls_of(
    runs: &[Run],
    header: &Header,
    heads: &Heads,
    layout: &Layout,
    row_notes: &RowNotes,
    digest: &str,
    options: &ImportOptions,
    notes: &mut Vec<String>,
) -> Result<Vec<Pull>, ImportError> {
    let n_rows = runs.iter().map(|run| run.lines.len()).sum::<usize>();
    if n_rows < LEAST_ROWS {
        return Err(ImportError::TooFew { line: header.line, found: n_rows, least: LEAST_ROWS });
    }
    let stem = stem(&options.file);
    let mut pulls = Vec::new();
    let mut widest = 0.0_f64;
    for (number, run) in runs.iter().enumerate() {
        let pieces = split(&run.speed_rpm);
        for rows in &pieces.dropped {
            let (from, to) = (run.lines[rows.start], run.lines[rows.end.max(rows.start + 1) - 1]);
            notes.push(format!("lines {from} to {to} run up to or away from the pull: left out"));
        }
        let several = pieces.kept.len() > 1;
        for (piece_number, piece) in pieces.kept.iter().enumerate() {
            let range = piece.rows.clone();
            let part = |values: &[f64]| values[range.clone()].to_vec();
            let others = run.others.iter().map(|other| {
                let values = part(&other.values);
                crate::pull::OtherColumn { values, ..other.clone() }
            });
            let time_s = run.time_s.as_ref().map(|times| part(times));
            let rows = Rows::new(part(&run.speed_rpm), part(&run.torque_nm), time_s, others.collect());
            // The reader lets only finite columns of one length through.
            let Ok(rows) = rows else { continue };
            let (low, high) = rows.span_rpm();
            widest = widest.max(high - low);
            if high - low < LEAST_SPAN_RPM {
                continue;
            }
            let sweep = sweep(&rows, piece.sweep);
            let mut name = stem.clone();
            if runs.len() > 1 {
                name = format!("{name}-{}", number + 1);
            }
            if several {
                name = format!("{name}-{}", piece.sweep.key());
                let again =
                    pieces.kept[..piece_number].iter().filter(|other| other.sweep == piece.sweep).count();
                if again > 0 {
                    name = format!("{name}{}", again + 1);
                }
            }
            let lines = (run.lines[range.start], run.lines[range.end - 1]);
            pulls.push(pull_of(name, rows, sweep, lines, heads, layout, row_notes, digest, options));
        }
    }
    if pulls.is_empty() {
        let line = runs.first().and_then(|run| run.lines.first()).copied().unwrap_or(header.line);
        return Err(ImportError::NoSweep { line, span_rpm: widest, least_rpm: LEAST_SPAN_RPM });
    }
    if pulls.len() > 1 && options.when.or(heads.when).is_some() {
        notes.push("several pulls in one file share its date and time; their order is kept".to_owned());
    }
    Ok(pulls)
}

#[expect(clippy::too_many_arguments, reason = "the pieces of one pull, each read by its own step")]
fn pull_of(
    name: String,
    rows: Rows,
    sweep: Sweep,
    lines: (usize, usize),
    heads: &Heads,
    layout: &Layout,
    row_notes: &RowNotes,
    digest: &str,
    options: &ImportOptions,
) -> Pull {
    let of_rows = weather_of_rows(&rows);
    let weather = options.weather.or(of_rows).or(heads.weather);
    let mut assumed: Vec<String> = Vec::new();
    for column in layout.columns.iter().filter(|column| column.why.is_assumed()) {
        let unit = column.unit.map_or("", |unit| unit.symbol());
        assumed.push(format!("`{}` is in {unit} ({})", column.name, column.why.words()));
    }
    if of_rows.barometer.is_some() && options.weather.barometer.is_none() {
        assumed.push("the barometer column is that of the cell, not of the sea".to_owned());
    } else if options.weather.barometer.is_none() {
        assumed.extend(heads.assumed.iter().cloned());
    }
    if weather.inlet.is_none() && weather.dry_bulb.is_some() {
        assumed.push("the air of the cell stands in for that at the inlet".to_owned());
    }
    assumed.extend(row_notes.torque_from.map(str::to_owned));
    Pull {
        name,
        group: options.group,
        when: options.when.or(heads.when),
        instrument: options.instrument.clone().or_else(|| heads.instrument.clone()),
        at_wheels: options.at_wheels
            || layout.columns.iter().any(|column| is_at_wheels(&column.name, column.kind)),
        engine: options.engine,
        weather,
        sweep,
        processing: options.processing,
        rows,
        origin: Origin { file: options.file.clone(), digest: digest.to_owned(), lines },
        assumed,
        remarks: heads.remarks.clone(),
    }
}

/// Whether a torque or power column says that it is that of the wheels.
fn is_at_wheels(name: &str, kind: ColumnKind) -> bool {
    let lower = name.to_lowercase();
    let wheel = ["wheel", "hub", "radleistung", "radmoment", "roue"].iter().any(|word| lower.contains(word));
    wheel && matches!(kind, ColumnKind::Torque | ColumnKind::Power)
}

fn weather_of_rows(rows: &Rows) -> WeatherReadings {
    let relative =
        rows.mean_of(ColumnKind::Humidity).map(|percent| Humidity::Relative(Ratio::from_si(percent / 100.0)));
    let wet = rows.mean_temperature(ColumnKind::WetBulb).map(Humidity::WetBulb);
    let dew = rows.mean_temperature(ColumnKind::DewPoint).map(Humidity::DewPoint);
    let pressure: Option<Pressure> = rows.mean_pressure(ColumnKind::Barometer);
    WeatherReadings {
        barometer: pressure.map(|pressure| Barometer::Station(StationPressure::new(pressure))),
        inlet: rows.mean_temperature(ColumnKind::InletAir),
        dry_bulb: rows.mean_temperature(ColumnKind::DryBulb),
        humidity: wet.or(dew).or(relative),
    }
}

/// Readings held at their speeds rather than recorded on the way: no times, or seconds between few readings.
fn sweep(rows: &Rows, direction: Sweep) -> Sweep {
    const MOST_STEPS: usize = 100;
    const LEAST_STEP_S: f64 = 2.0;
    let held = match rows.time_s() {
        None => rows.len() <= MOST_STEPS,
        Some(times) => {
            let span = times.last().copied().unwrap_or(0.0) - times.first().copied().unwrap_or(0.0);
            span / (rows.len().max(2) - 1) as f64 >= LEAST_STEP_S
        }
    };
    if held { Sweep::Stepped } else { direction }
}

/// Name of a file without folder and ending.
fn stem(file: &str) -> String {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    if stem.is_empty() { "pull".to_owned() } else { stem.to_owned() }
}
