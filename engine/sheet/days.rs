//! Working days: Monday to Friday without the holidays of a list. Common practice, no source.

use super::evaluate::quantity_of;
use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity, date_days, round};
use crate::problem::Problem;

/// Seconds of a day.
const DAY: f64 = 86_400.0;
/// Most days that are gone through.
const MOST_DAYS: i64 = 40_000;

/// Days of a date since 1970-01-01, a Thursday.
fn day_of(value: &Value) -> Result<i64, Problem> {
    let quantity = quantity_of(value)?;
    if quantity.dimension() != Dimension::DATE {
        return Err(Problem::error(format!("{} where a date was expected", quantity.dimension())));
    }
    #[expect(clippy::cast_possible_truncation, reason = "dates lie within a few thousand years")]
    Ok(round::floor_f64(date_days(quantity) + 1e-9) as i64)
}

fn works(day: i64, holidays: &[i64]) -> bool {
    (day + 3).rem_euclid(7) < 5 && !holidays.contains(&day)
}

fn days_of(holidays: Option<&Value>) -> Result<Vec<i64>, Problem> {
    match holidays {
        Some(Value::List(days)) => days.iter().map(day_of).collect(),
        _ => Ok(Vec::new()),
    }
}

fn too_long() -> Problem {
    Problem::error("more than a hundred years of working days")
        .help("look at the two dates, or the number of days")
}

/// How many working days there are from one date to another, both counted.
pub(super) fn working_days(
    from: &Value,
    to: &Value,
    holidays: Option<&Value>,
) -> Result<Value, Problem> {
    let (from, to, holidays) = (day_of(from)?, day_of(to)?, days_of(holidays)?);
    if to < from {
        return Err(Problem::error("the second date is before the first"));
    }
    if to - from > MOST_DAYS {
        return Err(too_long());
    }
    let count = (from..=to).filter(|day| works(*day, &holidays)).count();
    #[expect(clippy::cast_precision_loss, reason = "days of a job")]
    Ok(Value::Number(count as f64))
}

/// The working day so many working days after a date; for 0 the date itself, or the next working day.
pub(super) fn working_day_after(
    date: &Value,
    days: &Value,
    holidays: Option<&Value>,
) -> Result<Value, Problem> {
    let (date, wanted, holidays) = (day_of(date)?, quantity_of(days)?, days_of(holidays)?);
    let count = wanted.base();
    if wanted.dimension() != Dimension::NUMBER || count < 0.0 || count.fract() != 0.0 {
        return Err(Problem::error(format!("{} is not a number of days", days.words()))
            .help("a whole number from 0 was expected; round_up(x, 1) makes one"));
    }
    let mut left = count;
    for day in date..date + MOST_DAYS {
        if works(day, &holidays) && (day > date || count == 0.0) {
            left -= 1.0;
            if left <= 0.0 {
                #[expect(
                    clippy::cast_precision_loss,
                    reason = "dates lie within a few thousand years"
                )]
                return Ok(Value::Measure(Quantity::new(day as f64 * DAY, Dimension::DATE)));
            }
        }
    }
    Err(too_long())
}
