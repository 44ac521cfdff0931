//! The typed tickets as a book: which one a row is of, and how far the numbers go on from it, before and after.

use std::collections::{BTreeSet, HashMap};

use super::known::PaperTicket;
use crate::draft::Draft;
use crate::units::{TransactionNo, ticket_key, ticket_serial};

/// So many numbers between two tickets that follow each other were given twice, or written down wrongly; more are another
/// stretch.
const NEAR: u64 = 12;

/// A range wider than this is a slip of the pen.
const WIDEST: u64 = 10_000;

/// The tickets in the order of their numbers, and what stands on the stick.
pub struct Book<'k> {
    tickets: Vec<(Option<(String, u64)>, &'k PaperTicket)>,
    by_key: HashMap<String, Vec<usize>>,
    /// Tickets that rows name.
    named: BTreeSet<String>,
    /// Numbers of rows that name no ticket.
    loose: BTreeSet<TransactionNo>,
}

type Test<'t> = &'t dyn Fn(&PaperTicket) -> bool;

impl<'k> Book<'k> {
    /// Lays the tickets beside the rows of all indicators.
    #[must_use]
    pub fn of(tickets: &'k [PaperTicket], strands: &[Vec<Draft>]) -> Self {
        let mut ordered: Vec<_> = tickets.iter().map(|ticket| (ticket_serial(&ticket.number), ticket)).collect();
        ordered.sort_by(|one, other| one.0.cmp(&other.0));
        let mut book =
            Self { tickets: ordered, by_key: HashMap::new(), named: BTreeSet::new(), loose: BTreeSet::new() };
        for (place, (_, ticket)) in book.tickets.iter().enumerate() {
            book.by_key.entry(ticket_key(&ticket.number)).or_default().push(place);
        }
        let rows = strands.iter().flatten().filter(|_| !tickets.is_empty());
        for draft in rows {
            match &draft.stated.ticket {
                Some(ticket) => book.named.extend(Some(ticket_key(ticket))),
                None => book.loose.extend(draft.stated.transaction),
            }
        }
        book
    }

    /// How far back the numbers go from a first row, as tickets state; `None` where no ticket states one before it.
    #[must_use]
    pub fn reaches_back(&self, row: &Draft, number: TransactionNo, right_day: Test<'_>) -> Option<TransactionNo> {
        let anchor = self.ticket_of(row, number, right_day)?;
        let mut from = number;
        if let Some(first) = self.get(anchor).and_then(|ticket| ticket.first_transaction) {
            from = from.min(first);
        }
        for place in (0..anchor).rev() {
            let Some((first, last)) = self.lost_range(place, right_day) else { break };
            if last >= from || from.0 - last.0 > NEAR {
                break;
            }
            from = first;
        }
        (from < number && self.is_not_here(from, number.previous()?)).then_some(from)
    }

    /// How far on the numbers go from a last row, as tickets state; `None` where no ticket states one after it.
    #[must_use]
    pub fn reaches_on(&self, row: &Draft, number: TransactionNo, right_day: Test<'_>) -> Option<TransactionNo> {
        let anchor = self.ticket_of(row, number, right_day)?;
        let mut to = number;
        if let Some(last) = self.get(anchor).and_then(|ticket| ticket.last_transaction) {
            to = to.max(last);
        }
        for place in anchor + 1..self.tickets.len() {
            let Some((first, last)) = self.lost_range(place, right_day) else { break };
            if first <= to || first.0 - to.0 > NEAR {
                break;
            }
            to = last;
        }
        (to > number && self.is_not_here(number.next()?, to)).then_some(to)
    }

    fn get(&self, place: usize) -> Option<&'k PaperTicket> {
        self.tickets.get(place).map(|(_, ticket)| *ticket)
    }

    /// The ticket a row is of: by its own word, else the only one that states its number.
    fn ticket_of(&self, row: &Draft, number: TransactionNo, right_day: Test<'_>) -> Option<usize> {
        let fits = |place: &usize| self.get(*place).is_some_and(|ticket| right_day(ticket) && may_hold(ticket, number));
        if let Some(ticket) = &row.stated.ticket {
            return self.by_key.get(&ticket_key(ticket))?.iter().copied().find(fits);
        }
        let states = |place: &usize| self.get(*place).is_some_and(|ticket| ticket.first_transaction.is_some());
        let mut fitting = (0..self.tickets.len()).filter(|place| states(place) && fits(place));
        fitting.next().filter(|_| fitting.next().is_none())
    }

    /// What a ticket states of which no row is here.
    fn lost_range(&self, place: usize, right_day: Test<'_>) -> Option<(TransactionNo, TransactionNo)> {
        let ticket = self.get(place).filter(|ticket| right_day(ticket))?;
        let first = ticket.first_transaction.or(ticket.last_transaction)?;
        let last = ticket.last_transaction.or(ticket.first_transaction)?;
        let sound = first <= last && last.0 - first.0 < WIDEST;
        (sound && !self.named.contains(&ticket_key(&ticket.number))).then_some((first, last))
    }

    /// Whether no row without a ticket has such a number: else it belongs to another session.
    fn is_not_here(&self, first: TransactionNo, last: TransactionNo) -> bool {
        last.0 - first.0 < WIDEST && self.loose.range(first..=last).next().is_none()
    }

    /// Tickets that come right before that of the first row and have no row here, nearest first.
    #[must_use]
    pub fn lost_before(&self, first: &Draft, right_day: Test<'_>) -> Vec<&'k PaperTicket> {
        let Some(here) = first.stated.ticket.as_deref().and_then(ticket_serial) else { return Vec::new() };
        let lower = self.unseen(&here.0, right_day).filter(|(serial, _)| *serial < here.1);
        let mut all: Vec<_> = lower.collect();
        all.reverse();
        all.into_iter().map(|(_, ticket)| ticket).collect()
    }

    /// The nearest ticket that comes after all of its series that rows name.
    #[must_use]
    pub fn lost_after(&self, strand: &[Draft], right_day: Test<'_>) -> Option<&'k PaperTicket> {
        let serials = strand.iter().filter_map(|draft| ticket_serial(draft.stated.ticket.as_deref()?));
        let (series, highest) = serials.max_by_key(|(_, serial)| *serial)?;
        self.unseen(&series, right_day).find(|(serial, _)| *serial > highest).map(|(_, ticket)| ticket)
    }

    /// Tickets of a series and day of which no row is here, in order.
    fn unseen<'b>(&'b self, series: &'b str, right_day: Test<'b>) -> impl Iterator<Item = (u64, &'k PaperTicket)> + 'b {
        self.tickets.iter().filter_map(move |(serial, ticket)| {
            let (_, number) = serial.as_ref().filter(|(of, _)| of == series)?;
            let unseen = right_day(ticket) && !self.named.contains(&ticket_key(&ticket.number));
            unseen.then_some((*number, *ticket))
        })
    }
}

/// Whether the numbers a ticket states leave room for this one. A ticket over which the counter began again states a last
/// number below its first.
fn may_hold(ticket: &PaperTicket, number: TransactionNo) -> bool {
    match (ticket.first_transaction, ticket.last_transaction) {
        (Some(first), Some(last)) if first <= last => (first..=last).contains(&number),
        (Some(_), Some(_)) => false,
        (Some(first), None) => first <= number,
        (None, Some(last)) => number <= last,
        (None, None) => true,
    }
}
