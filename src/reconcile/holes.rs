//! Holes in the numbers, and the tickets whose drafts could have stood in them.
//!
//! A hole lies between the ticket of the row before it, tickets that lost all their rows, and the ticket of the row after.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::seen::{Seen, View};
use crate::sequence::{Event, EventKind};
use crate::units::{TransactionNo, ticket_serial};

/// A hole with more numbers than this is not shared out.
const LARGEST_HOLE: u64 = 500;

/// A ticket without rows whose own number says nothing is looked for in so many holes at most.
const MOST_HOLES: usize = 5;

/// A hole beside a ticket's drafts.
#[derive(Debug, Clone)]
pub struct Touching {
    /// Which of the holes.
    pub hole: usize,
    /// Its numbers, or those of them that the ticket states as its own; empty where they are not known.
    pub numbers: Vec<TransactionNo>,
    /// Where it lies, in words.
    pub place: String,
    /// Whether the rows on both sides are the ticket's, or the ticket itself states the numbers.
    pub is_own: bool,
    /// Whether it is sure that numbers are missing, and not passed over.
    pub is_sure: bool,
}

/// The holes that touch each ticket, in the order of the weighing, and the tickets of each hole.
#[derive(Debug, Clone, Default)]
pub struct Holes {
    by_ticket: HashMap<usize, Vec<Touching>>,
    /// For each hole the tickets it touches, in the order of the weighing.
    pub tickets: Vec<Vec<usize>>,
}

impl Holes {
    /// The holes of a day. `ticket_of` tells the ticket of a draft, as an index into the list.
    #[must_use]
    pub fn of(view: &View<'_>, events: &[Event], ticket_of: &HashMap<&str, usize>) -> Self {
        let lost = LostTickets::of(view);
        let gaps: Vec<&Event> = events.iter().filter(|event| is_hole(event)).collect();
        let sides: Vec<(Option<usize>, Option<usize>)> = gaps.iter().map(|gap| sides(gap, ticket_of)).collect();
        let mut between: Vec<Vec<usize>> =
            gaps.iter().zip(&sides).map(|(gap, sides)| lost.between(view, gap, *sides)).collect();
        lost.without_place(&between, &sides).into_iter().for_each(|(hole, ticket)| {
            if let Some(tickets) = between.get_mut(hole) {
                tickets.push(ticket);
            }
        });
        let mut holes = Self::default();
        for (hole, ((gap, (before, after)), between)) in gaps.iter().zip(sides).zip(between).enumerate() {
            let order = before.into_iter().chain(between).chain(after.filter(|after| Some(*after) != before));
            let is_inside = before.is_some() && before == after;
            let touched = order.filter(|ticket| holes.touch(view, *ticket, hole, gap, is_inside)).collect();
            holes.tickets.push(touched);
        }
        holes
    }

    /// The holes beside a ticket.
    #[must_use]
    pub fn beside(&self, ticket: usize) -> &[Touching] {
        self.by_ticket.get(&ticket).map(Vec::as_slice).unwrap_or_default()
    }

    /// Notes a hole beside a ticket, if it could be the ticket's; says whether.
    fn touch(&mut self, view: &View<'_>, ticket: usize, hole: usize, gap: &Event, is_inside: bool) -> bool {
        let Some(seen) = view.tickets.get(ticket) else { return false };
        let known = numbers(gap);
        let (numbers, is_own) = match own_numbers(seen, &known) {
            Some(own) if own.is_empty() => return false,
            Some(own) => (own, true),
            None => (known, is_inside),
        };
        self.by_ticket.entry(ticket).or_default().push(Touching {
            hole,
            numbers,
            place: in_words(gap),
            is_own,
            is_sure: gap.kind == EventKind::Gap,
        });
        true
    }
}

fn sides(gap: &Event, ticket_of: &HashMap<&str, usize>) -> (Option<usize>, Option<usize>) {
    let of = |draft: &Option<String>| draft.as_deref().and_then(|id| ticket_of.get(id).copied());
    (of(&gap.after_draft), of(&gap.before_draft))
}

/// Numbers missing; or numbers passed over, as it seems, because the counter was set ahead: paper may know better.
fn is_hole(event: &Event) -> bool {
    event.kind == EventKind::Gap || (event.kind == EventKind::Jump && !numbers(event).is_empty())
}

fn numbers(gap: &Event) -> Vec<TransactionNo> {
    let missing = gap.first_missing.zip(gap.last_missing);
    let passed_over = || gap.after?.next().zip(gap.before?.previous());
    let ends = if gap.kind == EventKind::Gap { missing } else { passed_over() };
    match ends {
        Some((first, last)) if last.0.saturating_sub(first.0) < LARGEST_HOLE => {
            (first.0..=last.0).map(TransactionNo).collect()
        }
        _ => Vec::new(),
    }
}

/// The numbers of a hole that a ticket's own first and last transaction claim; `None` where it states none, or the hole's are
/// not known.
fn own_numbers(seen: &Seen<'_>, hole: &[TransactionNo]) -> Option<Vec<TransactionNo>> {
    let range = seen.stated.first_transaction?..=seen.stated.last_transaction?;
    (!hole.is_empty()).then(|| hole.iter().copied().filter(|number| range.contains(number)).collect())
}

fn in_words(gap: &Event) -> String {
    match (gap.after, gap.before) {
        (Some(after), Some(before)) => format!("between {after} and {before}"),
        (None, Some(before)) => format!("before {before}"),
        (Some(after), None) => format!("after {after}"),
        (None, None) => String::new(),
    }
}

/// Tickets that expect drafts and have none, by series and number.
struct LostTickets {
    all: Vec<usize>,
    by_serial: BTreeMap<(String, u64), usize>,
}

impl LostTickets {
    fn of(view: &View<'_>) -> Self {
        // Where no row names its ticket, drafts left over could be theirs.
        let all_placed = view.is_numbered || view.loose.is_empty();
        let lost = || view.open().filter(|(_, seen)| all_placed && seen.on.counted.is_empty());
        let serial = |(index, seen): (usize, &Seen<'_>)| Some((ticket_serial(&seen.stated.number)?, index));
        Self { all: lost().map(|(index, _)| index).collect(), by_serial: lost().filter_map(serial).collect() }
    }

    /// Those whose numbers lie between two others of one series, or, at an end of the stick, beyond one; and those that state
    /// numbers of the hole.
    fn between(&self, view: &View<'_>, gap: &Event, sides: (Option<usize>, Option<usize>)) -> Vec<usize> {
        let serial = |index: Option<usize>| ticket_serial(&view.tickets.get(index?)?.stated.number);
        let at_an_end = gap.after.is_none() || gap.before.is_none();
        let (from, to) = match (serial(sides.0), serial(sides.1)) {
            (Some(from), Some(to)) if from.0 == to.0 && from.1 < to.1 => (from, to),
            (Some(from), None) if at_an_end => (from.clone(), (from.0, u64::MAX)),
            (None, Some(to)) if at_an_end => ((to.0.clone(), 0), to),
            _ => return Vec::new(),
        };
        self.by_serial.range(from..to).map(|(_, index)| *index).collect()
    }

    /// Tickets whose own number gives no hole: any hole between two tickets could be theirs, where there are few.
    fn without_place(&self, between: &[Vec<usize>], sides: &[(Option<usize>, Option<usize>)]) -> Vec<(usize, usize)> {
        let placed: HashSet<usize> = between.iter().flatten().copied().collect();
        let at_border = |(_, (before, after)): &(usize, &(Option<usize>, Option<usize>))| before != after;
        let borders: Vec<usize> = sides.iter().enumerate().filter(at_border).map(|(hole, _)| hole).collect();
        let unplaced: Vec<usize> = self.all.iter().copied().filter(|ticket| !placed.contains(ticket)).collect();
        if borders.len() > MOST_HOLES || unplaced.len() > MOST_HOLES {
            return Vec::new();
        }
        borders.iter().flat_map(|hole| unplaced.iter().map(|ticket| (*hole, *ticket))).collect()
    }
}
