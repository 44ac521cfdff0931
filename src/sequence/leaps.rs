//! How the indicator's clock leapt: what two times that do not fit show about it.

use chrono::{Datelike, NaiveDateTime, Weekday};

use crate::draft::Draft;

/// The hour that is given back in autumn; in seconds.
const HOUR: i64 = 3600;

/// A draft takes no longer than this beside that hour; in seconds.
const ONE_DRAFT: i64 = 1800;

/// A clock without power begins at the first day of some year at least so many years back.
const YEARS_BACK: i32 = 2;

/// What the clock did between two rows whose numbers follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leap {
    /// It went back one hour on a day on which clocks are commonly set so: no fault.
    HourBack,
    /// It began again at the first of January of this year.
    BeganAgain(i32),
    /// It went back by so many seconds.
    Back(i64),
    /// It went ahead by so many seconds, more than anybody stops.
    Ahead(i64),
}

/// What the clock did; `None` where the rows state no times.
#[must_use]
pub fn leap(before: &Draft, row: &Draft) -> Option<Leap> {
    let (from, to) = (before.stated.at?.at, row.stated.at?.at);
    let seconds = (to - from).num_seconds();
    Some(match seconds {
        0.. => Leap::Ahead(seconds),
        _ if is_hour_of_autumn(to, seconds) => Leap::HourBack,
        _ if to.ordinal() == 1 && to.year() + YEARS_BACK <= from.year() => Leap::BeganAgain(to.year()),
        _ => Leap::Back(-seconds),
    })
}

/// Clocks are set at night, on a Sunday of spring or autumn, or when somebody comes in on the Monday: in the north in October
/// or November, in the south in April. From memory.
fn is_hour_of_autumn(at: NaiveDateTime, seconds: i64) -> bool {
    let day = matches!(at.weekday(), Weekday::Sun | Weekday::Mon);
    day && matches!(at.month(), 4 | 10 | 11) && (-HOUR..-HOUR + ONE_DRAFT).contains(&seconds)
}
