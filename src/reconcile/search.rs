//! Looks for the stories of all tickets that do not tie: of two tickets, single ones, lost drafts, and pairs, in that order.

use std::collections::{HashMap, HashSet};

use super::holes::Holes;
use super::model::{Explanation, ExplanationKind, Outcome};
use super::pairs::{self, Budget};
use super::ranking::{Account, ranked};
use super::seen::{Seen, View};
use super::slips::{self, Meant};
use super::story::{Paper, Story};
use super::{lost_drafts, moved_drafts, removed_head, two_tickets};
use crate::finding::NotChecked;
use crate::finding::words::count_of;
use crate::sequence::Event;
use crate::units::{Decimal, Rounding};

/// What came of a ticket.
pub type Told = (usize, Outcome, Vec<Explanation>);

/// The outcome and the explanations of every ticket that does not tie, with its place in the list.
#[must_use]
pub fn explained(
    view: &View<'_>,
    events: &[Event],
    ticket_of: &HashMap<&str, usize>,
    not_checked: &mut Vec<NotChecked>,
) -> Vec<Told> {
    let mut stories = two_tickets::stories(view);
    let settled: HashSet<usize> = stories.keys().copied().collect();
    let loose = moved_drafts::by_figures(&view.loose);
    for (place, seen) in view.open() {
        if !settled.contains(&place) {
            let found = singles(view, seen, &loose);
            if !found.is_empty() {
                stories.insert(place, found);
            }
        }
    }
    let holes = Holes::of(view, events, ticket_of);
    let others: HashSet<usize> = stories.keys().copied().collect();
    let mut lost = lost_drafts::stories(view, &holes, &others);
    lost.retain(|place, _| !settled.contains(place));
    for (place, lost) in lost {
        let others = stories.entry(place).or_default();
        // A hole between a ticket's own rows is its own: what leaves it unexplained does not stand beside what explains it.
        if holes.beside(place).iter().any(|touching| touching.is_own && touching.is_sure) {
            others.retain(|story| story.kind == ExplanationKind::RecoveredDraft);
        }
        // Rows that close it were weighed; then nothing more is lost.
        if !others.iter().any(|story| story.kind == ExplanationKind::RecoveredDraft) {
            others.extend(lost);
        }
    }
    let mut budget = Budget::DAY;
    let mut told = Vec::new();
    for (place, seen) in view.open() {
        let accounts = match stories.remove(&place) {
            Some(found) => found.into_iter().map(Account::of).collect(),
            None => two_at_once(view, seen, &holes, place, &mut budget),
        };
        let (outcome, explanations) = ranked(accounts, shown(seen), seen.on.counted.is_empty());
        told.push((place, outcome, explanations));
    }
    not_checked.extend(stopped(budget));
    told
}

fn singles(
    view: &View<'_>,
    seen: &Seen<'_>,
    loose: &HashMap<super::model::HeadAndGross, Vec<&crate::draft::Draft>>,
) -> Vec<Story> {
    let mut all = moved_drafts::stories(seen, loose);
    all.extend(removed_head::story(view, seen, seen.difference()));
    if !seen.on.counted.is_empty() {
        all.extend(slips::stories(view, seen, Meant::found(seen)));
    }
    all
}

fn two_at_once(view: &View<'_>, seen: &Seen<'_>, holes: &Holes, place: usize, budget: &mut Budget) -> Vec<Account> {
    if !seen.is_whole() || seen.on.counted.is_empty() {
        return Vec::new();
    }
    let pairs = pairs::stories(view, seen, holes.beside(place), budget);
    pairs.into_iter().map(|(one, other)| Account { stories: vec![one, other] }).collect()
}

fn stopped(budget: Budget) -> Option<NotChecked> {
    (budget.stopped > 0).then(|| {
        let tickets = count_of(budget.stopped, "ticket", "tickets");
        NotChecked::new(
            format!("every pair of slips on {tickets} that do not tie"),
            "the search stops at a set number of steps and of drafts on no ticket; all single slips were tried",
        )
    })
}

/// What the paper's other figures show it to say: its average, or a pay weight that follows from one weight alone.
fn shown(seen: &Seen<'_>) -> Paper {
    let Some(average) = seen.stated.average.map(crate::units::Weight::amount) else { return Paper::Either };
    let is_average = |head: i64, gross: Decimal| {
        gross.checked_div(Decimal::from(head)).is_some_and(|each| Rounding::HUNDREDTH.apply(each) == average)
    };
    let typed = is_average(seen.typed.head, seen.typed.gross);
    let found = is_average(seen.found.head, seen.found.gross);
    match (typed, found) {
        (true, false) => Paper::AsTyped,
        (false, true) => Paper::AsFound,
        _ => Paper::Either,
    }
}
