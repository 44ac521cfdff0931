//! Stories that settle two or three tickets at once: a draft on the other's ticket, a shared draft, exchanged figures.
//!
//! Tickets are looked up by their difference and by what was found, never each against each.

use std::collections::HashMap;

use super::in_words::figures_per_head;
use super::model::{ExplanationKind, HeadAndGross};
use super::seen::{Seen, View};
use super::story::{Paper, Story};
use crate::draft::Draft;
use crate::units::Head;

/// So many partners of one ticket are tried at most.
const MOST_PARTNERS: usize = 8;

/// The stories by the place of the ticket.
pub type ByTicket = HashMap<usize, Vec<Story>>;

struct Index<'v, 'a> {
    view: &'v View<'a>,
    by_difference: HashMap<HeadAndGross, Vec<usize>>,
    by_found: HashMap<HeadAndGross, Vec<usize>>,
}

impl<'v, 'a> Index<'v, 'a> {
    fn of(view: &'v View<'a>) -> Self {
        let mut index = Self { view, by_difference: HashMap::new(), by_found: HashMap::new() };
        for (place, seen) in view.open().filter(|(_, seen)| seen.is_whole()) {
            index.by_difference.entry(seen.difference()).or_default().push(place);
            index.by_found.entry(seen.found).or_default().push(place);
        }
        index
    }

    fn seen(&self, places: Option<&Vec<usize>>, but: usize) -> Vec<(usize, &'v Seen<'a>)> {
        let places = places.into_iter().flatten().take(MOST_PARTNERS).filter(|place| **place != but);
        places.filter_map(|place| Some((*place, self.view.tickets.get(*place)?))).collect()
    }

    fn that_differ_by(&self, by: HeadAndGross, but: usize) -> Vec<(usize, &'v Seen<'a>)> {
        self.seen(self.by_difference.get(&by), but)
    }

    fn that_come_to(&self, figures: HeadAndGross, but: usize) -> Vec<(usize, &'v Seen<'a>)> {
        self.seen(self.by_found.get(&figures), but)
    }
}

/// The stories of two tickets; of three only where there is none of two.
#[must_use]
pub fn stories(view: &View<'_>) -> ByTicket {
    let index = Index::of(view);
    let mut all = ByTicket::new();
    for (place, seen) in view.open().filter(|(_, seen)| seen.is_whole()) {
        let found: Vec<Story> = of_pairs(&index, place, seen);
        if !found.is_empty() {
            all.insert(place, found);
        }
    }
    for (place, seen) in view.open().filter(|(_, seen)| seen.is_whole()) {
        if !all.contains_key(&place) {
            chained(&index, place, seen).into_iter().for_each(|(place, story)| add(&mut all, place, story));
            rotated(&index, place, seen).into_iter().for_each(|(place, story)| add(&mut all, place, story));
        }
    }
    all
}

fn add(all: &mut ByTicket, place: usize, story: Story) {
    let stories = all.entry(place).or_default();
    if !stories.iter().any(|other| other.is_same(&story)) {
        stories.push(story);
    }
}

fn of_pairs(index: &Index<'_, '_>, place: usize, seen: &Seen<'_>) -> Vec<Story> {
    let mut stories = Vec::new();
    for (_, other) in index.that_come_to(seen.typed, place) {
        if other.typed == seen.found {
            stories.push(exchanged(&format!("ticket {}", other.stated.number)));
        }
    }
    for (_, other) in index.that_differ_by(-seen.difference(), place) {
        let gives = seen.difference().head < 0;
        let (from, to) = if gives { (seen, other) } else { (other, seen) };
        let part = to.difference();
        let moved = from.on.counted.iter().filter(|draft| HeadAndGross::of(draft) == part);
        stories.extend(moved.map(|draft| on_other(draft, from, to)));
        stories.extend(at_border(from, to).into_iter().filter_map(|draft| split(index.view, draft, from, to)));
    }
    stories
}

fn exchanged(with: &str) -> Story {
    let text = format!("its figures and those of {with} stand on each other's line of the list");
    Story::new(ExplanationKind::TicketsExchanged, text, Paper::AsTyped)
}

fn called(draft: &Draft) -> String {
    draft.stated.transaction.map_or_else(|| "a draft without number".to_owned(), |number| format!("draft {number}"))
}

fn on_other(draft: &Draft, from: &Seen<'_>, to: &Seen<'_>) -> Story {
    let figures = figures_per_head(draft.stated.head, draft.stated.gross);
    let (from, to) = (&from.stated.number, &to.stated.number);
    let text = format!("{} lies on ticket {from}, but the paper has it on {to}: {figures}", called(draft));
    Story::new(ExplanationKind::DraftOnOtherTicket, text, Paper::AsTyped).about(&[draft])
}

/// The drafts of one ticket that lie next to the other ticket, by their numbers.
fn at_border<'a>(from: &Seen<'a>, to: &Seen<'a>) -> Vec<&'a Draft> {
    let ends = |seen: &Seen<'a>| Some((*seen.on.counted.first()?, *seen.on.counted.last()?));
    let (Some((first, last)), Some((other_first, other_last))) = (ends(from), ends(to)) else { return Vec::new() };
    let follows = |one: &Draft, next: &Draft| {
        one.stated
            .transaction
            .and_then(crate::units::TransactionNo::next)
            .is_some_and(|number| Some(number) == next.stated.transaction)
    };
    let before = follows(other_last, first).then_some(first);
    let after = follows(last, other_first).then_some(last);
    before.into_iter().chain(after).collect()
}

/// A part of a draft at the border is the other ticket's.
fn split(view: &View<'_>, draft: &Draft, from: &Seen<'_>, to: &Seen<'_>) -> Option<Story> {
    let part = to.difference();
    let rest = HeadAndGross::of(draft) - part;
    (view.plausible(to, part) && view.plausible(from, rest)).then_some(())?;
    let head = Head(u32::try_from(part.head).ok()?);
    let gross = to.weight(part.gross);
    let figures = figures_per_head(Some(head), Some(gross));
    let (from, to) = (&from.stated.number, &to.stated.number);
    let text = format!("{} is shared: of it, {figures} are on ticket {to}, the rest on {from}", called(draft));
    let story = Story::new(ExplanationKind::DraftSplit, text, Paper::AsTyped).about(&[draft]);
    Some(Story { head: Some(head), gross: Some(gross), ..story })
}

/// Three in a row: this ticket's draft is on the one before, and a draft of the one after is on this one.
fn chained(index: &Index<'_, '_>, place: usize, seen: &Seen<'_>) -> Vec<(usize, Story)> {
    let mut stories = Vec::new();
    for given in &seen.on.counted {
        let takers = index.that_differ_by(HeadAndGross::of(given), place);
        if takers.is_empty() {
            continue;
        }
        let wanted = seen.difference() + HeadAndGross::of(given);
        for (giver_place, giver) in index.that_differ_by(-wanted, place) {
            let Some(taken) = giver.on.counted.iter().find(|draft| HeadAndGross::of(draft) == wanted) else { continue };
            for (taker_place, taker) in takers.iter().filter(|(taker, _)| *taker != giver_place) {
                let (first, second) = (on_other(taken, giver, seen), on_other(given, seen, taker));
                let both = Story { text: format!("{}; and {}", first.text, second.text), ..first.clone() };
                stories.push((place, both.about(&[*taken, *given])));
                stories.push((giver_place, first));
                stories.push((*taker_place, second));
            }
        }
    }
    stories
}

/// Three tickets whose figures each stand on another's line.
fn rotated(index: &Index<'_, '_>, place: usize, seen: &Seen<'_>) -> Vec<(usize, Story)> {
    let mut stories = Vec::new();
    for (second_place, second) in index.that_come_to(seen.typed, place) {
        for (third_place, third) in index.that_come_to(second.typed, second_place) {
            if third_place != place && third.typed == seen.found {
                let (one, two, three) = (&seen.stated.number, &second.stated.number, &third.stated.number);
                stories.push((place, exchanged(&format!("tickets {two} and {three}"))));
                stories.push((second_place, exchanged(&format!("tickets {one} and {three}"))));
                stories.push((third_place, exchanged(&format!("tickets {one} and {two}"))));
            }
        }
    }
    stories
}
