//! A pull as a file of ours: TOML with the readings as CSV inside, so that one file is the whole pull and any program can read
//! it. Leaves out where the file lies. Reading what was written gives the same pull, bit for bit.

use std::fmt::Write as _;

use toml::{Table, Value};
use units::{
    Length, Pressure, Quantity, Ratio, ThermodynamicTemperature, Typed, UnitSystem, parse, to_sheet_text,
};

use crate::column_kind::ColumnKind;
use crate::engine_kind::{DieselFuel, EngineKind};
use crate::processing::Processing;
use crate::pull::{Group, Origin, OtherColumn, Pull, Rows, RowsError, Sweep};
use crate::weather_humidity::Humidity;
use crate::weather_pressure::{Barometer, SeaLevelPressure, StationPressure};
use crate::weather_readings::WeatherReadings;
use crate::when::When;

/// Number of the format.
pub const PULL_FORMAT: i64 = 1;

/// Why bytes are no stored pull.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PullFileError {
    /// No text.
    #[error("found bytes that are no UTF-8, expected a pull written by `headroom pulls import`")]
    NotText,
    /// No TOML.
    #[error("line {line}: found no TOML ({reason}), expected a pull written by `headroom pulls import`")]
    Toml {
        /// Where.
        line: usize,
        /// What the reader of TOML says.
        reason: String,
    },
    /// Another format.
    #[error("found format {found}, expected {PULL_FORMAT}")]
    Format {
        /// What was found.
        found: String,
    },
    /// A key that is missing or something else.
    #[error("found {found} for `{key}`, expected {expected}")]
    Key {
        /// Which key.
        key: &'static str,
        /// What was found.
        found: String,
        /// What it should be.
        expected: String,
    },
    /// A row of readings that is none.
    #[error("row {row} of the readings: found `{found}`, expected {expected} numbers")]
    Row {
        /// Which row, from 1.
        row: usize,
        /// What was found.
        found: String,
        /// How many columns there are.
        expected: usize,
    },
    /// Columns that do not fit together.
    #[error("the readings do not fit together: {0}")]
    Rows(#[from] RowsError),
}

/// Writes a pull.
pub fn write_pull(pull: &Pull) -> String {
    let mut out = String::from(
        "# A pull as it was measured. Smoothing and inertia are settings; take one away and it is gone.\n",
    );
    let quoted = |text: &str| Value::String(text.to_owned()).to_string();
    let mut line = |key: &str, value: String| {
        let _ = writeln!(out, "{key} = {value}");
    };
    line("format", PULL_FORMAT.to_string());
    line("name", quoted(&pull.name));
    if let Some(group) = pull.group {
        line("group", quoted(group.key()));
    }
    if let Some(when) = pull.when {
        line("when", quoted(&when.to_string()));
    }
    if let Some(instrument) = &pull.instrument {
        line("instrument", quoted(instrument));
    }
    line("at_wheels", pull.at_wheels.to_string());
    line("sweep", quoted(pull.sweep.key()));
    let list = |texts: &[String]| {
        format!("[{}]", texts.iter().map(|text| quoted(text)).collect::<Vec<_>>().join(", "))
    };
    line("assumed", list(&pull.assumed));
    line("remarks", list(&pull.remarks));
    let (kind, fuel) = match pull.engine {
        EngineKind::Spark => ("spark", None),
        EngineKind::SparkBoosted => ("spark boosted", None),
        EngineKind::Diesel(fuel) => ("diesel", Some(fuel)),
        EngineKind::DieselTurbo(fuel) => ("diesel turbo", Some(fuel)),
    };
    line("\n[engine]\nkind", quoted(kind));
    if let Some(fuel) = fuel {
        line("fuel_mg_per_litre_cycle", float(fuel.mg_per_litre_cycle));
        line("pressure_ratio", float(fuel.pressure_ratio));
    }
    out.push_str("\n[weather]\n");
    write_weather(&mut out, &pull.weather);
    out.push_str("\n[processing]\n");
    if let Some(inertia) = pull.processing.inertia_kg_m2 {
        let _ = writeln!(out, "inertia_kg_m2 = {}", float(inertia));
    }
    if let Some(width) = pull.processing.smoothing_rpm {
        let _ = writeln!(out, "smoothing_rpm = {}", float(width));
    }
    let Origin { file, digest, lines: (from, to) } = &pull.origin;
    let _ = writeln!(
        out,
        "\n[origin]\nfile = {}\ndigest = {}\nlines = [{from}, {to}]",
        quoted(file),
        quoted(digest)
    );
    write_rows(&mut out, &pull.rows);
    out
}

/// A number that TOML reads back as a float.
fn float(number: f64) -> String {
    format!("{number:?}")
}

fn text_of<Q: Quantity>(value: Q) -> String {
    Value::String(to_sheet_text(&Typed::bare(value), UnitSystem::Metric)).to_string()
}

fn write_weather(out: &mut String, weather: &WeatherReadings) {
    let mut line = |key: &str, value: String| {
        let _ = writeln!(out, "{key} = {value}");
    };
    match weather.barometer {
        Some(Barometer::Station(pressure)) => line("barometer", text_of(pressure.pressure())),
        Some(Barometer::SeaLevel(pressure, elevation)) => {
            line("sea_level_pressure", text_of(pressure.reported()));
            line("elevation", text_of(elevation));
        }
        None => {}
    }
    if let Some(inlet) = weather.inlet {
        line("inlet", text_of(inlet));
    }
    if let Some(dry_bulb) = weather.dry_bulb {
        line("dry_bulb", text_of(dry_bulb));
    }
    match weather.humidity {
        Some(Humidity::Relative(share)) => line("relative_humidity", text_of(share)),
        Some(Humidity::DewPoint(t)) => line("dew_point", text_of(t)),
        Some(Humidity::WetBulb(t)) => line("wet_bulb", text_of(t)),
        None => {}
    }
}

fn write_rows(out: &mut String, rows: &Rows) {
    let quoted = |text: &str| Value::String(text.to_owned()).to_string();
    let mut columns: Vec<(ColumnKind, &str, &[f64])> = Vec::new();
    if let Some(times) = rows.time_s() {
        columns.push((ColumnKind::Time, "time", times));
    }
    columns.push((ColumnKind::Speed, "speed", rows.speed_rpm()));
    columns.push((ColumnKind::Torque, "torque", rows.torque_nm()));
    columns
        .extend(rows.others().iter().map(|other| (other.kind, other.name.as_str(), other.values.as_slice())));
    out.push_str("\n[readings]\ncolumn = [\n");
    for (kind, name, _) in &columns {
        let unit = kind.stored_unit().symbol;
        let _ = writeln!(
            out,
            "  {{ kind = {}, name = {}, unit = {} }},",
            quoted(kind.key()),
            quoted(name),
            quoted(unit)
        );
    }
    out.push_str("]\ncsv = '''\n");
    for row in 0..rows.len() {
        let cell = |value: f64| if value.is_nan() { String::new() } else { value.to_string() };
        let cells: Vec<String> = columns.iter().map(|(_, _, values)| cell(values[row])).collect();
        let _ = writeln!(out, "{}", cells.join(","));
    }
    out.push_str("'''\n");
}

/// Reads a pull.
pub fn read_pull(bytes: &[u8]) -> Result<Pull, PullFileError> {
    let text = std::str::from_utf8(bytes).map_err(|_| PullFileError::NotText)?;
    let table: Table = text.parse().map_err(|wrong: toml::de::Error| {
        let at = wrong.span().map_or(0, |span| span.start.min(text.len()));
        let line = 1 + text.as_bytes()[..at].iter().filter(|byte| **byte == b'\n').count();
        PullFileError::Toml { line, reason: wrong.message().to_owned() }
    })?;
    match table.get("format") {
        Some(Value::Integer(PULL_FORMAT)) => {}
        other => return Err(PullFileError::Format { found: found(other) }),
    }
    let top = Section(Some(&table));
    let section = |key: &str| Section(table.get(key).and_then(Value::as_table));
    let group =
        top.text("group")?.map(|text| Group::parse(&text).ok_or_else(|| wrong("group", &text, "A, B or A2")));
    let when = top
        .text("when")?
        .map(|text| When::parse(&text).ok_or_else(|| wrong("when", &text, "a date and time")));
    let sweep = top.needed_text("sweep")?;
    let origin = section("origin");
    let lines = origin.numbers("lines")?;
    Ok(Pull {
        name: top.needed_text("name")?,
        group: group.transpose()?,
        when: when.transpose()?,
        instrument: top.text("instrument")?,
        at_wheels: table.get("at_wheels").and_then(Value::as_bool).unwrap_or(false),
        engine: read_engine(&section("engine"))?,
        weather: read_weather(&section("weather"))?,
        sweep: Sweep::parse(&sweep).ok_or_else(|| wrong("sweep", &sweep, "up, down or stepped"))?,
        processing: read_processing(&section("processing"))?,
        rows: read_rows(&section("readings"))?,
        origin: Origin {
            file: origin.text("file")?.unwrap_or_default(),
            digest: origin.text("digest")?.unwrap_or_default(),
            lines: match lines.as_slice() {
                [from, to] => (*from, *to),
                _ => (0, 0),
            },
        },
        assumed: top.texts("assumed")?,
        remarks: top.texts("remarks")?,
    })
}

fn found(value: Option<&Value>) -> String {
    value.map_or("nothing".to_owned(), |value| value.to_string().chars().take(60).collect())
}

fn wrong(key: &'static str, text: &str, expected: &str) -> PullFileError {
    PullFileError::Key { key, found: format!("`{text}`"), expected: expected.to_owned() }
}

/// A table of the file, which may not be there.
struct Section<'a>(Option<&'a Table>);

impl Section<'_> {
    fn get(&self, key: &str) -> Option<&Value> {
        self.0?.get(key)
    }

    fn text(&self, key: &'static str) -> Result<Option<String>, PullFileError> {
        match self.get(key) {
            None => Ok(None),
            Some(Value::String(text)) => Ok(Some(text.clone())),
            other => Err(PullFileError::Key { key, found: found(other), expected: "a text".to_owned() }),
        }
    }

    fn needed_text(&self, key: &'static str) -> Result<String, PullFileError> {
        self.text(key)?.ok_or(PullFileError::Key { key, found: found(None), expected: "a text".to_owned() })
    }

    fn texts(&self, key: &'static str) -> Result<Vec<String>, PullFileError> {
        let Some(value) = self.get(key) else { return Ok(Vec::new()) };
        let bad =
            || PullFileError::Key { key, found: found(Some(value)), expected: "a list of texts".to_owned() };
        let list = value.as_array().ok_or_else(bad)?;
        list.iter().map(|item| item.as_str().map(str::to_owned).ok_or_else(bad)).collect()
    }

    fn numbers(&self, key: &'static str) -> Result<Vec<usize>, PullFileError> {
        let Some(value) = self.get(key) else { return Ok(Vec::new()) };
        let bad = || PullFileError::Key {
            key,
            found: found(Some(value)),
            expected: "a list of line numbers".to_owned(),
        };
        let list = value.as_array().ok_or_else(bad)?;
        list.iter()
            .map(|item| item.as_integer().and_then(|n| usize::try_from(n).ok()).ok_or_else(bad))
            .collect()
    }

    fn positive(&self, key: &'static str) -> Result<Option<f64>, PullFileError> {
        let number = match self.get(key) {
            None => return Ok(None),
            Some(Value::Float(number)) => *number,
            Some(Value::Integer(number)) => *number as f64,
            Some(_) => f64::NAN,
        };
        if number.is_finite() && 0.0 < number {
            return Ok(Some(number));
        }
        Err(PullFileError::Key { key, found: found(self.get(key)), expected: "a number above 0".to_owned() })
    }

    fn quantity<Q: Quantity>(&self, key: &'static str) -> Result<Option<Q>, PullFileError> {
        let Some(text) = self.text(key)? else { return Ok(None) };
        let value =
            parse(&text).map_err(|reason| wrong(key, &text, &format!("{} ({reason})", Q::expected())))?;
        Ok(Some(value))
    }
}

fn read_engine(section: &Section) -> Result<EngineKind, PullFileError> {
    let kind = section.text("kind")?.unwrap_or_else(|| "spark".to_owned());
    let fuel = || -> Result<DieselFuel, PullFileError> {
        let needed =
            |key| PullFileError::Key { key, found: found(None), expected: "a number above 0".to_owned() };
        let mg_per_litre_cycle =
            section.positive("fuel_mg_per_litre_cycle")?.ok_or(needed("fuel_mg_per_litre_cycle"))?;
        Ok(DieselFuel {
            mg_per_litre_cycle,
            pressure_ratio: section.positive("pressure_ratio")?.unwrap_or(1.0),
        })
    };
    match kind.as_str() {
        "spark" => Ok(EngineKind::Spark),
        "spark boosted" => Ok(EngineKind::SparkBoosted),
        "diesel" => Ok(EngineKind::Diesel(fuel()?)),
        "diesel turbo" => Ok(EngineKind::DieselTurbo(fuel()?)),
        _ => Err(wrong("kind", &kind, "spark, spark boosted, diesel or diesel turbo")),
    }
}

fn read_weather(section: &Section) -> Result<WeatherReadings, PullFileError> {
    let station = section.quantity::<Pressure>("barometer")?;
    let sea = section.quantity::<Pressure>("sea_level_pressure")?;
    let elevation = section.quantity::<Length>("elevation")?;
    let barometer = match (station, sea, elevation) {
        (Some(pressure), None, _) => Some(Barometer::Station(StationPressure::new(pressure))),
        (None, Some(pressure), Some(elevation)) => {
            Some(Barometer::SeaLevel(SeaLevelPressure::new(pressure), elevation))
        }
        (None, None, _) => None,
        (None, Some(_), None) => {
            let expected = "the elevation of the brake beside a sea-level pressure".to_owned();
            return Err(PullFileError::Key { key: "elevation", found: found(None), expected });
        }
        (Some(_), Some(_), _) => {
            let expected = "either barometer or sea_level_pressure".to_owned();
            return Err(PullFileError::Key { key: "barometer", found: "both".to_owned(), expected });
        }
    };
    let relative = section.quantity::<Ratio>("relative_humidity")?.map(Humidity::Relative);
    let dew = section.quantity::<ThermodynamicTemperature>("dew_point")?.map(Humidity::DewPoint);
    let wet = section.quantity::<ThermodynamicTemperature>("wet_bulb")?.map(Humidity::WetBulb);
    Ok(WeatherReadings {
        barometer,
        inlet: section.quantity("inlet")?,
        dry_bulb: section.quantity("dry_bulb")?,
        humidity: relative.or(dew).or(wet),
    })
}

fn read_processing(section: &Section) -> Result<Processing, PullFileError> {
    Ok(Processing {
        inertia_kg_m2: section.positive("inertia_kg_m2")?,
        smoothing_rpm: section.positive("smoothing_rpm")?,
    })
}

fn read_rows(section: &Section) -> Result<Rows, PullFileError> {
    let key = "column";
    let columns = section.get(key).and_then(Value::as_array);
    let columns = columns.ok_or(PullFileError::Key {
        key,
        found: found(None),
        expected: "a list of columns".to_owned(),
    })?;
    let mut kinds: Vec<OtherColumn> = Vec::new();
    for column in columns {
        let text = |key: &str| column.get(key).and_then(Value::as_str).unwrap_or("");
        let kind =
            ColumnKind::parse(text("kind")).ok_or_else(|| wrong("kind", text("kind"), "a kind of column"))?;
        if text("unit") != kind.stored_unit().symbol {
            return Err(wrong(
                "unit",
                text("unit"),
                &format!("`{}` for {}", kind.stored_unit().symbol, kind.key()),
            ));
        }
        kinds.push(OtherColumn { kind, name: text("name").to_owned(), values: Vec::new() });
    }
    let csv = section.needed_text("csv")?;
    for (idx, line) in csv.lines().enumerate() {
        let bad = || PullFileError::Row {
            row: idx + 1,
            found: line.chars().take(80).collect(),
            expected: kinds.len(),
        };
        let cells: Option<Vec<f64>> = line
            .split(',')
            .map(|cell| match cell.trim() {
                "" => Some(f64::NAN),
                text => text.parse().ok().filter(|number: &f64| number.is_finite()),
            })
            .collect();
        let cells = cells.filter(|cells| cells.len() == kinds.len()).ok_or_else(bad)?;
        for (column, cell) in kinds.iter_mut().zip(cells) {
            column.values.push(cell);
        }
    }
    let mut take = |kind| {
        let at = kinds.iter().position(|column| column.kind == kind)?;
        Some(kinds.remove(at).values)
    };
    let needed =
        |key| PullFileError::Key { key, found: found(None), expected: "a column of that kind".to_owned() };
    let speed_rpm = take(ColumnKind::Speed).ok_or(needed("speed"))?;
    let torque_nm = take(ColumnKind::Torque).ok_or(needed("torque"))?;
    let time_s = take(ColumnKind::Time);
    if speed_rpm.is_empty() {
        return Err(PullFileError::Row { row: 1, found: String::new(), expected: columns.len() });
    }
    Ok(Rows::new(speed_rpm, torque_nm, time_s, kinds)?)
}
