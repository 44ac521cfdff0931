//! One indicator's rows in the order of the weighings, and what can be looked up in them.

use std::collections::BTreeSet;

use super::pace::{Pace, elapsed};
use super::paper::Paper;
use super::pauses::Pauses;
use crate::draft::Draft;
use crate::units::TransactionNo;

/// A number that stands in more places than this is looked up in the nearest of them only.
const MOST_LOOKED_UP: usize = 64;

/// So many numbers left out are looked for further down, and over so many rows.
const LONGEST_BLOCK: u64 = 64;
const LONGEST_DELAY: usize = 1_000;

/// A run, ready to be explained.
pub struct Run<'a> {
    /// The rows.
    pub drafts: &'a [Draft],
    /// Numbers read on rows that could not be read whole: they are not missing.
    pub legible: &'a BTreeSet<TransactionNo>,
    /// The day's pace.
    pub pace: Pace,
    /// How long people here stop.
    pub pauses: Pauses,
    /// What the paper tickets say.
    pub paper: &'a Paper,
    /// Every number and where it stands, in order.
    by_number: Vec<(TransactionNo, usize)>,
}

impl<'a> Run<'a> {
    /// Lays out a run for looking up.
    #[must_use]
    pub fn of(drafts: &'a [Draft], legible: &'a BTreeSet<TransactionNo>, paper: &'a Paper) -> Self {
        let numbers = drafts.iter().enumerate();
        let mut by_number: Vec<_> =
            numbers.filter_map(|(row, draft)| draft.stated.transaction.map(|number| (number, row))).collect();
        by_number.sort();
        Self { drafts, legible, pace: Pace::of(drafts), pauses: Pauses::of(drafts), paper, by_number }
    }

    /// The number of a row.
    #[must_use]
    pub fn number(&self, row: usize) -> Option<TransactionNo> {
        self.drafts.get(row)?.stated.transaction
    }

    /// Seconds from one row to another; `None` where one of them states no time of day.
    #[must_use]
    pub fn elapsed(&self, from: usize, to: usize) -> Option<i64> {
        elapsed(self.drafts.get(from)?, self.drafts.get(to)?)
    }

    /// Where a number stands, in order.
    fn places(&self, number: TransactionNo) -> &[(TransactionNo, usize)] {
        let from = self.by_number.partition_point(|(other, _)| *other < number);
        let to = from + self.by_number.get(from..).unwrap_or_default().partition_point(|(other, _)| *other == number);
        self.by_number.get(from..to).unwrap_or_default()
    }

    /// The rows above this one that carry its number, nearest first.
    pub fn above(&self, row: usize) -> impl Iterator<Item = usize> + '_ {
        let places = self.number(row).map(|number| self.places(number)).unwrap_or_default();
        let until = places.partition_point(|(_, place)| *place < row);
        let above = places.get(..until).unwrap_or_default();
        above.iter().rev().take(MOST_LOOKED_UP).map(|(_, place)| *place)
    }

    /// The rows above this one, from `stretch` on, with the nearest lower and the nearest higher number.
    #[must_use]
    pub fn neighbours(&self, row: usize, stretch: usize) -> (Option<usize>, Option<usize>) {
        let Some(number) = self.number(row) else { return (None, None) };
        let at = self.by_number.partition_point(|(other, _)| *other < number);
        let here = |(other, place): &&(TransactionNo, usize)| *other != number && (stretch..row).contains(place);
        let (lower, higher) = self.by_number.split_at_checked(at).unwrap_or_default();
        let near = |found: Option<&(TransactionNo, usize)>| found.map(|(_, place)| *place);
        let below = lower.iter().rev().take(MOST_LOOKED_UP).find(here);
        (near(below), near(higher.iter().take(MOST_LOOKED_UP).find(here)))
    }

    /// How many of the numbers left out right before a row stand nowhere: not further down as rows that were delayed, and
    /// not on a row that could not be read whole.
    #[must_use]
    pub fn nowhere(&self, last: usize, row: usize) -> u64 {
        let (Some(first), Some(number)) = (self.number(last).and_then(TransactionNo::next), self.number(row)) else {
            return 0;
        };
        let missing = number.0.saturating_sub(first.0);
        let legible = self.legible.range(first..number.max(first)).count() as u64;
        if missing > LONGEST_BLOCK {
            return missing - legible;
        }
        let delayed = (first.0..number.0).filter(|number| self.is_delayed(TransactionNo(*number), last, row));
        missing.saturating_sub(legible + delayed.count() as u64)
    }

    /// Whether a number left out stands further down with a time that belongs here.
    fn is_delayed(&self, number: TransactionNo, last: usize, row: usize) -> bool {
        let places = self.places(number);
        let from = places.partition_point(|(_, place)| *place <= row);
        let near = places.get(from).map(|(_, place)| *place).filter(|place| *place <= row + LONGEST_DELAY);
        near.is_some_and(|place| {
            let after = self.elapsed(last, place).is_none_or(|seconds| seconds >= 0);
            after && self.elapsed(place, row).is_none_or(|seconds| seconds >= 0)
        })
    }
}
