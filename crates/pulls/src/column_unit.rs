//! Which unit a header or a unit row writes for a column. Leaves out what the column is.

use units::Unit;
use units::parse_unit::reduce_unit;

use crate::column_kind::ColumnKind;

/// A name with its unit taken off: `Torque (N·m)` is `Torque` and `N·m`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NameAndUnit {
    /// The name alone.
    pub name: String,
    /// What stands where a unit stands; empty for nothing.
    pub unit: String,
}

/// Spellings brakes use that sheets do not: the unit's symbol in the tables, and what its number is multiplied by.
const BRAKE_SPELLINGS: &[(&str, &str, f64)] = &[
    ("min 1", "rpm", 1.0),
    ("min⁻¹", "rpm", 1.0),
    ("1/min", "rpm", 1.0),
    ("u/min", "rpm", 1.0),
    ("tr/min", "rpm", 1.0),
    ("giri/min", "rpm", 1.0),
    ("rev/min", "rpm", 1.0),
    ("krpm", "rpm", 1000.0),
    ("rpm x 1000", "rpm", 1000.0),
    ("rpm x1000", "rpm", 1000.0),
    ("x1000 rpm", "rpm", 1000.0),
    ("rpm/1000", "rpm", 1000.0),
    ("% rh", "%", 1.0),
    ("%rh", "%", 1.0),
    ("rh%", "%", 1.0),
    ("% rf", "%", 1.0),
    ("kgfm", "kgf m", 1.0),
    ("mkgf", "kgf m", 1.0),
    ("mkp", "kgf m", 1.0),
    ("kpm", "kgf m", 1.0),
    ("ft lbs", "lb-ft", 1.0),
    ("ft/lb", "lb-ft", 1.0),
    ("ft/lbs", "lb-ft", 1.0),
    ("lb/ft", "lb-ft", 1.0),
    ("n m", "N m", 1.0),
    ("nm", "N m", 1.0),
    ("kw", "kW", 1.0),
    ("ps", "PS", 1.0),
    ("din hp", "PS", 1.0),
    ("whp", "hp", 1.0),
    ("kpa", "kPa", 1.0),
    ("kpa abs", "kPa", 1.0),
    ("hpa", "hPa", 1.0),
    ("inhg", "inHg", 1.0),
    ("in hg", "inHg", 1.0),
    ("\" hg", "inHg", 1.0),
    ("\"hg", "inHg", 1.0),
    ("torr", "mmHg", 1.0),
    ("degc", "degC", 1.0),
    ("°c", "degC", 1.0),
    ("c", "degC", 1.0),
    ("degf", "degF", 1.0),
    ("°f", "degF", 1.0),
    ("f", "degF", 1.0),
    ("k", "K", 1.0),
    ("s", "s", 1.0),
    ("secs", "s", 1.0),
    ("sek", "s", 1.0),
];

/// A unit as a column uses it: SI of a cell is `unit.to_si(times * cell)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColumnUnit {
    /// From the tables.
    pub unit: Unit,
    /// What a cell is multiplied by first; 1 but for thousands of revolutions.
    pub times: f64,
}

impl ColumnUnit {
    /// SI value of a cell.
    pub fn to_si(&self, cell: f64) -> f64 {
        self.unit.to_si(self.times * cell)
    }

    /// A cell in the unit stored pulls keep this kind in; the very number of the cell where that is its unit.
    pub fn to_stored(&self, kind: ColumnKind, cell: f64) -> f64 {
        let stored = kind.stored_unit();
        if stored == self.unit && self.times == 1.0 { cell } else { stored.from_si(self.to_si(cell)) }
    }

    /// How it is printed, and read back by [`unit_for`].
    pub fn symbol(&self) -> &'static str {
        if self.times == 1.0 { self.unit.symbol } else { "krpm" }
    }
}

/// The unit a text spells for a column of this kind.
pub fn unit_for(kind: ColumnKind, text: &str) -> Option<ColumnUnit> {
    let reduced = reduce_unit(text.trim());
    if reduced.is_empty() {
        return None;
    }
    let units = kind.units();
    let exact = units.iter().find(|unit| {
        unit.symbol == text.trim() || unit.symbol == reduced || unit.spellings.contains(&reduced.as_str())
    });
    if let Some(unit) = exact {
        return Some(ColumnUnit { unit: *unit, times: 1.0 });
    }
    // A brake's file has only one meaning for a letter in a column of known kind, so case is let go here.
    let lower = reduced.to_lowercase();
    let known = BRAKE_SPELLINGS
        .iter()
        .find(|(spelling, symbol, _)| *spelling == lower && units.iter().any(|unit| unit.symbol == *symbol));
    if let Some((_, symbol, times)) = known {
        let unit = units.iter().find(|unit| unit.symbol == *symbol)?;
        return Some(ColumnUnit { unit: *unit, times: *times });
    }
    let folded = units.iter().find(|unit| {
        let spelled = |spelling: &str| !spelling.is_empty() && reduce_unit(spelling).to_lowercase() == lower;
        spelled(unit.symbol) || unit.spellings.iter().any(|spelling| spelled(spelling))
    });
    folded.map(|unit| ColumnUnit { unit: *unit, times: 1.0 })
}

/// Whether a text spells a unit of any kind a column can have.
pub fn is_some_unit(text: &str) -> bool {
    let bare = bracketed(text).unwrap_or(text.trim());
    ColumnKind::ALL.into_iter().any(|kind| unit_for(kind, bare).is_some())
        || ["-", "–", "[-]", "λ", "ratio", "v", "deg", "°", "km/h", "mph", "l/h", "g/kwh", "#", "count"]
            .contains(&bare.to_lowercase().as_str())
}

/// What stands in the brackets that are all of a text.
fn bracketed(text: &str) -> Option<&str> {
    let text = text.trim();
    let inner = |open, close| text.strip_prefix(open)?.strip_suffix(close).map(str::trim);
    inner('[', ']').or_else(|| inner('(', ')')).or_else(|| inner('<', '>')).or_else(|| inner('{', '}'))
}

/// Takes the brackets off a cell of a unit row.
pub fn without_brackets(text: &str) -> &str {
    bracketed(text).unwrap_or(text.trim())
}

/// Takes a header apart: unit in brackets, behind a comma or a stroke with blanks, or as last words or part (`torque_nm`).
/// `kind` says what the name was taken for; a unit that is not in brackets has to be one of its units.
pub fn split_name(header: &str, kind_of: impl Fn(&str) -> Option<ColumnKind>) -> NameAndUnit {
    let header = header.trim();
    for (open, close) in [('[', ']'), ('(', ')'), ('<', '>'), ('{', '}')] {
        let Some(to) = header.rfind(close) else { continue };
        let Some(from) = header[..to].rfind(open) else { continue };
        let inner = header[from + open.len_utf8()..to].trim();
        let name = format!("{} {}", &header[..from], &header[to + close.len_utf8()..]);
        // "Torque (corrected)" has no unit in its brackets; square ones hold nothing else, but for such words.
        let told_apart = ["corrected", "uncorrected", "raw", "corr", "measured", "sae", "std", "din", "jis"];
        let square = open == '[' && !told_apart.contains(&inner.to_lowercase().as_str()) && !inner.is_empty();
        if square || is_some_unit(inner) {
            return NameAndUnit { name: name.trim().to_owned(), unit: inner.to_owned() };
        }
    }
    let whole = || NameAndUnit { name: header.to_owned(), unit: String::new() };
    let Some(kind) = kind_of(header) else { return whole() };
    let breaks = header.char_indices().filter(|(_, c)| matches!(c, ' ' | '_' | ',' | '/' | '.' | '-' | ':'));
    for (at, c) in breaks {
        let unit = header[at + c.len_utf8()..].trim_matches([' ', '_', ',', '/', ':']);
        let name = header[..at].trim_matches([' ', '_', ',', '/', ':']);
        if !name.is_empty() && unit_for(kind, &unit.replace('_', " ")).is_some() && kind_of(name).is_some() {
            return NameAndUnit { name: name.to_owned(), unit: unit.replace('_', " ") };
        }
    }
    whole()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::column_kind::kind_of_name;

    #[test]
    fn exact_headers_come_apart() {
        for (header, name, unit) in [
            ("Torque (N·m)", "Torque", "N·m"),
            ("torque_nm", "torque", "nm"),
            ("Drehzahl [1/min]", "Drehzahl", "1/min"),
            ("Drehzahl / 1/min", "Drehzahl", "1/min"),
            ("Torque, lb-ft", "Torque", "lb-ft"),
            ("oil_temp_degC", "oil_temp", "degC"),
            ("Torque (corrected) [Nm]", "Torque (corrected)", "Nm"),
            ("Torque (corrected)", "Torque (corrected)", ""),
            ("Power hp", "Power", "hp"),
            ("time_s", "time", "s"),
            ("RPM", "RPM", ""),
        ] {
            let split = split_name(header, kind_of_name);
            assert_eq!((split.name.trim(), split.unit.as_str()), (name, unit), "{header}");
        }
    }

    #[test]
    fn exact_units_of_brakes() {
        let check = |kind, text: &str, cell: f64, si: f64| {
            let got = unit_for(kind, text).map(|unit| unit.to_si(cell)).unwrap_or(f64::NAN);
            assert!((got - si).abs() < 1e-9 * si.abs().max(1.0), "{text}: {got}, expected {si}");
        };
        check(ColumnKind::Speed, "x1000 rpm", 3.0, 3000.0 * std::f64::consts::PI / 30.0);
        check(ColumnKind::Speed, "min-1", 3000.0, 3000.0 * std::f64::consts::PI / 30.0);
        check(ColumnKind::Torque, "NM", 1.0, 1.0);
        check(ColumnKind::Torque, "ft-lbs", 1.0, 1.355_817_948_331_400_3);
        check(ColumnKind::Power, "PS", 1.0, 735.498_75);
        check(ColumnKind::Power, "CV", 1.0, 735.498_75);
        check(ColumnKind::Barometer, "in Hg", 29.92, 29.92 * 3_386.389);
        check(ColumnKind::Coolant, "°F", 212.0, 373.15);
        check(ColumnKind::Humidity, "%rH", 45.0, 0.45);
        assert_eq!(unit_for(ColumnKind::Torque, "kW"), None);
    }
}
