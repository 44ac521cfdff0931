//! Which drafts belong to which ticket.
//!
//! In this order: the ticket number on the draft; the total row below it; the first and last transaction the ticket states; a
//! run of drafts, on no ticket yet, whose head and gross agree exactly with one ticket alone.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use chrono::NaiveDate;

use super::division::by_exact_run;
use crate::draft::{Draft, Standing, StatedTotal};
use crate::finding::NotChecked;
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Decimal, TicketNumbers, TransactionNo};

/// For every draft, the ticket it belongs to, as an index into the list.
pub type Assignment = Vec<Option<usize>>;

/// The day each draft counts for, by its id: a night that runs past midnight belongs to the day it began.
pub type SaleDays = HashMap<String, NaiveDate>;

/// Assigns the drafts to tickets. Void tickets receive none but those that carry their number, and these too go to the ticket
/// that replaces the void one, where the list has it.
pub fn assign(
    drafts: &[Draft],
    totals: &[StatedTotal],
    tickets: &[StatedTicket],
    days: &SaleDays,
    not_checked: &mut Vec<NotChecked>,
) -> Assignment {
    let listed = Listed::of(tickets);
    let by_number = |draft: &Draft| listed.find(draft.stated.ticket.as_deref()?, draft, days);
    let mut assignment: Assignment = drafts.iter().map(by_number).collect();
    by_total_row(drafts, totals, &listed, days, &mut assignment);
    by_stated_range(drafts, tickets, days, &mut assignment);
    by_exact_run(drafts, tickets, &mut assignment, not_checked);
    beside_their_original(drafts, &mut assignment);
    assignment
}

/// The list's tickets by their numbers.
struct Listed<'t> {
    tickets: &'t [StatedTicket],
    numbers: TicketNumbers,
    by_key: HashMap<String, Vec<usize>>,
    /// Tickets that stand for a void one, by the number of that.
    replacing: HashMap<String, usize>,
}

impl<'t> Listed<'t> {
    fn of(tickets: &'t [StatedTicket]) -> Self {
        let numbers = TicketNumbers::of(tickets.iter().map(|ticket| ticket.number.as_str()));
        let mut by_key: HashMap<String, Vec<usize>> = HashMap::new();
        let mut replacing = HashMap::new();
        for (index, ticket) in tickets.iter().enumerate() {
            by_key.entry(numbers.key(&ticket.number)).or_default().push(index);
            if let Some(void) = ticket.replaces.as_deref().filter(|_| ticket.status != TicketStatus::Void) {
                replacing.insert(numbers.key(void), index);
            }
        }
        Self { tickets, numbers, by_key, replacing }
    }

    fn find(&self, number: &str, draft: &Draft, days: &SaleDays) -> Option<usize> {
        let key = self.numbers.key(number);
        let found = self.by_key.get(&key).and_then(|candidates| {
            let on = |fits: fn(&StatedTicket, &Draft, &SaleDays) -> bool| {
                let fits = |index: &usize| self.tickets.get(*index).is_some_and(|ticket| fits(ticket, draft, days));
                candidates.iter().copied().find(fits)
            };
            on(on_sale_day).or_else(|| on(on_calendar_day))
        });
        let is_void = |index: usize| self.tickets.get(index).is_some_and(|ticket| ticket.status == TicketStatus::Void);
        match found {
            Some(index) if !is_void(index) => found,
            _ => self.replacing.get(&key).copied().or(found),
        }
    }
}

/// Drafts without a ticket number that stand above a total row which names one.
fn by_total_row(
    drafts: &[Draft],
    totals: &[StatedTotal],
    listed: &Listed<'_>,
    days: &SaleDays,
    assignment: &mut Assignment,
) {
    // Where rows name their tickets, a row that names none is on none.
    let naming = drafts.iter().filter(|draft| draft.stated.ticket.is_some());
    let naming: HashSet<&str> = naming.filter_map(|draft| Some(draft.origin.as_ref()?.export.as_str())).collect();
    let mut named: HashMap<&str, &str> = HashMap::new();
    for total in totals.iter().filter(|total| !naming.contains(total.origin.export.as_str())) {
        if let Some(ticket) = total.ticket.as_deref() {
            named.extend(total.above.iter().map(|id| (id.as_str(), ticket)));
        }
    }
    for (draft, slot) in drafts.iter().zip(assignment).filter(|(draft, _)| draft.stated.ticket.is_none()) {
        if let Some(number) = named.get(draft.id.as_str()) {
            *slot = listed.find(number, draft, days);
        }
    }
}

/// A copy without a ticket number lies where the draft of its number lies.
fn beside_their_original(drafts: &[Draft], assignment: &mut Assignment) {
    let counted = drafts.iter().zip(assignment.iter()).filter(|(draft, _)| draft.counts());
    let places: HashMap<_, _> = counted.filter_map(|(draft, ticket)| Some((key(draft)?, *ticket))).collect();
    for (draft, slot) in drafts.iter().zip(assignment) {
        if draft.standing == Standing::Reprint && draft.stated.ticket.is_none() {
            *slot = key(draft).and_then(|key| places.get(&key).copied().flatten()).or(*slot);
        }
    }
}

fn key(draft: &Draft) -> Option<(&str, TransactionNo, Option<crate::units::Weight>)> {
    Some((draft.indicator.as_str(), draft.stated.transaction?, draft.stated.gross))
}

/// Rows without a ticket number that count for nothing, with the tickets of the drafts beside them by number: whose they are is
/// open.
#[must_use]
pub fn rows_between<'d>(drafts: &'d [Draft], assignment: &Assignment) -> Vec<(&'d Draft, Vec<usize>)> {
    let mut numbered: BTreeMap<TransactionNo, usize> = BTreeMap::new();
    let pairs = || drafts.iter().zip(assignment);
    for (draft, ticket) in pairs().filter(|(draft, _)| draft.counts() && draft.stated.ticket.is_none()) {
        numbered.extend(draft.stated.transaction.zip(*ticket));
    }
    let is_between = |(draft, ticket): &(&Draft, &Option<usize>)| {
        matches!(draft.standing, Standing::Void | Standing::Recovered)
            && ticket.is_none()
            && draft.stated.ticket.is_none()
    };
    let beside = |draft: &'d Draft| {
        let number = draft.stated.transaction?;
        let before = numbered.range(..number).next_back().map(|(_, ticket)| *ticket);
        let after = numbered.range(number..).next().map(|(_, ticket)| *ticket);
        Some((draft, before.into_iter().chain(after.filter(|after| Some(*after) != before)).collect()))
    };
    pairs().filter(is_between).filter_map(|(draft, _)| beside(draft)).collect()
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
        // No number stands twice: it is one run, however the counter went.
        (_, None, _) if is_one_run(drafts, &all) => all.concat(),
        _ => Vec::new(),
    }
}

fn is_one_run(drafts: &[Draft], sessions: &[Vec<usize>]) -> bool {
    let counted = sessions.iter().flatten().filter_map(|place| drafts.get(*place)).filter(|draft| draft.counts());
    let mut numbers = BTreeSet::new();
    counted.into_iter().all(|draft| numbers.insert(draft.stated.transaction))
}

/// Head and gross.
pub type Figures = (i64, Decimal);

/// A sum with one more draft.
#[must_use]
pub fn plus(sum: Figures, draft: &Draft) -> Figures {
    let gross = draft.stated.gross.map(crate::units::Weight::amount).unwrap_or_default();
    (sum.0 + i64::from(draft.stated.head.unwrap_or_default().0), sum.1 + gross)
}
