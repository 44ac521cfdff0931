//! Turns the cheapest explanation into events, sessions and standings.

use std::collections::{BTreeMap, BTreeSet};

use super::costs;
use super::model::{Event, EventKind};
use super::reasons::reasons;
use super::run::Run;
use super::search::Explanation;
use super::trail::Turn;
use crate::units::TransactionNo;

/// What an explanation comes to.
#[derive(Debug, Clone, Default)]
pub struct Told {
    /// The events, in the order of the rows.
    pub events: Vec<Event>,
    /// For every row, the session it belongs to, counted from 0.
    pub session_of: Vec<usize>,
    /// Rows that are copies of earlier ones.
    pub reprints: Vec<usize>,
}

/// Tells what an explanation says.
#[must_use]
pub fn tell(run: &Run<'_>, explanation: &Explanation) -> Told {
    let turns = &explanation.turns;
    let of_kind = |kind: EventKind| turns.iter().filter(move |turn| turn.kind == kind);
    let reprints = of_kind(EventKind::Reprint).map(|turn| turn.row).collect();
    let mut turned_up: BTreeMap<usize, BTreeSet<TransactionNo>> = BTreeMap::new();
    for late in of_kind(EventKind::Late) {
        turned_up.entry(late.before.stretch).or_default().extend(run.number(late.row));
    }
    let events = turns.iter().flat_map(|turn| {
        let none = BTreeSet::new();
        let turned_up = turned_up.get(&turn.before.stretch).unwrap_or(&none);
        match turn.kind {
            EventKind::Gap => without(event(run, turn), run.legible, turned_up),
            // A block of late rows is one event, told at its first row.
            EventKind::Late if carries_a_block_on(run, turn) => Vec::new(),
            _ => vec![event(run, turn)],
        }
    });
    Told { events: events.collect(), session_of: sessions(run.drafts.len(), turns), reprints }
}

/// Whether a late row goes on from the late row written before it.
#[must_use]
pub fn carries_a_block_on(run: &Run<'_>, turn: &Turn) -> bool {
    turn.before.block.is_some() && turn.before.block == run.number(turn.row)
}

fn event(run: &Run<'_>, turn: &Turn) -> Event {
    let number = run.number(turn.row);
    let last = turn.before.last.filter(|_| turn.kind == EventKind::Gap);
    let first_missing = last.and_then(|last| run.number(last)?.next());
    let last_missing = last.and_then(|_| number?.previous());
    let above = written_before(run, turn.row);
    let id = |row: Option<usize>| run.drafts.get(row?).map(|draft| draft.id.clone());
    Event {
        kind: turn.kind,
        indicator: run.drafts.get(turn.row).map(|draft| draft.indicator.clone()).unwrap_or_default(),
        after: above.and_then(|row| run.number(row)),
        before: number,
        after_draft: id(if turn.kind == EventKind::Clock { Some(turn.before.weighed) } else { turn.before.last }),
        before_draft: id(Some(turn.row)),
        first_missing,
        last_missing,
        missing: first_missing.zip(last_missing).map_or(0, |(first, last)| (last.0 + 1).saturating_sub(first.0)),
        confidence: costs::confidence(turn.margin),
        why: reasons(run, turn),
    }
}

/// The row with a number that was written directly before, which for a stray is not always the one that carried the run on.
fn written_before(run: &Run<'_>, row: usize) -> Option<usize> {
    (0..row).rev().find(|above| run.number(*above).is_some())
}

/// For every row, its session: each begins where the counter was set.
fn sessions(rows: usize, turns: &[Turn]) -> Vec<usize> {
    let set = |turn: &&Turn| matches!(turn.kind, EventKind::Restart | EventKind::Jump);
    let mut begin = turns.iter().filter(set).map(|turn| turn.row).peekable();
    let mut session = 0;
    let of = |row: usize| {
        if begin.next_if_eq(&row).is_some() {
            session += 1;
        }
        session
    };
    (0..rows).map(of).collect()
}

/// Splits a gap around numbers that are not missing; nothing is left of it where all are there.
fn without(gap: Event, legible: &BTreeSet<TransactionNo>, turned_up: &BTreeSet<TransactionNo>) -> Vec<Event> {
    let (Some(first), Some(last)) = (gap.first_missing, gap.last_missing) else { return vec![gap] };
    let there: BTreeSet<_> = legible.range(first..=last).chain(turned_up.range(first..=last)).copied().collect();
    let mut parts = Vec::new();
    let mut from = Some(first);
    for number in there {
        parts.extend(from.zip(number.previous()).map(|(from, to)| part(&gap, from, to)));
        from = number.next();
    }
    parts.extend(from.map(|from| part(&gap, from, last)));
    parts.into_iter().filter(|part| part.missing > 0).collect()
}

fn part(gap: &Event, from: TransactionNo, to: TransactionNo) -> Event {
    let missing = (to.0 + 1).saturating_sub(from.0);
    Event { first_missing: Some(from), last_missing: Some(to), missing, ..gap.clone() }
}
