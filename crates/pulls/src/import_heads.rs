//! What the lines above and below a table say: date, weather, instrument. Leaves out the table.

use units::{Length, Quantity as _, Ratio, ThermodynamicTemperature, parse};

use crate::cell_number::{Decimal, number};
use crate::column_kind::{ColumnKind, kind_of_name};
use crate::column_unit::unit_for;
use crate::table::Row;
use crate::weather_humidity::Humidity;
use crate::weather_pressure::{Barometer, SeaLevelPressure, StationPressure, from_pa};
use crate::weather_readings::WeatherReadings;
use crate::when::When;

/// What the lines around a table say.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Heads {
    pub when: Option<When>,
    pub instrument: Option<String>,
    pub weather: WeatherReadings,
    /// Every line as it was, `key: value`.
    pub remarks: Vec<String>,
    /// What was supposed of them.
    pub assumed: Vec<String>,
}

/// Words that say a pressure was reduced to the sea.
const SEA_WORDS: [&str; 7] = ["sea", "qnh", "qff", "msl", "reduced", "airport", "meeres"];

/// Reads the rows above the header.
pub(crate) fn read_heads(rows: &[Row]) -> Heads {
    let mut heads = Heads::default();
    let (mut date, mut clock) = (None, None);
    let (mut pressure, mut elevation): (Option<(f64, bool)>, Option<Length>) = (None, None);
    for row in rows {
        for (key, value) in pairs(row) {
            let lower = key.to_lowercase();
            let says = |words: &[&str]| words.iter().any(|word| lower.contains(word));
            heads.remarks.push(if key.is_empty() { value.clone() } else { format!("{key}: {value}") });
            let value = value.trim();
            if says(&["date", "datum", "fecha", "data prova"]) {
                date = Some(value.to_owned());
            } else if ["time", "start", "start time", "uhrzeit", "heure", "hora", "ora", "zeit"]
                .contains(&lower.trim())
            {
                clock = Some(value.to_owned());
            } else if says(&["instrument", "brake", "dyno", "prüfstand", "banc", "banco"]) {
                heads.instrument = Some(value.to_owned());
            } else if says(&["elevation", "altitude", "höhe"]) {
                elevation = parse::<Length>(value).ok().or(elevation);
            } else if let Some(kind) = kind_of_name(&key) {
                let Some(si) = si_value(kind, value, &key) else { continue };
                let t = ThermodynamicTemperature::from_si(si);
                let weather = &mut heads.weather;
                match kind {
                    ColumnKind::Barometer => pressure = Some((si, says(&SEA_WORDS))),
                    ColumnKind::InletAir => weather.inlet = Some(t),
                    ColumnKind::DryBulb => weather.dry_bulb = Some(t),
                    ColumnKind::WetBulb => weather.humidity = Some(Humidity::WetBulb(t)),
                    ColumnKind::DewPoint => weather.humidity = Some(Humidity::DewPoint(t)),
                    ColumnKind::Humidity => weather.humidity = Some(Humidity::Relative(Ratio::from_si(si))),
                    _ => {}
                }
            }
        }
    }
    let whole = date.map(|date| clock.map_or(date.clone(), |clock| format!("{date} {clock}")));
    heads.when = whole.as_deref().and_then(When::parse);
    match (pressure, elevation) {
        (Some((pa, true)), Some(elevation)) => {
            heads.weather.barometer =
                Some(Barometer::SeaLevel(SeaLevelPressure::new(from_pa(pa)), elevation));
        }
        (Some((_, true)), None) => heads.assumed.push(
            "the barometer above the table is reduced to sea level and no elevation is given: not used"
                .to_owned(),
        ),
        (Some((pa, false)), _) => {
            heads.weather.barometer = Some(Barometer::Station(StationPressure::new(from_pa(pa))));
            heads.assumed.push(
                "the barometer above the table is taken for that of the cell, not of the sea".to_owned(),
            );
        }
        (None, _) => {}
    }
    heads
}

/// Keys and values of a row: `key: value` or `key = value` in a cell, or cells in turn, a unit behind its number.
fn pairs(row: &Row) -> Vec<(String, String)> {
    let filled: Vec<&str> =
        row.cells.iter().map(|cell| cell.text.trim()).filter(|text| !text.is_empty()).collect();
    let mut out = Vec::new();
    let mut idx = 0;
    while idx < filled.len() {
        let text = filled[idx].trim_start_matches(['#', '*', '/', '!', ' ']);
        let cut = text.find([':', '=']).map(|at| (text[..at].trim(), text[at + 1..].trim()));
        if let Some((key, value)) = cut.filter(|(key, value)| !key.is_empty() && !value.is_empty()) {
            out.push((key.to_owned(), value.to_owned()));
            idx += 1;
            continue;
        }
        let key = text.trim_end_matches([':', '=']).trim();
        let Some(value) = filled.get(idx + 1) else {
            out.push((String::new(), text.to_owned()));
            break;
        };
        let mut value = (*value).to_owned();
        idx += 2;
        let is_number =
            [Decimal::Point, Decimal::Comma].iter().any(|decimal| number(&value, *decimal).is_some());
        if let Some(unit) = filled.get(idx).filter(|unit| is_number && crate::column_unit::is_some_unit(unit))
        {
            value = format!("{value} {}", crate::column_unit::without_brackets(unit));
            idx += 1;
        }
        out.push((key.to_owned(), value));
    }
    out
}

/// SI value of `28.85 inHg` or, with the unit in the key, of `28.85`; a decimal comma is read as one.
fn si_value(kind: ColumnKind, value: &str, key: &str) -> Option<f64> {
    let end = value.rfind(|c: char| c.is_ascii_digit())? + 1;
    // "in H2O" ends in a letter, but "kg/m3" would not: no unit of weather ends in a digit.
    let (figure, unit) = value
        .split_at(value.find(|c: char| c.is_alphabetic() || matches!(c, '°' | '%' | '"')).unwrap_or(end));
    let figure = number(figure, Decimal::Point).or_else(|| number(figure, Decimal::Comma))?;
    let in_key = crate::column_unit::split_name(key, kind_of_name).unit;
    let unit = unit_for(kind, unit).or_else(|| unit_for(kind, &in_key))?;
    Some(unit.to_si(figure)).filter(|si| si.is_finite())
}
