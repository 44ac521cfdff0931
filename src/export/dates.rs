//! Dates and times of day, as indicators print them.

use chrono::{NaiveDate, NaiveTime};

use super::layout::{Clock, DateOrder};
use crate::units::Precision;

/// Two-digit years from here on belong to the century before: 80 is 1980, 79 is 2079.
///
/// The FAT file system cannot state a year before 1980 (FAT specification, "Date and Time Encoding"), and an
/// indicator whose clock was never set commonly shows 1980 too.
const FIRST_YEAR_OF_1900S: i32 = 80;

/// The three figures of a date, in the order they were written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DateParts {
    parts: [u32; 3],
    year_first: bool,
}

impl DateParts {
    /// Splits a cell such as `10/17/2026`, `17.10.26` or `2026-10-17`.
    #[must_use]
    pub fn read(cell: &str) -> Option<Self> {
        let mark = cell.chars().find(|letter| !letter.is_ascii_digit()).filter(|mark| "/-.".contains(*mark))?;
        let mut pieces = cell.split(mark);
        let mut next = || {
            let piece = pieces.next()?;
            let sound = (1..=4).contains(&piece.len()) && piece.bytes().all(|byte| byte.is_ascii_digit());
            sound.then(|| piece.parse().ok().map(|number: u32| (number, piece.len()))).flatten()
        };
        let (first, second, third) = (next()?, next()?, next()?);
        if pieces.next().is_some() || second.1 > 2 || (first.1 > 2 && third.1 > 2) || first.1 == 3 || third.1 == 3 {
            return None;
        }
        Some(Self { parts: [first.0, second.0, third.0], year_first: first.1 == 4 })
    }

    /// The date, read in the given order; `None` where there is no such day.
    #[must_use]
    pub fn date(self, order: DateOrder) -> Option<NaiveDate> {
        let [a, b, c] = self.parts;
        let (year, month, day) = match order {
            _ if self.year_first => (a, b, c),
            DateOrder::Ymd => (a, b, c),
            DateOrder::Mdy => (c, a, b),
            DateOrder::Dmy => (c, b, a),
        };
        NaiveDate::from_ymd_opt(full_year(year)?, month, day)
    }

    /// Whether the year is written first, in full: no other order is then possible.
    #[must_use]
    pub const fn year_first(self) -> bool {
        self.year_first
    }
}

fn full_year(written: u32) -> Option<i32> {
    let year = i32::try_from(written).ok()?;
    Some(match year {
        100.. => year,
        FIRST_YEAR_OF_1900S..=99 => 1900 + year,
        _ => 2000 + year,
    })
}

/// A time of day, how finely it was written, and on which clock.
#[must_use]
pub fn time(cell: &str) -> Option<(NaiveTime, Precision, Clock)> {
    let figures_end = cell.find(|letter: char| !letter.is_ascii_digit() && letter != ':').unwrap_or(cell.len());
    let (figures, mark) = cell.split_at_checked(figures_end)?;
    let afternoon = match mark.trim().to_ascii_lowercase().replace('.', "").as_str() {
        "" => None,
        "a" | "am" => Some(false),
        "p" | "pm" => Some(true),
        _ => return None,
    };
    let mut pieces = figures.split(':').map(|piece| if piece.len() <= 2 { piece.parse::<u32>().ok() } else { None });
    let (hour, minute) = (pieces.next()??, pieces.next()??);
    let (second, precision) = match pieces.next() {
        Some(second) => (second?, Precision::Second),
        None => (0, Precision::Minute),
    };
    if pieces.next().is_some() {
        return None;
    }
    let (hour, clock) = match afternoon {
        None => (hour, Clock::TwentyFour),
        Some(_) if !(1..=12).contains(&hour) => return None,
        Some(afternoon) => (hour % 12 + if afternoon { 12 } else { 0 }, Clock::Twelve),
    };
    Some((NaiveTime::from_hms_opt(hour, minute, second)?, precision, clock))
}
