//! What is settled once for a whole export, from all its rows: decimal mark, order of dates, clock, unit.
//!
//! A row that cannot be read casts no vote, so that one bad row never changes how the others are read.

use std::collections::{BTreeMap, BTreeSet};

use super::cells;
use super::date_order::{DateHints, DateReading, DateVotes};
use super::dates::{self, DateParts};
use super::dialect::Table;
use super::layout::Clock;
use super::meaning::Meaning;
use super::shape::Shape;
use super::table::Cells;
use crate::units::{Decimal, Unit};

/// What holds for the whole file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settled {
    /// What stands between a figure's whole and its fraction.
    pub decimal_mark: char,
    /// How dates are read; `None` where there are none.
    pub dates: Option<DateReading>,
    /// A date as written, where there are some and none can be read.
    pub unread_date: Option<String>,
    /// How times are written; `None` where there are none.
    pub clock: Option<Clock>,
    /// The unit of weights that carry none themselves.
    pub unit: Option<Unit>,
    /// So many cells a row may have: as many as the header, or as most rows have.
    pub width: usize,
}

/// Settles a file from all its rows under the header.
#[must_use]
pub fn settle(table: &Table, rows: &[Cells], hints: &DateHints) -> Settled {
    let mut votes = Votes::new(table);
    for row in rows.iter().filter(|row| !row.is_blank()) {
        votes.add(table, row);
    }
    votes.settle(table, hints)
}

/// What the rows of one table show, gathered row by row.
#[derive(Debug, Default)]
pub struct Votes {
    quoted: bool,
    decimal_commas: usize,
    decimal_points: usize,
    /// Weights such as `1.351` that would be less than one unit for each of their head.
    dotted_thousands: usize,
    weights: Vec<usize>,
    dates: DateVotes,
    unread_date: Option<String>,
    clock: Option<Clock>,
    units: BTreeSet<Unit>,
    widths: BTreeMap<usize, usize>,
}

impl Votes {
    /// No votes yet.
    #[must_use]
    pub fn new(table: &Table) -> Self {
        let weights = [Meaning::Gross, Meaning::Net, Meaning::Average, Meaning::Tare];
        let weights = weights.into_iter().flat_map(|meaning| table.columns(meaning)).collect();
        Self { weights, ..Self::default() }
    }

    /// Whether any cell so far was quoted.
    #[must_use]
    pub const fn quoted(&self) -> bool {
        self.quoted
    }

    /// Takes one row into account.
    pub fn add(&mut self, table: &Table, row: &Cells) {
        self.quoted |= row.quoted;
        for column in &self.weights {
            let (commas, points) = row.get(*column).map(decimal_votes).unwrap_or_default();
            self.decimal_commas += commas;
            self.decimal_points += points;
        }
        self.dotted_thousands += usize::from(self.is_dotted_thousand(table, row));
        self.add_date(table, row);
        if self.clock != Some(Clock::Twelve) {
            let written = time_cell(table, row).and_then(dates::time_in_column).map(|(_, _, clock)| clock);
            self.clock = written.filter(|clock| *clock == Clock::Twelve).or(self.clock).or(written);
        }
        let unit = table.column(Meaning::Unit).and_then(|column| row.get(column)).and_then(cells::unit);
        self.units.extend(unit);
        *self.widths.entry(row.filled_width()).or_default() += 1;
    }

    /// No group of animals weighs less than one pound or kilogram a head.
    fn is_dotted_thousand(&self, table: &Table, row: &Cells) -> bool {
        let head = table.column(Meaning::Head).and_then(|column| row.get(column)).and_then(cells::head);
        let weight = self.weights.first().and_then(|column| row.get(*column));
        let weight = weight.filter(|cell| cell.bytes().filter(|byte| *byte == b'.').count() == 1);
        let amount = weight.and_then(|cell| cells::weight(cell, '.')).map(|weight| weight.amount());
        let three = weight.is_some_and(|cell| decimals(cell) == Some(('.', 3)));
        three
            && head
                .zip(amount)
                .is_some_and(|(head, amount)| amount.is_sign_positive() && amount < Decimal::from(head.0))
    }

    fn add_date(&mut self, table: &Table, row: &Cells) {
        let column = table.column(Meaning::Date).or_else(|| table.column(Meaning::Datetime));
        let cell = column.and_then(|column| row.get(column)).filter(|cell| !cells::stands_for_nothing(cell));
        let Some(cell) = cell else { return };
        match DateParts::read(dates::split_datetime(cell).0) {
            Some(date) => {
                self.dates.add(date);
            }
            None if self.unread_date.is_none() => self.unread_date = Some(cell.to_owned()),
            None => {}
        }
    }

    /// Settles the table from the rows so far.
    #[must_use]
    pub fn settle(&self, table: &Table, hints: &DateHints) -> Settled {
        let dates = self.dates.decide(hints);
        let rows: usize = self.widths.values().sum();
        // Columns without a name, which most rows have, are no reason to doubt the others.
        let usual = self.widths.iter().find(|(_, count)| **count * 2 > rows).map_or(0, |(width, _)| *width);
        Settled {
            decimal_mark: self.decimal_mark(table),
            unread_date: self.unread_date.clone().filter(|_| dates.is_none()),
            dates,
            clock: self.clock,
            unit: self.common_unit(table),
            width: table.header.count().max(usual),
        }
    }

    /// A comma is the decimal mark when weights show it more often in that use than as a mark between thousands.
    const fn decimal_mark(&self, table: &Table) -> char {
        let no_commas = matches!(table.shape, Shape::Delimited(',')) && !self.quoted;
        if self.dotted_thousands > self.decimal_points || !no_commas && self.decimal_commas > self.decimal_points {
            ','
        } else {
            '.'
        }
    }

    /// The unit in the header of the weights, or the one unit that every row names.
    fn common_unit(&self, table: &Table) -> Option<Unit> {
        let headed = |meaning| table.columns(meaning).find_map(|index| table.words.get(index)?.as_ref()?.unit);
        let in_header = [Meaning::Gross, Meaning::Net, Meaning::Average].into_iter().find_map(headed);
        in_header.or_else(|| self.units.first().copied().filter(|_| self.units.len() == 1))
    }
}

/// Whether a weight shows a decimal comma, or that the comma is none.
fn decimal_votes(cell: &str) -> (usize, usize) {
    match decimals(cell) {
        Some((',', places)) if places != 3 => (1, 0),
        Some((',', _)) => (0, 1),
        Some(('.', places)) if places != 3 => (0, 1),
        _ => (0, 0),
    }
}

/// The last mark in a figure, and how many digits follow it.
fn decimals(cell: &str) -> Option<(char, usize)> {
    let figure = cell.trim_end_matches(|letter: char| !letter.is_ascii_digit());
    let at = figure.rfind([',', '.'])?;
    Some((if figure.get(at..=at)? == "," { ',' } else { '.' }, figure.len() - at - 1))
}

/// The part of a row that states the time of day.
#[must_use]
pub fn time_cell<'a>(table: &Table, row: &'a Cells) -> Option<&'a str> {
    if let Some(column) = table.column(Meaning::Time) {
        return row.get(column);
    }
    dates::split_datetime(row.get(table.column(Meaning::Datetime)?)?).1
}
