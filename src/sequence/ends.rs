//! Numbers missing before the first row and after the last one, where the paper shows that they existed.

use std::collections::BTreeSet;

use chrono::{Days, NaiveDate};

use super::book::Book;
use super::known::PaperTicket;
use super::model::{Event, EventKind};
use crate::draft::Draft;
use crate::units::{Confidence, TransactionNo};

/// A counter that stands so low at the first row, for each ticket lost before it, was probably set to begin the day at 1.
const SMALL_START: u64 = 10;

/// How sure a ticket none of whose drafts is on the stick makes it that some are missing, in hundredths.
const NEVER_SEEN: u8 = 90;

/// How sure a number that a ticket states makes it, in hundredths.
const STATED: u8 = 97;

/// One indicator's rows, the paper, and what is known of the times.
pub struct Ends<'a> {
    /// The rows.
    pub strand: &'a [Draft],
    /// The paper.
    pub book: &'a Book<'a>,
    /// The row from which the run would go on.
    pub last: Option<usize>,
    /// Whether this is the only indicator: only then a ticket without numbers surely is its own.
    pub alone: bool,
    /// Whether the clock leapt, so that dates prove nothing.
    pub clock_leapt: bool,
}

impl Ends<'_> {
    /// The gap before the first row, where a ticket shows that weighing had begun.
    #[must_use]
    pub fn before_first(&self) -> Option<Event> {
        let first = self.strand.iter().find(|draft| draft.stated.transaction.is_some())?;
        // A counter begins at 1, or at 0: nothing lies before.
        let number = first.stated.transaction.filter(|number| number.0 > 1)?;
        let right_day = self.right_day(first);
        let (first_missing, why, sure) = match self.book.reaches_back(first, number, &right_day) {
            Some(stated) => (Some(stated), format!("a ticket states that weighing began with number {stated}"), STATED),
            None => self.lost_before(first, number, &right_day)?,
        };
        Some(Event {
            before: Some(number),
            before_draft: Some(first.id.clone()),
            first_missing,
            last_missing: number.previous(),
            missing: first_missing.map_or(1, |from| number.0 - from.0),
            ..gap(first, sure, why)
        })
    }

    /// The gap after the last row, where a ticket shows that weighing went on. Numbers still legible are not missing.
    #[must_use]
    pub fn after_last(&self, legible: &BTreeSet<TransactionNo>) -> Option<Event> {
        let last = self.strand.get(self.last?)?;
        let number = last_legible(last.stated.transaction?, legible);
        let right_day = self.right_day(last);
        let (last_missing, why, sure) = match self.book.reaches_on(last, number, &right_day) {
            Some(stated) => (Some(stated), format!("a ticket states that weighing went on to number {stated}"), STATED),
            None => {
                let ticket = self.alone.then(|| self.book.lost_after(self.strand, &right_day)).flatten()?;
                (None, never_seen(&ticket.number, "after the last"), NEVER_SEEN)
            }
        };
        Some(Event {
            after: Some(number),
            after_draft: Some(last.id.clone()),
            first_missing: number.next(),
            last_missing,
            missing: last_missing.map_or(1, |to| to.0 - number.0),
            ..gap(last, sure, why)
        })
    }

    /// Tickets without numbers from before the first one on the stick.
    fn lost_before(
        &self,
        first: &Draft,
        number: TransactionNo,
        right_day: &dyn Fn(&PaperTicket) -> bool,
    ) -> Option<(Option<TransactionNo>, String, u8)> {
        let lost = if self.alone { self.book.lost_before(first, right_day) } else { Vec::new() };
        let ticket = lost.first()?;
        let most = SMALL_START * lost.len() as u64;
        let begins_at_one = (2..=most + 1).contains(&number.0).then_some(TransactionNo(1));
        let why = never_seen(&ticket.number, "before the first");
        Some((begins_at_one, why, NEVER_SEEN))
    }

    /// Whether a ticket is of the day of a row; a night's work is listed under the day on which it began.
    fn right_day(&self, row: &Draft) -> impl Fn(&PaperTicket) -> bool + 'static {
        let day: Option<NaiveDate> = row.stated.at.map(crate::units::LocalTime::date).filter(|_| !self.clock_leapt);
        move |ticket| {
            let Some((day, date)) = day.zip(ticket.date) else { return true };
            date == day || date.checked_add_days(Days::new(1)) == Some(day)
        }
    }
}

fn never_seen(ticket: &str, place: &str) -> String {
    format!("ticket {ticket} comes {place} one on the stick, and none of its drafts is here")
}

fn gap(row: &Draft, sure: u8, why: String) -> Event {
    Event {
        kind: EventKind::Gap,
        indicator: row.indicator.clone(),
        after: None,
        before: None,
        after_draft: None,
        before_draft: None,
        first_missing: None,
        last_missing: None,
        missing: 0,
        confidence: Confidence::percent(sure),
        why: vec![why],
    }
}

/// The last number that runs on from here on rows that could not be read whole: those are not missing.
fn last_legible(number: TransactionNo, legible: &BTreeSet<TransactionNo>) -> TransactionNo {
    let next = number.next().filter(|next| legible.contains(next));
    next.map_or(number, |next| {
        legible.range(next..).copied().zip(next.0..).take_while(|(a, b)| a.0 == *b).last().map_or(number, |(a, _)| a)
    })
}
