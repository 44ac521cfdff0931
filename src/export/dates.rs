//! Dates and times of day, as indicators print them.

use chrono::{NaiveDate, NaiveTime};

use super::layout::{Clock, DateOrder};
use crate::units::Precision;

/// Two-digit years from here on belong to the century before: 80 is 1980, 79 is 2079.
///
/// The FAT file system cannot state a year before 1980 (FAT specification, "Date and Time Encoding"), and an
/// indicator whose clock was never set commonly shows 1980 too.
const FIRST_YEAR_OF_1900S: i32 = 80;

/// The months as English writes them; three letters are enough.
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// The three figures of a date, in the order they were written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct DateParts {
    parts: [u32; 3],
    /// The one order that is possible, where the date itself shows it.
    order: Option<DateOrder>,
    /// What stands between its figures.
    mark: char,
}

impl DateParts {
    /// Splits a cell such as `10/17/2026`, `17.10.26`, `2026-10-17`, `17-Oct-2026` or `Oct 17, 2026`.
    #[must_use]
    pub fn read(cell: &str) -> Option<Self> {
        Self::with_month_name(cell).or_else(|| Self::in_figures(cell))
    }

    fn in_figures(cell: &str) -> Option<Self> {
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
        let order = (first.1 == 4).then_some(DateOrder::Ymd);
        Some(Self { parts: [first.0, second.0, third.0], order, mark })
    }

    fn with_month_name(cell: &str) -> Option<Self> {
        let mut pieces = cell.split(['-', ' ', '/', '.', ',']).filter(|piece| !piece.is_empty());
        let (first, second, third) = (pieces.next()?, pieces.next()?, pieces.next()?);
        let figure = |piece: &str| piece.parse::<u32>().ok().filter(|_| piece.len() <= 2 || piece.len() == 4);
        if pieces.next().is_some() {
            return None;
        }
        let (parts, order) = match (month(first), month(second)) {
            (Some(month), None) => ([month, figure(second)?, figure(third)?], DateOrder::Mdy),
            (None, Some(month)) if first.len() == 4 => ([figure(first)?, month, figure(third)?], DateOrder::Ymd),
            (None, Some(month)) => ([figure(first)?, month, figure(third)?], DateOrder::Dmy),
            _ => return None,
        };
        Some(Self { parts, order: Some(order), mark: ' ' })
    }

    /// The date, read in the given order unless it shows its own; `None` where there is no such day.
    #[must_use]
    pub fn date(self, order: DateOrder) -> Option<NaiveDate> {
        let [a, b, c] = self.parts;
        let (year, month, day) = match self.order.unwrap_or(order) {
            DateOrder::Ymd => (a, b, c),
            DateOrder::Mdy => (c, a, b),
            DateOrder::Dmy => (c, b, a),
        };
        NaiveDate::from_ymd_opt(full_year(year)?, month, day)
    }

    /// The one order that is possible, where the date itself shows it: by a year in full that stands first, or by the
    /// name of its month.
    #[must_use]
    pub const fn order(self) -> Option<DateOrder> {
        self.order
    }
}

impl DateParts {
    /// Whether dashes stand between its figures.
    #[must_use]
    pub const fn is_dashed(self) -> bool {
        self.mark == '-'
    }

    /// Whether points stand between its figures, as where the day comes first (Unicode CLDR 47, short date patterns).
    #[must_use]
    pub const fn is_dotted(self) -> bool {
        self.mark == '.'
    }
}

fn month(word: &str) -> Option<u32> {
    let word = word.to_ascii_lowercase();
    let word = if word == "sept" { "sep" } else { word.as_str() };
    let at = MONTHS.iter().position(|month| word.len() >= 3 && month.starts_with(word))?;
    u32::try_from(at + 1).ok()
}

/// Day and time of day of a cell that may hold both, such as `10/17/2026 9:05 AM` or `2026-10-17T09:05`.
#[must_use]
pub fn split_datetime(cell: &str) -> (&str, Option<&str>) {
    let Some(colon) = cell.find(':') else {
        let two = cell.split_once(' ').filter(|_| DateParts::read(cell).is_none());
        return two.map_or((cell, None), |(date, time)| (date, Some(time.trim())));
    };
    let (before, _) = cell.split_at_checked(colon).unwrap_or((cell, ""));
    let hour_digits = before.bytes().rev().take_while(u8::is_ascii_digit).count();
    let (date, time) = cell.split_at_checked(colon - hour_digits).unwrap_or((cell, ""));
    let date = date.trim_end();
    let date = date.strip_suffix('T').filter(|date| date.ends_with(|last: char| last.is_ascii_digit())).unwrap_or(date);
    (date.trim_end_matches([',', ' ']), Some(time))
}

fn full_year(written: u32) -> Option<i32> {
    let year = i32::try_from(written).ok()?;
    Some(match year {
        100.. => year,
        FIRST_YEAR_OF_1900S..=99 => 1900 + year,
        _ => 2000 + year,
    })
}

/// A time of day in a column of times, where it may stand without marks: `0910`, `91033`.
#[must_use]
pub fn time_in_column(cell: &str) -> Option<(NaiveTime, Precision, Clock)> {
    time(cell).or_else(|| {
        if !cell.bytes().all(|byte| byte.is_ascii_digit()) {
            return None;
        }
        let pair = |from_end: usize| cell.get(cell.len() - from_end..)?.get(..2)?.parse::<u32>().ok();
        let (hour, minute, second, precision) = match cell.len() {
            3 | 4 => (cell.get(..cell.len() - 2)?.parse().ok()?, pair(2)?, 0, Precision::Minute),
            5 | 6 => (cell.get(..cell.len() - 4)?.parse().ok()?, pair(4)?, pair(2)?, Precision::Second),
            _ => return None,
        };
        Some((NaiveTime::from_hms_opt(hour, minute, second)?, precision, Clock::TwentyFour))
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
    let mut pieces = figures.split(':');
    let two = |piece: &str| (piece.len() == 2).then(|| piece.parse::<u32>().ok()).flatten();
    let hour = pieces.next().filter(|hour| hour.len() <= 2)?.parse::<u32>().ok()?;
    let minute = two(pieces.next()?)?;
    let (second, precision) = match pieces.next() {
        Some(second) => (two(second)?, Precision::Second),
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
