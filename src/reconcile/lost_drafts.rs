//! Lost drafts: which ticket a hole in the numbers belongs to, and what it must have held.
//!
//! Only a ticket that states more than was found can claim numbers of a hole, and only if the weight per head is plausible.
//! What follows is a statement about the paper; no such draft was ever read.

use std::collections::{HashMap, HashSet};

use super::holes::{Holes, Touching};
use super::in_words::figures_per_head;
use super::judge::listed;
use super::model::{ExplanationKind, HeadAndGross};
use super::seen::{Seen, View};
use super::story::{Paper, Story};
use crate::units::TransactionNo;

/// The stories of lost drafts, by the place of the ticket. `others` are the tickets that another story accounts for.
#[must_use]
pub fn stories(view: &View<'_>, holes: &Holes, others: &HashSet<usize>) -> HashMap<usize, Vec<Story>> {
    let claims = |(place, seen): &(usize, &Seen<'_>)| {
        !holes.beside(*place).is_empty() && view.plausible(seen, seen.difference())
    };
    let claimants: HashSet<usize> = view.open().filter(claims).map(|(place, _)| place).collect();
    let of_ticket = |(place, seen): (usize, &Seen<'_>)| {
        let parts = parts(holes, place, &claimants, others)?;
        let stories: Vec<Story> = parts.iter().filter_map(|part| story(view, seen, part, seen.difference())).collect();
        (!stories.is_empty()).then_some((place, stories))
    };
    view.open().filter(|(place, _)| claimants.contains(place)).filter_map(of_ticket).collect()
}

/// The holes, or parts of holes, that could account for a ticket: each alone; its own ones together.
fn parts(holes: &Holes, place: usize, claimants: &HashSet<usize>, others: &HashSet<usize>) -> Option<Vec<Touching>> {
    let beside = holes.beside(place);
    let own: Vec<&Touching> = beside.iter().filter(|touching| touching.is_own).collect();
    if let Some(first) = own.first() {
        let numbers = own.iter().flat_map(|touching| touching.numbers.iter().copied()).collect();
        return Some(vec![Touching { numbers, ..(*first).clone() }]);
    }
    let share = |touching: &Touching| {
        let tickets = holes.tickets.get(touching.hole)?;
        // Who has no other story than this hole must have a share of it.
        let must: Vec<usize> =
            tickets.iter().copied().filter(|ticket| claimants.contains(ticket) && !others.contains(ticket)).collect();
        let mine = must.iter().position(|ticket| *ticket == place);
        match (mine, touching.numbers.len()) {
            (Some(_), _) if must.len() == 1 => Some(touching.clone()),
            // As many numbers as tickets: one each, in the order of the weighing.
            (Some(mine), known) if known == must.len() => {
                let numbers = touching.numbers.get(mine).into_iter().copied().collect();
                Some(Touching { numbers, ..touching.clone() })
            }
            // Their sums follow, but which number was whose does not.
            (Some(_), known) if known == 0 || known > must.len() => {
                Some(Touching { numbers: Vec::new(), ..touching.clone() })
            }
            (Some(_), _) => None,
            (None, _) => Some(touching.clone()),
        }
    };
    let shares: Vec<Touching> = beside.iter().filter_map(share).collect();
    (!shares.is_empty()).then_some(shares)
}

/// What a hole must have held if it accounts for a change; `None` where that is not plausible.
#[must_use]
pub fn story(view: &View<'_>, seen: &Seen<'_>, part: &Touching, change: HeadAndGross) -> Option<Story> {
    // Each lost draft had at least one animal on it.
    let enough =
        seen.stated.head.is_none() || usize::try_from(change.head).is_ok_and(|head| head >= part.numbers.len());
    (enough && view.plausible(seen, change)).then_some(())?;
    let kind = if part.numbers.len() == 1 { ExplanationKind::MissingDraft } else { ExplanationKind::MissingDrafts };
    let story = Story::new(kind, String::new(), Paper::AsTyped).of_figures(seen, change);
    let figures = figures_per_head(story.head, story.gross);
    let text = match part.numbers.as_slice() {
        [only] => format!("draft {only} is lost; it must have been {figures}"),
        [] => format!("drafts are lost {}; together they must have been {figures}", part.place),
        several => format!("{} are lost; together they must have been {figures}", drafts(several)),
    };
    Some(Story { text, transactions: part.numbers.clone(), ..story })
}

fn drafts(numbers: &[TransactionNo]) -> String {
    listed(numbers).replacen("number", "draft", 1)
}
