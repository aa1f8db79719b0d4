//! Dates: points in time, a day apart from each other.

use time::{Date, Month};

use super::{Dimension, Quantity, round};
use crate::problem::Problem;

/// Seconds in a day.
const DAY: f64 = 86_400.0;
/// Julian day of 1970-01-01.
const EPOCH: i32 = 2_440_588;

/// Reads a date, `yyyy-mm-dd`.
///
/// # Errors
/// It is none, such as 30 February, or is written in another way: then its readings are told.
pub fn read_date(text: &str) -> Result<Quantity, Problem> {
    plain_date(text).map_err(|problem| {
        let readings = readings(text);
        match readings.as_slice() {
            [] => problem,
            readings => problem.help(format!("write {}", readings.join(" or "))),
        }
    })
}

/// What a date that is not written with the year first and dashes may be: 3/1/2026 is of March or of January.
fn readings(text: &str) -> Vec<String> {
    let parts: Vec<&str> = text.split(['/', '.', '-']).map(str::trim).collect();
    let number = |part: &str| part.parse::<u16>().ok();
    let [Some(a), Some(b), Some(c)] = parts.iter().map(|part| number(part)).collect::<Vec<_>>()[..]
    else {
        return Vec::new();
    };
    let year = |year: u16| if year < 100 { 2000 + year } else { year };
    let orders = match parts[0].len() {
        4 => vec![(a, b, c)],
        _ => vec![(year(c), a, b), (year(c), b, a)],
    };
    let mut readings: Vec<String> = orders
        .into_iter()
        .map(|(year, month, day)| format!("{year:04}-{month:02}-{day:02}"))
        .filter(|date| plain_date(date).is_ok())
        .collect();
    readings.dedup();
    readings
}

fn plain_date(text: &str) -> Result<Quantity, Problem> {
    let wrong =
        || Problem::error(format!("\"{text}\" is not a date")).help("write it like 2026-11-25");
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else { return Err(wrong()) };
    if [year.len(), month.len(), day.len()] != [4, 2, 2] {
        return Err(wrong());
    }
    let (Ok(year), Ok(month), Ok(day)) = (year.parse::<i32>(), month.parse::<u8>(), day.parse())
    else {
        return Err(wrong());
    };
    if !(1900..=2999).contains(&year) {
        return Err(wrong().help("a year of 1900 to 2999 was expected"));
    }
    let month = Month::try_from(month).map_err(|_| wrong())?;
    let date = Date::from_calendar_date(year, month, day).map_err(|_| wrong())?;
    Ok(Quantity::new(f64::from(date.to_julian_day() - EPOCH) * DAY, Dimension::DATE))
}

/// Days of a date since 1970-01-01.
pub fn date_days(date: Quantity) -> f64 {
    date.base() / DAY
}

/// A date as `yyyy-mm-dd`; nothing beyond the years that there are dates for.
#[expect(clippy::cast_possible_truncation, reason = "bounded just above")]
pub fn date_text(date: Quantity) -> Option<String> {
    let days = round::floor_f64(date_days(date) + 1e-9);
    if days.abs() > 1e6 {
        return None;
    }
    let date = Date::from_julian_day(days as i32 + EPOCH).ok()?;
    Some(format!("{:04}-{:02}-{:02}", date.year(), u8::from(date.month()), date.day()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_those_of_the_calendar() {
        for text in ["1970-01-01", "2000-02-29", "2026-11-25", "1900-03-01", "2999-12-31"] {
            let date = read_date(text).unwrap_or_else(|p| unreachable!("{p}"));
            assert_eq!(date_text(date).as_deref(), Some(text));
        }
        for text in ["2026-02-30", "1900-02-29", "2026-13-01", "26-01-01", "2026-1-1", "x"] {
            assert!(read_date(text).is_err(), "{text}");
        }
    }

    #[test]
    fn dates_written_otherwise_have_their_readings_told() {
        for (text, help) in [
            ("3/1/2026", "write 2026-03-01 or 2026-01-03"),
            ("11/23/2026", "write 2026-11-23"),
            ("26.11.26", "write 2026-11-26"),
            ("1/1/2026", "write 2026-01-01"),
            ("2026/03/01", "write 2026-03-01"),
            ("2026-3-1", "write 2026-03-01"),
            ("13/13/2026", "write it like 2026-11-25"),
            ("2/30/2026", "write it like 2026-11-25"),
        ] {
            let told = read_date(text).map_err(|problem| problem.help);
            assert_eq!(told, Err(Some(help.to_owned())), "{text}");
        }
    }
}
