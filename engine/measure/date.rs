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
/// It is none, such as 30 February.
pub fn read_date(text: &str) -> Result<Quantity, Problem> {
    let wrong =
        || Problem::error(format!("\"{text}\" is no date")).help("write it like 2026-11-25");
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
}
