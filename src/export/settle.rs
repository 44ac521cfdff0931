//! What is settled once for a whole export, from all its rows: decimal mark, order of dates, clock, unit.
//!
//! A row that cannot be read casts no vote, so that one bad row never changes how the others are read.

use chrono::NaiveDate;

use super::cells;
use super::dates::{self, DateParts};
use super::dialect::Table;
use super::layout::{Clock, DateOrder};
use super::meaning::Meaning;
use super::table::Cells;
use crate::units::Unit;

/// What is known about dates from outside the export.
#[derive(Debug, Clone, Default)]
pub struct DateHints {
    /// The order a person gave.
    pub order: Option<DateOrder>,
    /// Days the weighings probably fell on: when the file was written, what the tickets say.
    pub near: Vec<NaiveDate>,
}

/// How dates are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DateReading {
    /// The order dates are read in.
    pub order: DateOrder,
    /// Whether another order would do as well, and nothing from outside decides.
    pub uncertain: bool,
}

/// What holds for the whole file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settled {
    /// What stands between a figure's whole and its fraction.
    pub decimal_mark: char,
    /// How dates are read; `None` where there are none.
    pub dates: Option<DateReading>,
    /// How times are written; `None` where there are none.
    pub clock: Option<Clock>,
    /// The unit of weights that carry none themselves.
    pub unit: Option<Unit>,
}

/// Settles a file from all its rows under the header.
#[must_use]
pub fn settle(table: &Table, rows: &[Cells], hints: &DateHints) -> Settled {
    Settled {
        decimal_mark: decimal_mark(table, rows),
        dates: date_reading(table, rows, hints),
        clock: clock(table, rows),
        unit: common_unit(table, rows),
    }
}

/// A comma is the decimal mark when weights show it more often in that use than as a mark between thousands.
fn decimal_mark(table: &Table, rows: &[Cells]) -> char {
    if table.delimiter == ',' && rows.iter().all(|row| !row.quoted) {
        return '.';
    }
    let weights = [Meaning::Gross, Meaning::Net, Meaning::Average, Meaning::Tare];
    let columns: Vec<_> = weights.into_iter().flat_map(|meaning| table.columns(meaning)).collect();
    let cells = rows.iter().flat_map(|row| columns.iter().filter_map(|column| row.get(*column)));
    let (mut comma, mut point) = (0_usize, 0_usize);
    for cell in cells {
        let figure = cell.trim_end_matches(|letter: char| !letter.is_ascii_digit());
        match figure.rfind([',', '.']).map(|at| (figure.get(at..=at), figure.len() - at - 1)) {
            Some((Some(","), decimals)) if decimals != 3 => comma += 1,
            Some((Some(","), _)) => point += 1,
            Some((Some("."), decimals)) if decimals != 3 => point += 1,
            _ => {}
        }
    }
    if comma > point { ',' } else { '.' }
}

fn date_reading(table: &Table, rows: &[Cells], hints: &DateHints) -> Option<DateReading> {
    let dates = written_dates(table, rows);
    let possible = |order: &DateOrder| dates.iter().filter(|parts| parts.date(*order).is_some()).count();
    if dates.is_empty() {
        return None;
    }
    if dates.iter().any(|parts| parts.year_first()) {
        return Some(DateReading { order: DateOrder::Ymd, uncertain: false });
    }
    if let Some(order) = hints.order {
        return Some(DateReading { order, uncertain: false });
    }
    // In order of likelihood where the file leaves it open (common practice, no source).
    let orders = [DateOrder::Mdy, DateOrder::Dmy, DateOrder::Ymd];
    let most = orders.iter().map(possible).max()?;
    let best: Vec<_> = orders.into_iter().filter(|order| possible(order) == most).collect();
    let first = *best.first()?;
    let differing = best.iter().any(|order| dates.iter().any(|parts| parts.date(*order) != parts.date(first)));
    if !differing {
        return Some(DateReading { order: first, uncertain: false });
    }
    let mut near = best.iter().filter(|order| dates.iter().any(|parts| is_near(parts.date(**order), &hints.near)));
    match (near.next(), near.next()) {
        (Some(only), None) => Some(DateReading { order: *only, uncertain: false }),
        _ => Some(DateReading { order: first, uncertain: true }),
    }
}

fn written_dates(table: &Table, rows: &[Cells]) -> Vec<DateParts> {
    let column = table.column(Meaning::Date).or_else(|| table.column(Meaning::Datetime));
    let cells = rows.iter().filter_map(|row| row.get(column?));
    let mut dates: Vec<_> =
        cells.filter_map(|cell| DateParts::read(cell.split([' ', 'T']).next().unwrap_or(cell))).collect();
    dates.dedup();
    dates
}

/// A file is written on the day of its weighings, or, past midnight, on the next.
fn is_near(date: Option<NaiveDate>, days: &[NaiveDate]) -> bool {
    date.is_some_and(|date| days.iter().any(|day| (*day - date).num_days().abs() <= 1))
}

fn clock(table: &Table, rows: &[Cells]) -> Option<Clock> {
    let times = rows.iter().filter_map(|row| time_cell(table, row));
    let clocks: Vec<_> = times.filter_map(dates::time).map(|(_, _, clock)| clock).collect();
    if clocks.contains(&Clock::Twelve) { Some(Clock::Twelve) } else { clocks.first().copied() }
}

/// The part of a row that states the time of day.
#[must_use]
pub fn time_cell<'a>(table: &Table, row: &'a Cells) -> Option<&'a str> {
    if let Some(column) = table.column(Meaning::Time) {
        return row.get(column);
    }
    let cell = row.get(table.column(Meaning::Datetime)?)?;
    cell.split_once([' ', 'T']).map(|(_, time)| time.trim())
}

/// The unit in the header of the weights, or the one unit that every weight cell carries.
fn common_unit(table: &Table, rows: &[Cells]) -> Option<Unit> {
    let headed = |meaning| table.columns(meaning).find_map(|index| table.words.get(index)?.as_ref()?.unit);
    let in_header = [Meaning::Gross, Meaning::Net, Meaning::Average].into_iter().find_map(headed);
    in_header.or_else(|| {
        let column = table.column(Meaning::Unit)?;
        let mut units = rows.iter().filter_map(|row| cells::unit(row.get(column)?));
        let first = units.next()?;
        units.all(|unit| unit == first).then_some(first)
    })
}
