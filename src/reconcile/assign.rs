//! Which drafts belong to which ticket.
//!
//! In this order: the ticket number on the draft; the first and last transaction the ticket states; a run of drafts, on no
//! ticket yet, whose head and gross agree exactly with one ticket alone.

use std::collections::{BTreeMap, HashMap};

use chrono::NaiveDate;

use super::division::by_exact_run;
use crate::draft::Draft;
use crate::finding::NotChecked;
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Decimal, TicketNumbers, TransactionNo};

/// For every draft, the ticket it belongs to, as an index into the list.
pub type Assignment = Vec<Option<usize>>;

/// The day each draft counts for, by its id: a night that runs past midnight belongs to the day it began.
pub type SaleDays = HashMap<String, NaiveDate>;

/// Assigns the drafts to tickets. Void tickets receive none but those that carry their number.
pub fn assign(
    drafts: &[Draft],
    tickets: &[StatedTicket],
    days: &SaleDays,
    not_checked: &mut Vec<NotChecked>,
) -> Assignment {
    let mut assignment = by_ticket_number(drafts, tickets, days);
    by_stated_range(drafts, tickets, days, &mut assignment);
    by_exact_run(drafts, tickets, &mut assignment, not_checked);
    assignment
}

fn by_ticket_number(drafts: &[Draft], tickets: &[StatedTicket], days: &SaleDays) -> Assignment {
    let numbers = TicketNumbers::of(tickets.iter().map(|ticket| ticket.number.as_str()));
    let mut by_key: HashMap<String, Vec<usize>> = HashMap::new();
    for (index, ticket) in tickets.iter().enumerate() {
        by_key.entry(numbers.key(&ticket.number)).or_default().push(index);
    }
    let of_draft = |draft: &Draft| {
        let candidates = by_key.get(&numbers.key(draft.stated.ticket.as_deref()?))?;
        let on = |fits: fn(&StatedTicket, &Draft, &SaleDays) -> bool| {
            candidates.iter().copied().find(|index| tickets.get(*index).is_some_and(|ticket| fits(ticket, draft, days)))
        };
        on(on_sale_day).or_else(|| on(on_calendar_day))
    };
    drafts.iter().map(of_draft).collect()
}

/// The same number on another day is another ticket.
fn on_sale_day(ticket: &StatedTicket, draft: &Draft, days: &SaleDays) -> bool {
    match (ticket.date, days.get(&draft.id)) {
        (Some(stated), Some(day)) => stated == *day,
        _ => true,
    }
}

/// After midnight, paper may carry the day the calendar shows.
fn on_calendar_day(ticket: &StatedTicket, draft: &Draft, _days: &SaleDays) -> bool {
    ticket.date.is_some() && ticket.date == draft.stated.at.map(crate::units::LocalTime::date)
}

/// A wider stated range is a slip of the pen.
const WIDEST_RANGE: u64 = 10_000;

/// The numbers a ticket states, within one session: that whose drafts agree exactly, else the only one that has any.
fn by_stated_range(drafts: &[Draft], tickets: &[StatedTicket], days: &SaleDays, assignment: &mut Assignment) {
    let mut by_number: BTreeMap<TransactionNo, Vec<usize>> = BTreeMap::new();
    for (index, draft) in drafts.iter().enumerate().filter(|(_, draft)| draft.stated.ticket.is_none()) {
        if let Some(number) = draft.stated.transaction {
            by_number.entry(number).or_default().push(index);
        }
    }
    for (index, ticket) in tickets.iter().enumerate().filter(|(_, ticket)| ticket.status != TicketStatus::Void) {
        let (Some(first), Some(last)) = (ticket.first_transaction, ticket.last_transaction) else { continue };
        if first > last || last.0 - first.0 > WIDEST_RANGE {
            continue;
        }
        let mut sessions: BTreeMap<Option<&str>, Vec<usize>> = BTreeMap::new();
        for place in by_number.range(first..=last).flat_map(|(_, places)| places) {
            let free = assignment.get(*place) == Some(&None);
            let Some(draft) = drafts.get(*place).filter(|draft| free && on_sale_day(ticket, draft, days)) else {
                continue;
            };
            sessions.entry(draft.session.as_deref()).or_default().push(*place);
        }
        for place in chosen_session(drafts, ticket, sessions) {
            if let Some(slot) = assignment.get_mut(place) {
                *slot = Some(index);
            }
        }
    }
}

fn chosen_session(drafts: &[Draft], ticket: &StatedTicket, sessions: BTreeMap<Option<&str>, Vec<usize>>) -> Vec<usize> {
    let agrees = |places: &Vec<usize>| {
        let counted = places.iter().filter_map(|place| drafts.get(*place)).filter(|draft| draft.counts());
        let (head, gross) = counted.fold((0, Decimal::ZERO), plus);
        ticket.head.is_none_or(|stated| i64::from(stated.0) == head)
            && ticket.gross.is_none_or(|stated| stated.amount() == gross)
    };
    let all: Vec<Vec<usize>> = sessions.into_values().collect();
    let mut exact = all.iter().filter(|places| agrees(places));
    match (all.as_slice(), exact.next(), exact.next()) {
        ([only], _, _) => only.clone(),
        (_, Some(only), None) => only.clone(),
        _ => Vec::new(),
    }
}

/// Head and gross.
pub type Figures = (i64, Decimal);

/// A sum with one more draft.
#[must_use]
pub fn plus(sum: Figures, draft: &Draft) -> Figures {
    let gross = draft.stated.gross.map(crate::units::Weight::amount).unwrap_or_default();
    (sum.0 + i64::from(draft.stated.head.unwrap_or_default().0), sum.1 + gross)
}
