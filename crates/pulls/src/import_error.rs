//! Why a file is not read: the line, what was found there, and what to do. Leaves out the file's name, which the caller knows.

use crate::weather::WeatherError;
use crate::weather_readings::WeatherMissing;

/// Why a file is not read as pulls.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the message above each variant says what its fields are")]
pub enum ImportError {
    /// An empty file.
    #[error("line 1: found nothing, expected a table of readings")]
    Empty,
    /// Control codes.
    #[error("line {line}: found bytes that are no text, expected a CSV text or an XLSX workbook")]
    NotText { line: usize },
    /// A workbook that cannot be opened.
    #[error("line 1: the workbook cannot be opened ({reason}); save it again as XLSX or CSV")]
    Workbook { reason: String },
    /// Too many rows or columns.
    #[error("line 1: found {found} {what}, expected at most {most}: is this a recording of a whole day")]
    TooBig { found: usize, what: &'static str, most: usize },
    /// No rows of numbers.
    #[error("line {line}: found no rows with two numbers or more, expected a table of readings")]
    NoTable { line: usize },
    /// A workbook without a sheet of that name.
    #[error("line 1: found no sheet `{wanted}`, expected one of {}", .have.join(", "))]
    NoSheet { wanted: String, have: Vec<String> },
    /// Numbers from the first line on.
    #[error(
        "line {line}: found numbers without a header above them; say what the columns are, such as --columns \"1=speed rpm, 2=torque Nm\""
    )]
    NoHeader { line: usize },
    /// No column with an engine speed.
    #[error("line {line}: found no column with the engine speed among {}; say which it is, such as --columns \"NAME=speed rpm\"", listed(.names))]
    NoSpeed { line: usize, names: Vec<String> },
    /// Neither torque nor power.
    #[error("line {line}: found neither torque nor power among {}; say which it is, such as --columns \"NAME=torque Nm\"", listed(.names))]
    NoTorque { line: usize, names: Vec<String> },
    /// Only corrected figures, and no factor to undo the correction.
    #[error(
        "line {line}: `{name}` is corrected already and no column gives the factor; export the measured torque, or the factor with it; or say to which standard, such as --corrected sae, where the weather is known; or --columns \"{name}=torque UNIT\" if it is uncorrected after all"
    )]
    OnlyCorrected { line: usize, name: String },
    /// A correction to undo, and no weather to know it from.
    #[error("line {line}: the figures are corrected and the factor is to be worked out, but {missing}")]
    CorrectedWithoutWeather { line: usize, missing: WeatherMissing },
    /// A correction to undo in weather that cannot be.
    #[error("line {line}: the figures are corrected and the factor is to be worked out, but {wrong}")]
    CorrectedInBadWeather { line: usize, wrong: WeatherError },
    /// Two columns that would be the same thing.
    #[error(
        "line {line}: columns `{first}` and `{second}` both look like {kind}; say which one to leave out, such as --columns \"{second}=ignored\""
    )]
    Twice { line: usize, kind: &'static str, first: String, second: String },
    /// A unit that is none of this kind.
    #[error(
        "line {line}: found the unit `{found}` for `{name}`, expected a unit of {kind}; say it with --columns \"{name}={kind} UNIT\""
    )]
    UnknownUnit { line: usize, name: String, found: String, kind: &'static str },
    /// No unit, and nothing to tell it from.
    #[error(
        "line {line}: `{name}` has no unit and nothing tells which one it is; say it with --columns \"{name}={kind} UNIT\""
    )]
    NoUnit { line: usize, name: String, kind: &'static str },
    /// `--columns` names a column that is not there.
    #[error("line {line}: found no column `{wanted}`, expected one of {}", listed(.names))]
    NoColumn { line: usize, wanted: String, names: Vec<String> },
    /// An instruction that cannot be read.
    #[error("found `{found}`, expected NAME=KIND UNIT such as \"Torque=torque Nm\"; kinds are {kinds}")]
    BadColumns { found: String, kinds: String },
    /// Points and commas for decimals in one file.
    #[error(
        "line {line}: found `{found}`, but line {other_line} writes `{other}`: decimal comma and decimal point in one file"
    )]
    MixedDecimals { line: usize, found: String, other_line: usize, other: String },
    /// `3,000` in a file that has nothing to tell.
    #[error(
        "line {line}: found `{found}`, which may be three or three thousand; say --decimal comma or --decimal point"
    )]
    EitherDecimal { line: usize, found: String },
    /// Something that is no number where a reading stands.
    #[error("line {line}, column `{column}`: found `{found}`, expected a number")]
    NotANumber { line: usize, column: String, found: String },
    /// A number no engine reaches.
    #[error("line {line}, column `{column}`: found {found}, expected {expected}; is the unit right")]
    Absurd { line: usize, column: String, found: String, expected: &'static str },
    /// Too few readings.
    #[error("line {line}: found {found} usable readings, expected at least {least}")]
    TooFew { line: usize, found: usize, least: usize },
    /// Speeds that do not move.
    #[error(
        "line {line}: the engine speed stays within {span_rpm:.0} rpm, expected a pull over at least {least_rpm:.0} rpm"
    )]
    NoSweep { line: usize, span_rpm: f64, least_rpm: f64 },
    /// Torque and power that contradict each other.
    #[error(
        "line {line}: torque times speed makes {made:.1} kW but the power column says {said:.1} kW, {percent:.0} % apart; is one of them corrected, at the wheels, or in another unit? leave one out, such as --columns \"{power}=ignored\""
    )]
    Contradiction { line: usize, made: f64, said: f64, percent: f64, power: String },
}

fn listed(names: &[String]) -> String {
    const MOST: usize = 12;
    let mut text = names.iter().take(MOST).map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    if names.len() > MOST {
        text.push_str(&format!(" and {} more", names.len() - MOST));
    }
    text
}
