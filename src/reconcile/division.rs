//! Drafts without a ticket number, divided among tickets by exact sums.

use std::collections::{HashMap, HashSet};
use std::ops::Range;

use super::assign::{Assignment, Figures, plus};
use super::in_order::{Candidate, sure_in_order};
use crate::draft::{Draft, Standing};
use crate::finding::NotChecked;
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::Decimal;

/// Tickets without any draft, and drafts without a ticket number: where the list in its own order divides the drafts
/// exactly, that; else each ticket takes the one run of free drafts that agrees with it exactly, alone or in the order of the list.
pub fn by_exact_run(
    drafts: &[Draft],
    tickets: &[StatedTicket],
    assignment: &mut Assignment,
    not_checked: &mut Vec<NotChecked>,
) {
    let is_free = |(index, draft): &(usize, &Draft)| {
        draft.stated.ticket.is_none() && draft.standing == Standing::Counted && assignment.get(*index) == Some(&None)
    };
    let free: Vec<(usize, &Draft)> = drafts.iter().enumerate().filter(is_free).collect();
    let with_drafts: HashSet<usize> = assignment.iter().flatten().copied().collect();
    let expects =
        |(index, ticket): &(usize, &StatedTicket)| ticket.status != TicketStatus::Void && !with_drafts.contains(index);
    let figures = |ticket: &StatedTicket| Some((i64::from(ticket.head?.0), ticket.gross?.amount().normalize()));
    let wanted: Vec<(usize, Figures)> = tickets
        .iter()
        .enumerate()
        .filter(expects)
        .filter_map(|(index, ticket)| Some((index, figures(ticket)?)))
        .collect();
    let Some(runs) = in_list_order(&free, &wanted).or_else(|| by_runs(&free, &wanted)) else {
        let why = format!("more than {MOST_RUNS} runs of drafts would have to be tried");
        not_checked.push(NotChecked::new("which drafts without a ticket number belong to which ticket", why));
        return;
    };
    for (index, run) in runs {
        for (draft, _) in free.get(run).unwrap_or_default() {
            if let Some(slot) = assignment.get_mut(*draft) {
                *slot = Some(index);
            }
        }
    }
}

/// The list in its own order, from the first free draft to the last; `None` where it does not come out to the last pound.
fn in_list_order(free: &[(usize, &Draft)], wanted: &[(usize, Figures)]) -> Option<Vec<(usize, Range<usize>)>> {
    let mut runs = Vec::with_capacity(wanted.len());
    let mut from = 0;
    for (index, figures) in wanted {
        let mut sum = (0, Decimal::ZERO);
        let mut to = from;
        while sum.0 < figures.0 {
            sum = plus(sum, free.get(to)?.1);
            to += 1;
        }
        (sum.0 == figures.0 && sum.1 == figures.1 && to > from).then_some(())?;
        runs.push((*index, from..to));
        from = to;
    }
    (from == free.len()).then_some(runs)
}

/// Runs longer in head or weight than the largest ticket are not looked at; nor more than so many runs in all.
const MOST_RUNS: usize = 10_000_000;

/// What agrees with a ticket alone, or, where that gives more tickets a run, with the tickets in their order. `None` where it would
/// take too long.
fn by_runs(free: &[(usize, &Draft)], wanted: &[(usize, Figures)]) -> Option<Vec<(usize, Range<usize>)>> {
    let candidates = all_runs(free, wanted)?;
    let alone = without_overlaps(only_runs(&candidates));
    let in_order = sure_in_order(candidates, free.len());
    let chosen = if in_order.len() > alone.len() { in_order } else { alone };
    let named = |(place, run): (usize, Range<usize>)| Some((wanted.get(place)?.0, run));
    Some(chosen.into_iter().filter_map(named).collect())
}

/// Every run with exactly the head and gross of a ticket, with the ticket's place among those that wait.
fn all_runs(free: &[(usize, &Draft)], wanted: &[(usize, Figures)]) -> Option<Vec<Candidate>> {
    let mut tickets: HashMap<Figures, Vec<usize>> = HashMap::new();
    for (place, (_, figures)) in wanted.iter().enumerate() {
        tickets.entry(*figures).or_default().push(place);
    }
    let most_head = tickets.keys().map(|(head, _)| *head).max().unwrap_or(-1);
    let most_gross = tickets.keys().map(|(_, gross)| *gross).max().unwrap_or_default();
    let mut found = Vec::new();
    let mut left = MOST_RUNS;
    for from in 0..free.len() {
        let mut sum = (0, Decimal::ZERO);
        for (place, (_, draft)) in free.iter().enumerate().skip(from) {
            sum = plus(sum, draft);
            if sum.0 > most_head || sum.1 > most_gross {
                break;
            }
            let agreeing = tickets.get(&(sum.0, sum.1.normalize()));
            left = left.checked_sub(1 + agreeing.map_or(0, Vec::len))?;
            found.extend(agreeing.into_iter().flatten().map(|ticket| (*ticket, from..place + 1)));
        }
    }
    Some(found)
}

/// The runs of tickets that only one run agrees with.
fn only_runs(candidates: &[Candidate]) -> Vec<Candidate> {
    let mut runs: HashMap<usize, usize> = HashMap::new();
    candidates.iter().for_each(|(ticket, _)| *runs.entry(*ticket).or_default() += 1);
    candidates.iter().filter(|(ticket, _)| runs.get(ticket) == Some(&1)).cloned().collect()
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

/// What is left when all exact runs are given away: stretches of drafts, each between two tickets of the list that has one ticket
/// without drafts between them, or the only stretch and the only ticket of all. Nothing but its place says so.
#[must_use]
pub fn what_is_left(drafts: &[Draft], tickets: &[StatedTicket], assignment: &Assignment) -> Vec<(usize, Vec<usize>)> {
    let with_drafts: HashSet<usize> = assignment.iter().flatten().copied().collect();
    let waits = |(index, ticket): &(usize, &StatedTicket)| {
        ticket.status != TicketStatus::Void
            && !with_drafts.contains(index)
            && ticket.head.is_some()
            && ticket.gross.is_some()
    };
    let waiting: Vec<usize> = tickets.iter().enumerate().filter(waits).map(|(index, _)| index).collect();
    let stretches = stretches(drafts, assignment);
    if let ([ticket], [stretch]) = (waiting.as_slice(), stretches.as_slice()) {
        let fits = |ticket: &&usize| !has_exact_run(drafts, stretch, tickets.get(**ticket));
        return Some(ticket).filter(fits).map(|ticket| (*ticket, stretch.drafts.clone())).into_iter().collect();
    }
    let expects = |index: &usize| tickets.get(*index).is_some_and(|ticket| ticket.status != TicketStatus::Void);
    let before = |ticket: usize| (0..ticket).rev().find(|index| expects(index));
    let after = |ticket: usize| (ticket + 1..tickets.len()).find(|index| expects(index));
    let in_between = |ticket: usize| {
        let fits = |stretch: &&Stretch| {
            stretch.before == before(ticket)
                && stretch.after == after(ticket)
                && !has_exact_run(drafts, stretch, tickets.get(ticket))
        };
        stretches.iter().find(fits).map(|stretch| (ticket, stretch.drafts.clone()))
    };
    waiting.into_iter().filter_map(in_between).collect()
}

/// Free drafts in a row, and the tickets of the drafts around them.
#[derive(Default)]
struct Stretch {
    before: Option<usize>,
    drafts: Vec<usize>,
    after: Option<usize>,
}

/// Whether a part of a stretch comes to a ticket exactly: then it was left over because several do.
fn has_exact_run(drafts: &[Draft], stretch: &Stretch, ticket: Option<&StatedTicket>) -> bool {
    let Some((head, gross)) = ticket.and_then(|ticket| ticket.head.zip(ticket.gross)) else { return true };
    let wanted: Figures = (i64::from(head.0), gross.amount());
    (0..stretch.drafts.len()).any(|from| {
        let run = stretch.drafts.iter().skip(from).filter_map(|place| drafts.get(*place));
        let sums = run.scan((0, Decimal::ZERO), |sum, draft| {
            *sum = plus(*sum, draft);
            Some(*sum)
        });
        sums.take_while(|sum| sum.0 <= wanted.0).any(|sum| sum == wanted)
    })
}

fn stretches(drafts: &[Draft], assignment: &Assignment) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut running = Stretch::default();
    let counted =
        drafts.iter().zip(assignment).enumerate().filter(|(_, (draft, _))| draft.standing == Standing::Counted);
    for (place, (draft, ticket)) in counted {
        if ticket.is_none() && draft.stated.ticket.is_none() {
            running.drafts.push(place);
            continue;
        }
        let done = std::mem::replace(&mut running, Stretch { before: *ticket, ..Stretch::default() });
        stretches.push(Stretch { after: *ticket, ..done });
    }
    stretches.push(running);
    stretches.retain(|stretch| !stretch.drafts.is_empty());
    stretches
}
