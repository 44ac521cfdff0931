//! Drafts without ticket numbers, divided among tickets: the program against a slow twin that tries every run.

use std::fmt::Write as _;

use counterfoil::reconcile::{Outcome, TicketResult};
use proptest::prelude::*;

use crate::support::texts::{export, reconciled};

/// Head and gross of a draft or ticket.
type Figures = (u32, u32);

/// For each ticket, the first and last draft of the one run that agrees with it, as places; overlaps settle nothing.
fn slowly_divided(drafts: &[Figures], tickets: &[Figures]) -> Vec<Option<(usize, usize)>> {
    let sum = |run: &[Figures]| run.iter().fold((0, 0), |(head, gross), draft| (head + draft.0, gross + draft.1));
    let runs_of = |ticket: &Figures| {
        let mut runs = Vec::new();
        for first in 0..drafts.len() {
            runs.extend(
                (first..drafts.len()).filter(|last| sum(&drafts[first..=*last]) == *ticket).map(|last| (first, last)),
            );
        }
        runs
    };
    if let Some(in_order) = slowly_in_order(drafts, tickets, 0) {
        return in_order.into_iter().map(Some).collect();
    }
    let only: Vec<Option<(usize, usize)>> = tickets
        .iter()
        .map(|ticket| match runs_of(ticket).as_slice() {
            [only] => Some(*only),
            _ => None,
        })
        .collect();
    let contested = |place: usize, run: (usize, usize)| {
        let others = only.iter().enumerate().filter(|(other, _)| *other != place);
        others.filter_map(|(_, other)| *other).any(|other| other.0 <= run.1 && run.0 <= other.1)
    };
    let alone: Vec<Option<(usize, usize)>> =
        only.iter().enumerate().map(|(place, run)| run.filter(|run| !contested(place, *run))).collect();
    let runs: Vec<Vec<(usize, usize)>> = tickets.iter().map(runs_of).collect();
    let in_order = sure_in_every_order(&runs);
    let count = |runs: &[Option<(usize, usize)>]| runs.iter().flatten().count();
    if count(&in_order) > count(&alone) { in_order } else { alone }
}

/// The runs that every longest way of giving runs in order has in common.
fn sure_in_every_order(runs: &[Vec<(usize, usize)>]) -> Vec<Option<(usize, usize)>> {
    let mut ways: Vec<Vec<Option<(usize, usize)>>> = vec![Vec::new()];
    for of_ticket in runs {
        let longer = |way: &Vec<Option<(usize, usize)>>| {
            let end = way.iter().flatten().last().map(|run| run.1);
            let free = of_ticket.iter().copied().filter(|run| end.is_none_or(|end| run.0 > end)).map(Some);
            free.chain([None]).map(|run| [way.clone(), vec![run]].concat()).collect::<Vec<_>>()
        };
        ways = ways.iter().flat_map(longer).collect();
    }
    let count = |way: &[Option<(usize, usize)>]| way.iter().flatten().count();
    let longest = ways.iter().map(|way| count(way)).max().unwrap_or(0);
    ways.retain(|way| count(way) == longest);
    let in_all = |ticket: usize| ways[0][ticket].filter(|run| ways.iter().all(|way| way[ticket] == Some(*run)));
    (0..runs.len()).map(in_all).collect()
}

/// The list in its own order, trying every length for each ticket; each draft has head, so at most one way fits.
fn slowly_in_order(drafts: &[Figures], tickets: &[Figures], from: usize) -> Option<Vec<(usize, usize)>> {
    let Some((ticket, rest)) = tickets.split_first() else { return (from == drafts.len()).then(Vec::new) };
    (from..drafts.len()).find_map(|last| {
        let sum = drafts[from..=last].iter().fold((0, 0), |(head, gross), draft| (head + draft.0, gross + draft.1));
        let mut after = slowly_in_order(drafts, rest, last + 1).filter(|_| sum == *ticket)?;
        after.insert(0, (from, last));
        Some(after)
    })
}

/// What the program makes of it: for each ticket that ties, its first and last draft.
fn divided(drafts: &[Figures], tickets: &[Figures]) -> Vec<Option<(usize, usize)>> {
    let mut rows = "Transaction,Head,Gross\n".to_owned();
    for (place, (head, gross)) in drafts.iter().enumerate() {
        writeln!(rows, "{},{head},{gross}", place + 1).unwrap();
    }
    let mut list = "ticket,head,gross\n".to_owned();
    for (place, (head, gross)) in tickets.iter().enumerate() {
        writeln!(list, "T{place},{head},{gross}").unwrap();
    }
    let export = export("a.csv", rows);
    let numbers: std::collections::HashMap<String, usize> =
        counterfoil::draft::collect(std::slice::from_ref(&export), false)
            .drafts
            .into_iter()
            .map(|draft| (draft.id, usize::try_from(draft.stated.transaction.unwrap().0).unwrap() - 1))
            .collect();
    let places = |ids: &[String]| ids.iter().map(|id| numbers[id]).collect::<Vec<_>>();
    let ends = |ids: &[String]| Some((*places(ids).first()?, *places(ids).last()?));
    let tied = |ticket: &&TicketResult| ticket.outcome == Outcome::Tied;
    let tickets = reconciled(&[export], &list).tickets;
    tickets.iter().map(|ticket| Some(ticket).filter(tied).and_then(|ticket| ends(&ticket.drafts))).collect()
}

fn figures() -> impl Strategy<Value = Figures> {
    (1..3_u32, prop::sample::select(vec![500_u32, 505, 1000]))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_division_is_that_of_the_slow_twin(
        drafts in prop::collection::vec(figures(), 1..9),
        cuts in prop::collection::vec(1..4_usize, 1..4),
        stray in prop::option::of(figures()),
    ) {
        let mut tickets = Vec::new();
        let mut rest = drafts.as_slice();
        for cut in cuts {
            let (run, after) = rest.split_at(cut.min(rest.len()));
            tickets.push(run.iter().fold((0, 0), |(head, gross), draft| (head + draft.0, gross + draft.1)));
            rest = after;
        }
        tickets.extend(stray);
        // Without a stray ticket, and with the last one taking the rest, the list divides the drafts in its own order.
        if stray.is_none() && !rest.is_empty() {
            tickets.push(rest.iter().fold((0, 0), |(head, gross), draft| (head + draft.0, gross + draft.1)));
        }
        tickets.retain(|ticket| ticket.0 > 0);
        prop_assert_eq!(divided(&drafts, &tickets), slowly_divided(&drafts, &tickets));
    }
}
