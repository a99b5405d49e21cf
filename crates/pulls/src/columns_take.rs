//! What each column is taken for, from its name, its unit, its numbers and what somebody said. Leaves out finding the header.

use crate::cell_number::Decimal;
use crate::column_kind::{ColumnKind, kind_of_name};
use crate::column_unit::{ColumnUnit, unit_for};
use crate::header_find::Header;
use crate::import_error::ImportError;
use crate::layout::{Column, Layout, Why, header_digest};
use crate::table::Row;

/// One instruction about a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColumnInstruction {
    /// Name of the column, or its number from 1.
    pub name: String,
    /// What it is.
    pub kind: ColumnKind,
    /// Its unit; empty for the one the file writes.
    pub unit: String,
}

/// Reads `Torque=torque Nm, 3=ignored`.
pub fn parse_instructions(text: &str) -> Result<Vec<ColumnInstruction>, ImportError> {
    let parts = text.split(',').map(str::trim).filter(|part| !part.is_empty());
    parts
        .map(|part| {
            let bad = || ImportError::BadColumns {
                found: part.to_owned(),
                kinds: ColumnKind::ALL.map(ColumnKind::key).join(", "),
            };
            let (name, rest) = part.rsplit_once('=').ok_or_else(bad)?;
            let rest = rest.trim();
            // Kinds of two words may be typed with a blank, so the longest one that fits is taken.
            let ends = rest.match_indices(' ').map(|(at, _)| at).chain([rest.len()]);
            let (kind, at) = ends
                .filter_map(|at| Some((ColumnKind::parse(&rest[..at])?, at)))
                .max_by_key(|(_, at)| *at)
                .ok_or_else(bad)?;
            let unit = rest[at..].trim().to_owned();
            if !unit.is_empty() && unit_for(kind, &unit).is_none() {
                return Err(bad());
            }
            Ok(ColumnInstruction { name: name.trim().to_owned(), kind, unit })
        })
        .collect()
}

/// Takes the columns; readings are those of `rows`.
pub(crate) fn take_columns(
    header: &Header,
    rows: &[Row],
    decimal: Decimal,
    told: &[ColumnInstruction],
    remembered: Option<&Layout>,
) -> Result<Layout, ImportError> {
    let digest = header_digest(&header.names, &header.units);
    if let Some(known) = remembered.filter(|known| known.digest == digest && told.is_empty()) {
        let columns = known.columns.iter().map(|column| Column { why: Why::Remembered, ..column.clone() });
        return Ok(Layout { digest, decimal, columns: columns.collect() });
    }
    let mut columns = Vec::new();
    for (name, written_unit) in header.names.iter().zip(&header.units) {
        columns.push(take_one(name, written_unit));
    }
    for instruction in told {
        obey(&mut columns, instruction, header)?;
    }
    let samples = |idx: usize| -> Vec<f64> {
        rows.iter()
            .filter(|row| row.is_data())
            .filter_map(|row| row.cells.get(idx)?.number(decimal))
            .collect()
    };
    units_from_physics(&mut columns, rows, decimal);
    for (idx, column) in columns.iter_mut().enumerate() {
        let essential = is_essential(column.kind);
        let needs = column.unit.is_none() && !column.kind.units().is_empty();
        if !needs {
            continue;
        }
        if !column.written_unit.is_empty() && essential {
            return Err(ImportError::UnknownUnit {
                line: header.line,
                name: column.name.clone(),
                found: column.written_unit.clone(),
                kind: column.kind.key(),
            });
        }
        let guessed =
            if column.written_unit.is_empty() { guessed_unit(column.kind, &samples(idx)) } else { None };
        match guessed.and_then(|(symbol, why)| Some((unit_for(column.kind, symbol)?, why))) {
            Some((unit, why)) => (column.unit, column.why) = (Some(unit), why),
            None if matches!(column.kind, ColumnKind::Torque | ColumnKind::Power) => {}
            None => (column.kind, column.why) = (ColumnKind::Ignored, Why::NotUsed),
        }
    }
    settle(&mut columns, header)?;
    Ok(Layout { digest, decimal, columns })
}

fn is_essential(kind: ColumnKind) -> bool {
    matches!(kind, ColumnKind::Speed | ColumnKind::Torque | ColumnKind::Power)
}

fn take_one(name: &str, written_unit: &str) -> Column {
    let by_name = kind_of_name(name);
    // A column may be called by its unit alone.
    let by_unit = [ColumnKind::Speed, ColumnKind::Torque, ColumnKind::Power].into_iter().find(|kind| {
        unit_for(*kind, name).is_some()
            || (!written_unit.is_empty() && unit_for(*kind, written_unit).is_some())
    });
    let kind = by_name.or(by_unit).unwrap_or(ColumnKind::Ignored);
    let unit =
        unit_for(kind, written_unit).or_else(|| unit_for(kind, name).filter(|_| written_unit.is_empty()));
    // "Power" in N m is no power.
    let other_kind = by_unit.filter(|other| *other != kind && unit.is_none() && !written_unit.is_empty());
    let kind = if other_kind.is_some() && is_essential(kind) { ColumnKind::Ignored } else { kind };
    let why = if kind == ColumnKind::Ignored { Why::NotUsed } else { Why::Written };
    Column { name: name.to_owned(), written_unit: written_unit.to_owned(), kind, unit, why }
}

fn obey(columns: &mut [Column], told: &ColumnInstruction, header: &Header) -> Result<(), ImportError> {
    let by_name = columns.iter().position(|column| column.name.eq_ignore_ascii_case(&told.name));
    let whole = header.as_written.iter().position(|name| name.eq_ignore_ascii_case(&told.name));
    let by_number = told.name.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    let idx = by_name.or(whole).or(by_number).filter(|idx| *idx < columns.len());
    let Some(idx) = idx else {
        let names = header.names.clone();
        return Err(ImportError::NoColumn { line: header.line, wanted: told.name.clone(), names });
    };
    let column = &mut columns[idx];
    let text = if told.unit.is_empty() { column.written_unit.clone() } else { told.unit.clone() };
    column.kind = told.kind;
    column.unit = unit_for(told.kind, &text).or_else(|| unit_for(told.kind, &column.name));
    column.why = if told.kind == ColumnKind::Ignored { Why::NotUsed } else { Why::Told };
    if !told.unit.is_empty() {
        column.written_unit.clone_from(&told.unit);
    }
    Ok(())
}

/// Pairs of units somebody prints together, and T n / P of each with n in rpm.
const PAIRS: [(&str, &str); 5] =
    [("N m", "kW"), ("N m", "PS"), ("N m", "hp"), ("lb-ft", "hp"), ("kgf m", "PS")];
/// How far T n / P may be from a pair's own number; horsepower and PS are 1.4 % apart.
const PAIR_SLACK: f64 = 0.006;

/// Gives torque and power without a unit the pair of units in which torque times speed is power, where exactly one does.
fn units_from_physics(columns: &mut [Column], rows: &[Row], decimal: Decimal) {
    let find = |kind| columns.iter().position(|column: &Column| column.kind == kind);
    let (Some(speed), Some(torque), Some(power)) =
        (find(ColumnKind::Speed), find(ColumnKind::Torque), find(ColumnKind::Power))
    else {
        return;
    };
    let without = |idx: usize| columns[idx].unit.is_none() && columns[idx].written_unit.is_empty();
    if !without(torque) && !without(power) {
        return;
    }
    let mut ratios: Vec<f64> = rows
        .iter()
        .filter(|row| row.is_data())
        .filter_map(|row| {
            let cell = |idx: usize| row.cells.get(idx)?.number(decimal);
            let ratio = cell(torque)? * cell(speed)? / cell(power)?;
            ratio.is_finite().then_some(ratio)
        })
        .collect();
    ratios.sort_by(f64::total_cmp);
    let Some(median) = ratios.get(ratios.len() / 2).copied() else { return };
    let times = columns[speed].unit.map_or(1.0, |unit| unit.times);
    let fits = PAIRS.iter().filter(|(of_torque, of_power)| {
        let known =
            |idx: usize, symbol: &str| columns[idx].unit.is_none_or(|unit| unit.unit.symbol == symbol);
        let si = |kind, symbol| unit_for(kind, symbol).map_or(f64::NAN, |unit: ColumnUnit| unit.to_si(1.0));
        let own =
            si(ColumnKind::Power, of_power) / si(ColumnKind::Torque, of_torque) * 30.0 / std::f64::consts::PI;
        known(torque, of_torque) && known(power, of_power) && (median * times / own - 1.0).abs() < PAIR_SLACK
    });
    let fits: Vec<&(&str, &str)> = fits.collect();
    let [(of_torque, of_power)] = fits.as_slice() else { return };
    for (idx, kind, symbol) in [(torque, ColumnKind::Torque, of_torque), (power, ColumnKind::Power, of_power)]
    {
        if columns[idx].unit.is_none() {
            columns[idx].unit = unit_for(kind, symbol);
            columns[idx].why = Why::Physics;
        }
    }
}

/// The unit of a column without one, where the size of its numbers leaves no other; the ranges do not touch.
fn guessed_unit(kind: ColumnKind, samples: &[f64]) -> Option<(&'static str, Why)> {
    let mean = samples.iter().sum::<f64>() / samples.len().max(1) as f64;
    let within = |table: &[(f64, f64, &'static str)]| {
        let found = table.iter().find(|(low, high, _)| *low <= mean && mean <= *high);
        found.map(|(_, _, symbol)| (*symbol, Why::Size))
    };
    match kind {
        ColumnKind::Speed => Some(("rpm", Why::Usual)),
        ColumnKind::Time => Some(("s", Why::Usual)),
        ColumnKind::Humidity => Some(("%", Why::Usual)),
        ColumnKind::Barometer => within(&[
            (0.75, 1.1, "bar"),
            (11.0, 16.0, "psi"),
            (22.0, 32.0, "inHg"),
            (70.0, 110.0, "kPa"),
            (570.0, 699.0, "mmHg"),
            (825.0, 1100.0, "hPa"),
        ]),
        ColumnKind::Coolant | ColumnKind::Oil => within(&[(40.0, 125.0, "degC"), (140.0, 300.0, "degF")]),
        ColumnKind::InletAir | ColumnKind::DryBulb => within(&[(8.0, 32.0, "degC"), (55.0, 130.0, "degF")]),
        _ => None,
    }
}

/// Refuses what is not there and what is there twice.
fn settle(columns: &mut [Column], header: &Header) -> Result<(), ImportError> {
    let line = header.line;
    let names = || header.names.clone();
    let numbered = header.first_data == 0;
    let all = |kind| columns.iter().filter(move |column: &&Column| column.kind == kind);
    for kind in [ColumnKind::Speed, ColumnKind::Torque, ColumnKind::Power, ColumnKind::Time, ColumnKind::Run]
    {
        let mut found = all(kind);
        if let (Some(first), Some(second)) = (found.next(), found.next()) {
            let (first, second) = (first.name.clone(), second.name.clone());
            return Err(ImportError::Twice { line, kind: kind.key(), first, second });
        }
    }
    if all(ColumnKind::Speed).next().is_none() {
        let none = ImportError::NoSpeed { line, names: names() };
        return Err(if numbered { ImportError::NoHeader { line } } else { none });
    }
    let measured = || all(ColumnKind::Torque).chain(all(ColumnKind::Power));
    if measured().next().is_none() {
        let mut corrected = all(ColumnKind::CorrectedTorque).chain(all(ColumnKind::CorrectedPower));
        let Some(corrected) = corrected.next() else {
            return Err(ImportError::NoTorque { line, names: names() });
        };
        if corrected.unit.is_none() {
            let (name, kind) = (corrected.name.clone(), corrected.kind.key());
            return Err(ImportError::NoUnit { line, name, kind });
        }
    } else if measured().all(|column| column.unit.is_none()) {
        let Some(first) = measured().next() else { return Ok(()) };
        return Err(ImportError::NoUnit { line, name: first.name.clone(), kind: first.kind.key() });
    }
    // One of torque and power is enough; the other without a unit is left.
    for column in columns.iter_mut().filter(|column| is_essential(column.kind) && column.unit.is_none()) {
        (column.kind, column.why) = (ColumnKind::Ignored, Why::NotUsed);
    }
    Ok(())
}
