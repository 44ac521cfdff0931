//! Numbers missing before the first row and after the last one, where the paper shows that they existed.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::{Bound, RangeBounds};

use crate::draft::Draft;
use crate::units::{Confidence, TransactionNo, ticket_key, ticket_serial};

use super::known::{Known, PaperTicket};
use super::model::{Event, EventKind};

/// A counter that stands at most so high at the first row was probably set to begin the day at 1.
const SMALL_START: u64 = 50;

/// A number stated farther from those on the stick than this is a slip of the pen, not a loss.
const FARTHEST_STATED: u64 = 10_000;

/// The gap before the first row, where a ticket shows that weighing had begun.
#[must_use]
pub fn before_first(strand: &[Draft], known: &Known) -> Option<Event> {
    let first = strand.iter().find(|draft| draft.stated.transaction.is_some())?;
    // A counter begins at 1, or at 0: nothing lies before.
    let number = first.stated.transaction.filter(|number| number.0 > 1)?;
    let here = Here::of(strand);
    let of_day = known.tickets.iter().filter(|ticket| same_day(ticket, first) && here.lacks(ticket, ..number));
    let near = |stated: &TransactionNo| *stated < number && number.0 - stated.0 < FARTHEST_STATED;
    let stated = of_day.filter_map(|ticket| ticket.first_transaction).filter(near).min();
    let ticket = earlier_ticket(strand, first, known);
    let (first_missing, why, sure) = match (stated, ticket) {
        (Some(stated), _) => (Some(stated), format!("a ticket states that weighing began with number {stated}"), 97),
        (None, Some(ticket)) => {
            let begins_at_one = (2..=SMALL_START).contains(&number.0).then_some(TransactionNo(1));
            let why = format!(
                "ticket {} comes before the first one on the stick, and none of its drafts is here",
                ticket.number
            );
            (begins_at_one, why, if begins_at_one.is_some() { 90 } else { 75 })
        }
        (None, None) => return None,
    };
    let last_missing = number.previous()?;
    let missing = first_missing.map_or(1, |from| number.0 - from.0);
    Some(Event {
        kind: EventKind::Gap,
        indicator: first.indicator.clone(),
        after: None,
        before: Some(number),
        after_draft: None,
        before_draft: Some(first.id.clone()),
        first_missing,
        last_missing: Some(last_missing),
        missing,
        confidence: Confidence::percent(sure),
        why: vec![why],
    })
}

/// The gap after the last row, where a ticket shows that weighing went on.
#[must_use]
pub fn after_last(strand: &[Draft], known: &Known, legible: &BTreeSet<TransactionNo>) -> Option<Event> {
    let last = strand.iter().rfind(|draft| draft.stated.transaction.is_some())?;
    let number = last_legible(last.stated.transaction?, legible);
    let here = Here::of(strand);
    let of_day = known
        .tickets
        .iter()
        .filter(|ticket| same_day(ticket, last) && here.lacks(ticket, (Bound::Excluded(number), Bound::Unbounded)));
    let near = |stated: &TransactionNo| *stated > number && stated.0 - number.0 < FARTHEST_STATED;
    let stated = of_day.filter_map(|ticket| ticket.last_transaction).filter(near).max();
    let ticket = later_ticket(strand, last, known);
    let (last_missing, why, sure) = match (stated, ticket) {
        (Some(stated), _) => (Some(stated), format!("a ticket states that weighing went on to number {stated}"), 97),
        (None, Some(ticket)) => {
            let why = format!(
                "ticket {} comes after the last one on the stick, and none of its drafts is here",
                ticket.number
            );
            (None, why, 80)
        }
        (None, None) => return None,
    };
    Some(Event {
        kind: EventKind::Gap,
        indicator: last.indicator.clone(),
        after: Some(number),
        before: None,
        after_draft: Some(last.id.clone()),
        before_draft: None,
        first_missing: number.next(),
        last_missing,
        missing: last_missing.map_or(1, |to| to.0 - number.0),
        confidence: Confidence::percent(sure),
        why: vec![why],
    })
}

/// The numbers on the stick, in whatever session, and the tickets their rows carry.
struct Here {
    numbers: BTreeMap<TransactionNo, Vec<Option<String>>>,
}

impl Here {
    fn of(strand: &[Draft]) -> Self {
        let mut numbers: BTreeMap<_, Vec<_>> = BTreeMap::new();
        for draft in strand {
            if let Some(number) = draft.stated.transaction {
                numbers.entry(number).or_default().push(draft.stated.ticket.as_deref().map(ticket_key));
            }
        }
        Self { numbers }
    }

    /// Whether the numbers a ticket states on the far side of an end of the stick are not here: no row without a ticket,
    /// or of that very ticket, carries one of them. Else they belong to another session.
    fn lacks(&self, ticket: &PaperTicket, far_side: impl RangeBounds<TransactionNo>) -> bool {
        let own = ticket_key(&ticket.number);
        let from = ticket.first_transaction.or(ticket.last_transaction);
        let to = ticket.last_transaction.or(ticket.first_transaction);
        let Some((from, to)) = from.zip(to).filter(|(from, to)| from <= to && to.0 - from.0 < FARTHEST_STATED) else {
            return false;
        };
        let stated = self.numbers.range(from..=to).filter(|(number, _)| far_side.contains(number));
        !stated.flat_map(|(_, tickets)| tickets).any(|of| of.as_ref().is_none_or(|of| *of == own))
    }
}

/// The last number that runs on from here on rows that could not be read whole: those are not missing.
fn last_legible(number: TransactionNo, legible: &BTreeSet<TransactionNo>) -> TransactionNo {
    let next = number.next().filter(|next| legible.contains(next));
    next.map_or(number, |next| {
        legible.range(next..).copied().zip(next.0..).take_while(|(a, b)| a.0 == *b).last().map_or(number, |(a, _)| a)
    })
}

fn same_day(ticket: &PaperTicket, draft: &Draft) -> bool {
    match (ticket.date, draft.stated.at) {
        (Some(date), Some(at)) => date == at.date(),
        _ => true,
    }
}

/// The nearest ticket of that day that comes before the first on the stick and has no draft here.
fn earlier_ticket<'k>(strand: &[Draft], first: &Draft, known: &'k Known) -> Option<&'k PaperTicket> {
    let (series, serial) = ticket_serial(first.stated.ticket.as_deref()?)?;
    lost_tickets(strand, first, known)
        .filter(|(_, of, number)| *of == series && *number < serial)
        .max_by_key(|(_, _, number)| *number)
        .map(|(ticket, _, _)| ticket)
}

/// The nearest ticket of that day that comes after all on the stick.
fn later_ticket<'k>(strand: &[Draft], last: &Draft, known: &'k Known) -> Option<&'k PaperTicket> {
    let serials = strand.iter().filter_map(|draft| ticket_serial(draft.stated.ticket.as_deref()?));
    let (series, serial) = serials.max_by_key(|(_, serial)| *serial)?;
    lost_tickets(strand, last, known)
        .filter(|(_, of, number)| *of == series && *number > serial)
        .min_by_key(|(_, _, number)| *number)
        .map(|(ticket, _, _)| ticket)
}

/// Tickets of that day none of whose drafts is here, with their series and number in it.
fn lost_tickets<'k>(
    strand: &[Draft],
    near: &Draft,
    known: &'k Known,
) -> impl Iterator<Item = (&'k PaperTicket, String, u64)> {
    let here: BTreeSet<_> = strand.iter().filter_map(|draft| draft.stated.ticket.as_deref().map(ticket_key)).collect();
    let day = near.stated.at.map(crate::units::LocalTime::date);
    known.tickets.iter().filter_map(move |ticket| {
        let same_day = ticket.date.is_none() || day.is_none() || ticket.date == day;
        let (series, number) = ticket_serial(&ticket.number)?;
        (same_day && !here.contains(&ticket_key(&ticket.number))).then_some((ticket, series, number))
    })
}
