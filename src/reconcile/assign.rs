//! Which drafts belong to which ticket.
//!
//! In this order: the ticket number on the draft; the first and last transaction the ticket states; a run of drafts, on no
//! ticket yet, whose head and gross agree exactly with one ticket alone.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::ops::Range;

use chrono::NaiveDate;

use crate::draft::{Draft, Standing};
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
        let candidates = by_key.get(&numbers.key(draft.ticket.as_deref()?))?;
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
    ticket.date.is_some() && ticket.date == draft.at.map(crate::units::LocalTime::date)
}

/// A wider stated range is a slip of the pen.
const WIDEST_RANGE: u64 = 10_000;

/// The numbers a ticket states, within one session: that whose drafts agree exactly, else the only one that has any.
fn by_stated_range(drafts: &[Draft], tickets: &[StatedTicket], days: &SaleDays, assignment: &mut Assignment) {
    let mut by_number: BTreeMap<TransactionNo, Vec<usize>> = BTreeMap::new();
    for (index, draft) in drafts.iter().enumerate().filter(|(_, draft)| draft.ticket.is_none()) {
        if let Some(number) = draft.transaction {
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

fn plus(sum: (i64, Decimal), draft: &Draft) -> (i64, Decimal) {
    let gross = draft.gross.map(crate::units::Weight::amount).unwrap_or_default();
    (sum.0 + i64::from(draft.head.unwrap_or_default().0), sum.1 + gross)
}

/// Tickets without any draft take the one run of free drafts that agrees with them exactly.
fn by_exact_run(
    drafts: &[Draft],
    tickets: &[StatedTicket],
    assignment: &mut Assignment,
    not_checked: &mut Vec<NotChecked>,
) {
    let is_free = |(index, draft): &(usize, &Draft)| {
        draft.ticket.is_none() && draft.standing == Standing::Counted && assignment.get(*index) == Some(&None)
    };
    let free: Vec<(usize, &Draft)> = drafts.iter().enumerate().filter(is_free).collect();
    let with_drafts: HashSet<usize> = assignment.iter().flatten().copied().collect();
    let wanted = tickets.iter().enumerate().filter_map(|(index, ticket)| {
        let expects = ticket.status != TicketStatus::Void && !with_drafts.contains(&index);
        let figures = (i64::from(ticket.head?.0), ticket.gross?.amount().normalize());
        expects.then_some((index, figures))
    });
    let Some(runs) = only_runs(&free, wanted) else {
        let why = format!("more than {MOST_RUNS} runs of drafts would have to be tried");
        not_checked.push(NotChecked::new("which drafts without a ticket number belong to which ticket", why));
        return;
    };
    for (index, run) in without_overlaps(runs) {
        for (draft, _) in free.get(run).unwrap_or_default() {
            if let Some(slot) = assignment.get_mut(*draft) {
                *slot = Some(index);
            }
        }
    }
}

/// Runs longer in head or weight than the largest ticket are not looked at; nor more than so many runs in all.
const MOST_RUNS: usize = 10_000_000;

/// For each ticket the one run with exactly its head and gross; no run where there are several. `None` where it would take
/// too long.
fn only_runs(
    free: &[(usize, &Draft)],
    wanted: impl Iterator<Item = (usize, (i64, Decimal))>,
) -> Option<Vec<(usize, Range<usize>)>> {
    let mut tickets: HashMap<(i64, Decimal), Vec<usize>> = HashMap::new();
    for (index, figures) in wanted {
        tickets.entry(figures).or_default().push(index);
    }
    let most_head = tickets.keys().map(|(head, _)| *head).max().unwrap_or(-1);
    let most_gross = tickets.keys().map(|(_, gross)| *gross).max().unwrap_or_default();
    let mut found: HashMap<(i64, Decimal), Option<Range<usize>>> = HashMap::new();
    let mut left = MOST_RUNS;
    for from in 0..free.len() {
        let mut sum = (0, Decimal::ZERO);
        for (place, (_, draft)) in free.iter().enumerate().skip(from) {
            sum = plus(sum, draft);
            if sum.0 > most_head || sum.1 > most_gross {
                break;
            }
            left = left.checked_sub(1)?;
            let key = (sum.0, sum.1.normalize());
            if tickets.contains_key(&key) {
                found.entry(key).and_modify(|run| *run = None).or_insert(Some(from..place + 1));
            }
        }
    }
    let of_figures = |(figures, run): ((i64, Decimal), Option<Range<usize>>)| {
        let tickets = tickets.get(&figures).cloned().unwrap_or_default();
        tickets.into_iter().filter_map(move |index| Some((index, run.clone()?)))
    };
    Some(found.into_iter().flat_map(of_figures).collect())
}

/// Runs that share a draft settle nothing.
fn without_overlaps(mut runs: Vec<(usize, Range<usize>)>) -> Vec<(usize, Range<usize>)> {
    runs.sort_by_key(|(_, run)| (run.start, run.end));
    let mut alone = vec![true; runs.len()];
    let mut reach: Option<(usize, usize)> = None;
    for (place, (_, run)) in runs.iter().enumerate() {
        if let Some((widest, end)) = reach
            && run.start < end
        {
            for overlapping in [widest, place] {
                if let Some(alone) = alone.get_mut(overlapping) {
                    *alone = false;
                }
            }
        }
        if reach.is_none_or(|(_, end)| run.end > end) {
            reach = Some((place, run.end));
        }
    }
    runs.into_iter().zip(alone).filter(|(_, alone)| *alone).map(|(run, _)| run).collect()
}
