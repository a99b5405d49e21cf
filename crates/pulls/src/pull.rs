//! What one pull is: readings as they came, and what is known of how they were made. Leaves out corrections and comparison.

use std::fmt;

use units::thermodynamic_temperature::degree_celsius;
use units::{Pressure, Quantity, ThermodynamicTemperature};

use crate::column_kind::ColumnKind;
use crate::engine_kind::EngineKind;
use crate::processing::Processing;
use crate::weather_readings::WeatherReadings;
use crate::when::When;

/// One run on a brake.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// What it is called; unique within a test.
    pub name: String,
    /// Which part of a test it belongs to.
    pub group: Option<Group>,
    /// When it was made.
    pub when: Option<When>,
    /// What measured it, in the words of whoever did.
    pub instrument: Option<String>,
    /// Where in the driveline the torque was taken; `None` where nobody said.
    pub at_wheels: bool,
    /// Ignition and charging, for the corrections.
    pub engine: EngineKind,
    /// The air, as far as it was read.
    pub weather: WeatherReadings,
    /// How the speed moved.
    pub sweep: Sweep,
    /// Smoothing and inertia, laid over the readings whenever a curve is asked for.
    pub processing: Processing,
    /// The readings.
    pub rows: Rows,
    /// Where they came from.
    pub origin: Origin,
    /// What was supposed because nobody gave it.
    pub assumed: Vec<String>,
    /// Lines of the file that were kept but not understood, `key: value`.
    pub remarks: Vec<String>,
}

/// Part of an A-B-A test.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// The base, before.
    A,
    /// The changed engine.
    B,
    /// The base again, after.
    A2,
}

impl Group {
    /// How it is typed and printed.
    pub fn key(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::A2 => "A2",
        }
    }

    /// Reads `A`, `B`, `A2` in any case; `A1` is `A`.
    pub fn parse(text: &str) -> Option<Self> {
        Some(match text.trim().to_uppercase().as_str() {
            "A" | "A1" => Self::A,
            "B" => Self::B,
            "A2" => Self::A2,
            _ => return None,
        })
    }

    /// Whether the changed part was on the engine.
    pub fn is_changed(self) -> bool {
        self == Self::B
    }
}

impl fmt::Display for Group {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.key())
    }
}

/// How the speed moved during a pull.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sweep {
    /// Recorded over time while the speed rose.
    Up,
    /// Recorded over time while it fell.
    Down,
    /// One reading a speed, held there.
    Stepped,
}

impl Sweep {
    /// How files and answers name it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Up => "up",
            Self::Down => "down",
            Self::Stepped => "stepped",
        }
    }

    /// The sweep of a key.
    pub fn parse(text: &str) -> Option<Self> {
        [Self::Up, Self::Down, Self::Stepped].into_iter().find(|sweep| sweep.key() == text)
    }
}

/// The file a pull was read from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Origin {
    /// Its name.
    pub file: String,
    /// Digest of its bytes, see [`crate::digest`].
    pub digest: String,
    /// First and last line the readings stood on.
    pub lines: (usize, usize),
}

/// Readings in the order they were made. Speed and torque are finite in every row; other columns hold NaN where there was no
/// reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rows {
    speed_rpm: Vec<f64>,
    torque_nm: Vec<f64>,
    time_s: Option<Vec<f64>>,
    others: Vec<OtherColumn>,
}

/// A further column, in the unit of [`ColumnKind::stored_unit`].
#[derive(Clone, Debug, PartialEq)]
pub struct OtherColumn {
    /// What it is.
    pub kind: ColumnKind,
    /// What the file called it.
    pub name: String,
    /// A number for every row, NaN for none.
    pub values: Vec<f64>,
}

/// Why columns are no readings.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RowsError {
    /// Columns of different length.
    #[error("found {found} values for {column}, expected {expected}")]
    Length {
        /// Which column.
        column: String,
        /// Its values.
        found: usize,
        /// Values of the speed.
        expected: usize,
    },
    /// A speed, torque or time that is no number.
    #[error("found no finite {column} in row {row}, expected a number")]
    NotFinite {
        /// Which column.
        column: &'static str,
        /// Which row, from 1.
        row: usize,
    },
}

impl Rows {
    /// Readings of these columns.
    pub fn new(
        speed_rpm: Vec<f64>,
        torque_nm: Vec<f64>,
        time_s: Option<Vec<f64>>,
        others: Vec<OtherColumn>,
    ) -> Result<Self, RowsError> {
        let expected = speed_rpm.len();
        let mut lengths = vec![("torque".to_owned(), torque_nm.len())];
        lengths.extend(time_s.iter().map(|times| ("time".to_owned(), times.len())));
        lengths.extend(others.iter().map(|other| (other.name.clone(), other.values.len())));
        if let Some((column, found)) = lengths.into_iter().find(|(_, found)| *found != expected) {
            return Err(RowsError::Length { column, found, expected });
        }
        let times = time_s.as_deref().unwrap_or(&[]);
        for (column, values) in [("speed", speed_rpm.as_slice()), ("torque", &torque_nm), ("time", times)] {
            if let Some(row) = values.iter().position(|value| !value.is_finite()) {
                return Err(RowsError::NotFinite { column, row: row + 1 });
            }
        }
        Ok(Self { speed_rpm, torque_nm, time_s, others })
    }

    /// The same readings with every torque times `factor`, a finite number.
    pub(crate) fn scaled(&self, factor: f64) -> Self {
        Self { torque_nm: self.torque_nm.iter().map(|torque| torque * factor).collect(), ..self.clone() }
    }

    /// Number of readings.
    pub fn len(&self) -> usize {
        self.speed_rpm.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.speed_rpm.is_empty()
    }

    /// Engine speeds.
    pub fn speed_rpm(&self) -> &[f64] {
        &self.speed_rpm
    }

    /// Torques as measured.
    pub fn torque_nm(&self) -> &[f64] {
        &self.torque_nm
    }

    /// Times, where the file had them.
    pub fn time_s(&self) -> Option<&[f64]> {
        self.time_s.as_deref()
    }

    /// The further columns.
    pub fn others(&self) -> &[OtherColumn] {
        &self.others
    }

    /// Mean of a further column over the readings it has, in its stored unit.
    pub fn mean_of(&self, kind: ColumnKind) -> Option<f64> {
        let column = self.others.iter().find(|other| other.kind == kind)?;
        let known: Vec<f64> = column.values.iter().copied().filter(|value| value.is_finite()).collect();
        (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64)
    }

    /// Mean temperature of a column of temperatures.
    pub fn mean_temperature(&self, kind: ColumnKind) -> Option<ThermodynamicTemperature> {
        Some(ThermodynamicTemperature::new::<degree_celsius>(self.mean_of(kind)?))
    }

    /// Mean pressure of a column of pressures.
    pub fn mean_pressure(&self, kind: ColumnKind) -> Option<Pressure> {
        Some(Pressure::from_si(kind.stored_unit().to_si(self.mean_of(kind)?)))
    }

    /// Lowest and highest speed.
    pub fn span_rpm(&self) -> (f64, f64) {
        let low = self.speed_rpm.iter().copied().fold(f64::INFINITY, f64::min);
        let high = self.speed_rpm.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (low, high)
    }
}

/// kW of a torque at a speed: P = T 2 pi n / 60.
pub fn power_kw(torque_nm: f64, speed_rpm: f64) -> f64 {
    torque_nm * speed_rpm * std::f64::consts::PI / 30e3
}

/// N m of a power at a speed.
pub fn torque_of_power_nm(power_kw: f64, speed_rpm: f64) -> f64 {
    power_kw * 30e3 / (std::f64::consts::PI * speed_rpm)
}
