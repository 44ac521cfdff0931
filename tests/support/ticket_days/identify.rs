//! Whether a planted fault is the only simplest story of its ticket.

use super::SMALL;
use super::division::{leaves_alone, only_best};
use super::model::{Case, Fault, Mode, TicketDay};
use super::pairs::pairs;
use super::stories::{Seen, Story, View, free, moves, of_two};
use super::typing::{Sum, of_pay, stories};

/// What the search found about a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Nothing was planted.
    NoFault,
    /// The planted fault is the only simplest story.
    Identifiable,
    /// Other stories are as simple, or simpler.
    Open,
    /// The search did not find what was planted: it is wrong, or the fault was such that nothing shows it.
    NotFound,
    /// The day is too large, or nothing tells whose the drafts are.
    NotSearched,
}

/// Every story of one fault that accounts for the ticket; those that settle two tickets go before all others.
pub fn singles(view: &View, seen: &Seen) -> Vec<Story> {
    let difference = seen.difference();
    if difference.is_zero() {
        return Vec::new();
    }
    let two = of_two(view, seen);
    if !two.is_empty() {
        return settled(two);
    }
    let moved = moves(view, seen).into_iter().filter(|(by, _)| *by == difference).map(|(_, story)| story);
    let mut all: Vec<Story> = moved.chain(free(view, seen, difference)).collect();
    if !seen.own.is_empty() {
        all.extend(stories(view, Sum::of(seen), seen.typed, seen.shrink));
    }
    settled(all)
}

fn settled(mut stories: Vec<Story>) -> Vec<Story> {
    stories.sort();
    stories.dedup();
    stories
}

/// Whether a story is the planted fault.
pub fn is_same(story: &Story, fault: &Fault) -> bool {
    let named = story.kind == fault.kind || story.also.contains(&fault.kind) || fault.also.contains(&story.kind);
    named && (story.transactions == fault.transactions || story.transactions.is_empty())
}

/// What the search finds about each case of a day.
pub fn verdicts(day: &TicketDay) -> Vec<Verdict> {
    if day.counted().count() > SMALL {
        let large = |case: &Case| if case.faults.is_empty() { Verdict::NoFault } else { Verdict::NotSearched };
        return day.cases.iter().map(large).collect();
    }
    let view = View::of(day);
    day.cases.iter().map(|case| verdict(day, &view, case)).collect()
}

fn verdict(day: &TicketDay, view: &View, case: &Case) -> Verdict {
    let Some(fault) = case.faults.first() else { return Verdict::NoFault };
    // A wrong pay weight takes no drafts from a ticket: those of its own must have their only place.
    let placed = |way: Vec<(u32, Vec<u64>)>| way.contains(&(case.ticket, day.belonging(case)));
    let known = || if fault.pay { only_best(day).is_some_and(placed) } else { leaves_alone(day, case) };
    if day.mode == Mode::Sums && !known() {
        return Verdict::NotSearched;
    }
    let seen = view.tickets.iter().find(|seen| seen.ticket == case.ticket).unwrap();
    if fault.pay {
        let line = day.line(case.ticket);
        return of_search(&of_pay(line), |story| is_same(story, fault));
    }
    let singles = singles(view, seen);
    match &case.faults[..] {
        [fault] => of_search(&singles, |story| is_same(story, fault)),
        _ if !singles.is_empty() => Verdict::Open,
        [one, other, ..] => of_search(&pairs(view, seen), |(low, high)| {
            (is_same(low, one) && is_same(high, other)) || (is_same(low, other) && is_same(high, one))
        }),
        [] => Verdict::NoFault,
    }
}

fn of_search<T>(found: &[T], is_truth: impl Fn(&T) -> bool) -> Verdict {
    match (found.iter().any(is_truth), found.len()) {
        (false, _) => Verdict::NotFound,
        (true, 1) => Verdict::Identifiable,
        (true, _) => Verdict::Open,
    }
}
