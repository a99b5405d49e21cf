//! When a pull was made, as far as somebody wrote it down. Leaves out time zones: a test is made in one place.

use std::fmt;

/// A date and time of day at the place of the brake.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct When {
    /// Seconds since the beginning of 1970 by the clock of the place.
    seconds: i64,
}

impl When {
    /// Seconds since the beginning of 1970 by the clock of the place.
    pub fn seconds(self) -> i64 {
        self.seconds
    }

    /// Reads `2025-05-03 10:42`, `2025-05-03T10:42:30`, `03.05.2025 10:42` or `25/05/2025 10:42`. A date with strokes whose
    /// first two numbers could each be the month is not read: nobody can tell which is meant.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim().trim_end_matches('Z');
        let (date, time) = text.split_once(['T', ' ']).unwrap_or((text, "00:00"));
        let numbers = |text: &str, sign: char| -> Option<Vec<i64>> {
            text.split(sign)
                .map(|part| part.trim().parse().ok().filter(|n| (0..10_000).contains(n)))
                .collect()
        };
        let (year, month, day) = if date.contains('-') {
            let parts = numbers(date, '-')?;
            if parts.len() != 3 {
                return None;
            }
            (parts[0], parts[1], parts[2])
        } else if date.contains('.') {
            let parts = numbers(date, '.')?;
            if parts.len() != 3 {
                return None;
            }
            (parts[2], parts[1], parts[0])
        } else {
            let parts = numbers(date, '/')?;
            match parts.as_slice() {
                [day, month, year] if *day > 12 => (*year, *month, *day),
                [month, day, year] if *day > 12 || day == month => (*year, *month, *day),
                _ => return None,
            }
        };
        let time = time.trim().split(['.', ',', '+']).next()?;
        let clock: Vec<i64> = time.split(':').map(|part| part.parse().ok()).collect::<Option<_>>()?;
        let (hour, minute, second) = match clock.as_slice() {
            [hour, minute] => (*hour, *minute, 0),
            [hour, minute, second] => (*hour, *minute, *second),
            _ => return None,
        };
        let sound = (1900..=2200).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day)
            && (0..24).contains(&hour)
            && (0..60).contains(&minute)
            && (0..60).contains(&second);
        sound.then(|| Self { seconds: days(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second })
    }
}

/// The date of a workbook's day number, counted from 1899-12-30 as workbooks do.
pub(crate) fn date_of_serial(serial: f64) -> Option<String> {
    let sound = (1.0..110_000.0).contains(&serial);
    sound.then(|| {
        // 1899-12-30 lies 25,569 days before 1970.
        let (year, month, day) = civil(serial as i64 - 25_569);
        format!("{year:04}-{month:02}-{day:02}")
    })
}

impl fmt::Display for When {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = civil(self.seconds.div_euclid(86_400));
        let of_day = self.seconds.rem_euclid(86_400);
        let (hour, minute, second) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
        write!(out, "{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}:{second:02}")
    }
}

fn days_in(year: i64, month: i64) -> i64 {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    match month {
        2 => 28 + i64::from(leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days since 1970-01-01 of a date, counting years from March so that the leap day comes last.
/// Source: Hinnant, H. (2013), chrono-compatible low-level date algorithms, `days_from_civil`.
fn days(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let of_era = year - era * 400;
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// The date of a number of days, `civil_from_days` of the same source.
fn civil(days: i64) -> (i64, i64, i64) {
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let of_era = shifted - era * 146_097;
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted_month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted_month + 2) / 5 + 1;
    let month = if shifted_month < 10 { shifted_month + 3 } else { shifted_month - 9 };
    (year_of_era + era * 400 + i64::from(month <= 2), month, day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_dates_come_back() {
        for (text, printed) in [
            ("2025-05-03 10:42", "2025-05-03 10:42:00"),
            ("2024-02-29T23:59:59.7", "2024-02-29 23:59:59"),
            ("03.05.2025 10:42", "2025-05-03 10:42:00"),
            ("25/05/2025 07:01", "2025-05-25 07:01:00"),
            ("05/25/2025 07:01", "2025-05-25 07:01:00"),
            ("1969-12-31", "1969-12-31 00:00:00"),
        ] {
            assert_eq!(When::parse(text).map(|when| when.to_string()).as_deref(), Some(printed), "{text}");
        }
        for text in ["03/05/2025 10:42", "2025-02-29", "2025-13-01", "10:42", "yesterday", ""] {
            assert_eq!(When::parse(text), None, "{text}");
        }
        assert_eq!(When::parse("1970-01-02").map(When::seconds), Some(86_400));
    }
}
