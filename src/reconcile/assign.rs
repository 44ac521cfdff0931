//! Which drafts belong to which ticket.
//!
//! In this order: the ticket number on the draft; the first and last transaction the ticket states; a run of drafts, on no
//! ticket yet, whose head and gross agree exactly with one ticket alone.

use std::collections::{BTreeMap, HashMap, HashSet};

use chrono::NaiveDate;

use crate::draft::{Draft, Standing};
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Decimal, TicketNumbers};

/// For every draft, the ticket it belongs to, as an index into the list.
pub type Assignment = Vec<Option<usize>>;

/// The day a draft counts for, by its id: a night that runs past midnight belongs to the day it began.
pub type SaleDays = HashMap<String, NaiveDate>;

/// Assigns the drafts to tickets. Void tickets receive none.
#[must_use]
pub fn assign(drafts: &[Draft], tickets: &[StatedTicket], days: &SaleDays) -> Assignment {
    let mut assignment = by_ticket_number(drafts, tickets, days);
    by_stated_range(drafts, tickets, days, &mut assignment);
    by_exact_run(drafts, tickets, &mut assignment);
    assignment
}

fn by_ticket_number(drafts: &[Draft], tickets: &[StatedTicket], days: &SaleDays) -> Assignment {
    let numbers = TicketNumbers::of(tickets.iter().map(|ticket| ticket.number.as_str()));
    let mut by_key: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, ticket) in tickets.iter().enumerate() {
        by_key.entry(numbers.key(&ticket.number)).or_default().push(index);
    }
    let of_draft = |draft: &Draft| {
        let candidates = by_key.get(&numbers.key(draft.ticket.as_deref()?))?;
        candidates.iter().copied().find(|index| tickets.get(*index).is_some_and(|ticket| same_day(ticket, draft, days)))
    };
    drafts.iter().map(of_draft).collect()
}

/// The same number on another day is another ticket.
fn same_day(ticket: &StatedTicket, draft: &Draft, days: &SaleDays) -> bool {
    match (ticket.date, days.get(&draft.id)) {
        (Some(stated), Some(day)) => stated == *day,
        _ => true,
    }
}

fn by_stated_range(drafts: &[Draft], tickets: &[StatedTicket], days: &SaleDays, assignment: &mut Assignment) {
    for (index, ticket) in tickets.iter().enumerate().filter(|(_, ticket)| ticket.status != TicketStatus::Void) {
        let (Some(first), Some(last)) = (ticket.first_transaction, ticket.last_transaction) else { continue };
        for (draft, slot) in drafts.iter().zip(assignment.iter_mut()).filter(|(_, slot)| slot.is_none()) {
            let inside = draft.transaction.is_some_and(|number| (first..=last).contains(&number));
            if inside && draft.ticket.is_none() && same_day(ticket, draft, days) {
                *slot = Some(index);
            }
        }
    }
}

/// Tickets without any draft take the one run of free drafts that agrees with them exactly.
fn by_exact_run(drafts: &[Draft], tickets: &[StatedTicket], assignment: &mut Assignment) {
    let free: Vec<(usize, &Draft)> = drafts
        .iter()
        .enumerate()
        .filter(|(index, draft)| {
            draft.ticket.is_none() && draft.standing == Standing::Counted && assignment.get(*index) == Some(&None)
        })
        .collect();
    if free.is_empty() {
        return;
    }
    let sums = RunSums::of(&free);
    let with_drafts: HashSet<usize> = assignment.iter().flatten().copied().collect();
    let mut runs: Vec<(usize, std::ops::Range<usize>)> = Vec::new();
    for (index, ticket) in tickets.iter().enumerate() {
        let (Some(head), Some(gross)) = (ticket.head, ticket.gross) else { continue };
        if !with_drafts.contains(&index) && ticket.status != TicketStatus::Void {
            runs.extend(sums.only_run(i64::from(head.0), gross.amount()).map(|run| (index, run)));
        }
    }
    for (position, (index, run)) in runs.iter().enumerate() {
        let contested = runs
            .iter()
            .enumerate()
            .any(|(other, (_, taken))| other != position && taken.start < run.end && run.start < taken.end);
        if contested {
            continue;
        }
        for (draft, _) in free.get(run.clone()).unwrap_or_default() {
            if let Some(slot) = assignment.get_mut(*draft) {
                *slot = Some(*index);
            }
        }
    }
}

/// Sums of head and gross up to each draft, and where each sum stands.
struct RunSums {
    up_to: Vec<(i64, Decimal)>,
    places: HashMap<(i64, Decimal), Vec<usize>>,
}

impl RunSums {
    fn of(free: &[(usize, &Draft)]) -> Self {
        let mut up_to = vec![(0, Decimal::ZERO)];
        let mut sum = (0_i64, Decimal::ZERO);
        for (_, draft) in free {
            sum.0 += i64::from(draft.head.unwrap_or_default().0);
            sum.1 += draft.gross.map(crate::units::Weight::amount).unwrap_or_default();
            up_to.push(sum);
        }
        let mut places: HashMap<_, Vec<usize>> = HashMap::new();
        for (place, (head, gross)) in up_to.iter().enumerate() {
            places.entry((*head, gross.normalize())).or_default().push(place);
        }
        Self { up_to, places }
    }

    /// The one run with exactly this head and gross; `None` where there is none or more than one.
    fn only_run(&self, head: i64, gross: Decimal) -> Option<std::ops::Range<usize>> {
        let mut runs = self.up_to.iter().enumerate().flat_map(|(from, sum)| {
            let wanted = (sum.0 + head, (sum.1 + gross).normalize());
            let ends = self.places.get(&wanted).map(Vec::as_slice).unwrap_or_default();
            ends.iter().filter(move |to| **to > from).map(move |to| from..*to)
        });
        let only = runs.next()?;
        runs.next().is_none().then_some(only)
    }
}
