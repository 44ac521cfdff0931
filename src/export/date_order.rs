//! In which order the dates of an export stand: decided once, on all of them, by what they allow and how they go on.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::dates::DateParts;
use super::layout::DateOrder;

/// So many changes of date are followed from the start.
const MOST_CHANGES: usize = 4_096;

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
    /// Whether every date is the same day in each order, so that the order cannot be told and does not matter.
    pub same_either_way: bool,
}

/// The dates of a table.
#[derive(Debug, Default)]
pub struct DateVotes {
    different: BTreeSet<DateParts>,
    /// In the order of the rows, each once as long as it stays the same.
    changes: Vec<DateParts>,
}

impl DateVotes {
    /// Takes one date into account.
    pub fn add(&mut self, date: DateParts) {
        self.different.insert(date);
        if self.changes.last() != Some(&date) && self.changes.len() < MOST_CHANGES {
            self.changes.push(date);
        }
    }

    /// The order of the dates; `None` where there are none.
    ///
    /// What a date shows itself comes first, then what a person named, then what all dates allow; where several orders are
    /// left, that the days go on from row to row, and that they lie near days known from outside.
    pub fn decide(&self, hints: &DateHints) -> Option<DateReading> {
        let certain = |order| Some(DateReading { order, uncertain: false, same_either_way: false });
        self.different.first()?;
        let mut shown = self.different.iter().filter_map(|parts| parts.order());
        if let Some(order) = shown.next().or(hints.order) {
            return certain(order);
        }
        let best = self.most_possible();
        let first = *best.first()?;
        if best.len() == 1 {
            return certain(first);
        }
        let differs = |order: &DateOrder| self.different.iter().any(|parts| parts.date(*order) != parts.date(first));
        if !best.iter().any(differs) {
            return Some(DateReading { order: first, uncertain: false, same_either_way: true });
        }
        let going_on = only(&best, |order| self.goes_on(*order));
        let near = only(&best, |order| self.different.iter().any(|parts| is_near(parts.date(*order), &hints.near)));
        near.or(going_on).map_or(Some(DateReading { order: first, uncertain: true, same_either_way: false }), certain)
    }

    /// The orders under which most dates are days, the likelier first where the file leaves it open (common practice, no
    /// source). A year of two digits stands first only after dashes, or where nothing else is possible.
    fn most_possible(&self) -> Vec<DateOrder> {
        let possible = |order: DateOrder| self.different.iter().filter(|parts| parts.date(order).is_some()).count();
        let year_last = possible(DateOrder::Mdy).max(possible(DateOrder::Dmy));
        let dashed = self.different.iter().all(|parts| parts.is_dashed());
        let year_first = dashed || possible(DateOrder::Ymd) > year_last;
        let dotted = self.different.iter().all(|parts| parts.is_dotted());
        let (likelier, other) =
            if dotted { (DateOrder::Dmy, DateOrder::Mdy) } else { (DateOrder::Mdy, DateOrder::Dmy) };
        let orders =
            [likelier, other, DateOrder::Ymd].into_iter().filter(|order| *order != DateOrder::Ymd || year_first);
        let most = orders.clone().map(possible).max().unwrap_or(0);
        orders.filter(|order| possible(*order) == most).collect()
    }

    /// Whether no date lies before the one above it, and there are some to tell by.
    fn goes_on(&self, order: DateOrder) -> bool {
        let days: Vec<NaiveDate> = self.changes.iter().filter_map(|parts| parts.date(order)).collect();
        days.len() > 2 && days.is_sorted()
    }
}

/// The only order of which something holds.
fn only(orders: &[DateOrder], holds: impl Fn(&DateOrder) -> bool) -> Option<DateOrder> {
    let mut found = orders.iter().filter(|order| holds(order));
    found.next().copied().filter(|_| found.next().is_none())
}

/// A file is written on the day of its weighings, or, past midnight, on the next.
fn is_near(date: Option<NaiveDate>, days: &[NaiveDate]) -> bool {
    date.is_some_and(|date| days.iter().any(|day| (*day - date).num_days().abs() <= 1))
}
