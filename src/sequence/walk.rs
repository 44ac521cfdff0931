//! Walks one indicator's run and takes the cheapest story at each break.

use std::collections::{BTreeMap, BTreeSet};

use super::costs;
use super::model::{Event, EventKind};
use super::pace::{Pace, elapsed};
use super::stories::{Break, Story, duration, stories};
use crate::draft::{Draft, Standing};
use crate::units::{Precision, TransactionNo};

/// A step back of the clock smaller than this is the clock being put right; in seconds.
const CLOCK_TOLERANCE: i64 = 60;

/// A number that stands in more places than this is looked up in the first of them only.
const MOST_LOOKED_UP: usize = 64;

/// What a walk found.
#[derive(Debug, Clone, Default)]
pub struct Walked {
    /// The events, in the order of the rows.
    pub events: Vec<Event>,
    /// For every row, the session it belongs to, counted from 0.
    pub session_of: Vec<usize>,
    /// Rows that are copies of earlier ones.
    pub reprints: Vec<usize>,
}

/// Walks a strand. `legible` are numbers read on torn rows: they are not missing.
#[must_use]
pub fn walk(strand: &[Draft], legible: &BTreeSet<TransactionNo>) -> Walked {
    let mut walker = Walker::new(strand);
    for (index, row) in strand.iter().enumerate() {
        walker.take(index, row);
    }
    walker.finish(legible)
}

struct Walker<'a> {
    strand: &'a [Draft],
    pace: Option<Pace>,
    out: Walked,
    /// The last row that ran on, and its number.
    last: Option<(usize, TransactionNo)>,
    session: usize,
    /// Where each number of this session stands; in several places after a clash.
    seen: BTreeMap<TransactionNo, Vec<usize>>,
    /// Where each number stands in any session.
    seen_ever: BTreeMap<TransactionNo, Vec<usize>>,
    /// The holes of this session: where each begins and ends.
    holes: BTreeMap<TransactionNo, TransactionNo>,
    /// Numbers that turned up late, by session.
    turned_up: BTreeMap<usize, BTreeSet<TransactionNo>>,
    /// The session of each event.
    session_of_event: Vec<usize>,
}

impl<'a> Walker<'a> {
    fn new(strand: &'a [Draft]) -> Self {
        Self {
            strand,
            pace: Pace::of(strand),
            out: Walked::default(),
            last: None,
            session: 0,
            seen: BTreeMap::new(),
            seen_ever: BTreeMap::new(),
            holes: BTreeMap::new(),
            turned_up: BTreeMap::new(),
            session_of_event: Vec::new(),
        }
    }

    fn take(&mut self, index: usize, row: &'a Draft) {
        let Some(number) = row.stated.transaction else {
            self.out.session_of.push(self.session);
            return;
        };
        let runs_on = match self.last {
            None => true,
            Some((before, last)) => {
                if last.next() == Some(number) {
                    self.check_clock(before, row);
                    true
                } else {
                    self.explain(index, row, before, last, number)
                }
            }
        };
        if runs_on {
            self.last = Some((index, number));
        }
        // A copy adds nothing to look up.
        if self.out.reprints.last() != Some(&index) {
            self.seen.entry(number).or_default().push(index);
            self.seen_ever.entry(number).or_default().push(index);
        }
        self.out.session_of.push(self.session);
    }

    /// Explains a break; says whether the row carries the run on.
    fn explain(
        &mut self,
        index: usize,
        row: &'a Draft,
        before: usize,
        last: TransactionNo,
        number: TransactionNo,
    ) -> bool {
        let Some(before_row) = self.strand.get(before) else { return true };
        let at = Break {
            before: before_row,
            row,
            last,
            number,
            following: self.strand.get(index + 1).and_then(|next| next.stated.transaction),
            earlier: self.earlier(number, row),
            in_hole: self.in_hole(number) && !self.seen.contains_key(&number),
            pace: self.pace,
        };
        let stories = stories(&at);
        let Some(best) = stories.first() else { return true };
        let margin = stories.iter().find(|story| story.kind != best.kind).map(|other| other.cost - best.cost);
        self.record(&at, best, margin);
        self.apply(index, best.kind, last, number)
    }

    /// A row with this number in this session, or the very same weighing in an earlier one.
    fn earlier(&self, number: TransactionNo, row: &Draft) -> Option<&'a Draft> {
        let at = |seen: &BTreeMap<TransactionNo, Vec<usize>>| -> Vec<&'a Draft> {
            let places = seen.get(&number).map(|places| places.iter().take(MOST_LOOKED_UP)).into_iter().flatten();
            places.filter_map(|index| self.strand.get(*index)).collect()
        };
        let (here, ever) = (at(&self.seen), at(&self.seen_ever));
        let the_same = |draft: &&&Draft| draft.stated.at.is_some() && draft.same_weighing(row);
        let alike = |draft: &&&Draft| (draft.stated.head, draft.stated.gross) == (row.stated.head, row.stated.gross);
        let found = ever.iter().find(the_same).or_else(|| here.iter().find(alike)).or_else(|| here.first());
        found.copied()
    }

    fn in_hole(&self, number: TransactionNo) -> bool {
        self.holes.range(..=number).next_back().is_some_and(|(_, to)| number <= *to)
    }

    fn apply(&mut self, index: usize, kind: EventKind, last: TransactionNo, number: TransactionNo) -> bool {
        match kind {
            EventKind::Gap => {
                if let (Some(from), Some(to)) = (last.next(), number.previous()) {
                    self.holes.insert(from, to);
                }
                true
            }
            EventKind::Restart | EventKind::Jump => {
                self.session += 1;
                self.seen.clear();
                self.holes.clear();
                true
            }
            EventKind::Rollover => {
                self.seen.clear();
                self.holes.clear();
                true
            }
            EventKind::Reprint => {
                self.out.reprints.push(index);
                false
            }
            EventKind::Late => {
                self.turned_up.entry(self.session).or_default().insert(number);
                false
            }
            EventKind::Clash | EventKind::Clock => false,
        }
    }

    fn record(&mut self, at: &Break<'_>, story: &Story, margin: Option<u32>) {
        let gap = story.kind == EventKind::Gap;
        self.session_of_event.push(self.session);
        self.out.events.push(Event {
            kind: story.kind,
            indicator: at.row.indicator.clone(),
            after: self.written_before(at),
            before: Some(at.number),
            after_draft: Some(at.before.id.clone()),
            before_draft: Some(at.row.id.clone()),
            first_missing: at.last.next().filter(|_| gap),
            last_missing: at.number.previous().filter(|_| gap),
            missing: if gap { at.number.0.saturating_sub(at.last.0).saturating_sub(1) } else { 0 },
            confidence: costs::confidence(margin),
            why: story.why.clone(),
        });
    }

    /// The number of the row written directly before, which for a stray is not always the last that ran on.
    fn written_before(&self, at: &Break<'_>) -> Option<TransactionNo> {
        let index = self.out.session_of.len().checked_sub(1)?;
        self.strand.get(index).and_then(|row| row.stated.transaction).or(Some(at.last))
    }

    /// The number runs on but the clock does not.
    fn check_clock(&mut self, before: usize, row: &Draft) {
        let Some(before) = self.strand.get(before) else { return };
        let (Some(from), Some(to)) = (before.stated.at, row.stated.at) else { return };
        let back = match elapsed(before, row) {
            Some(seconds) => -seconds,
            None if from.precision.min(to.precision) == Precision::Day => (from.date() - to.date()).num_seconds(),
            None => return,
        };
        if back < CLOCK_TOLERANCE {
            return;
        }
        self.session_of_event.push(self.session);
        self.out.events.push(Event {
            kind: EventKind::Clock,
            indicator: row.indicator.clone(),
            after: before.stated.transaction,
            before: row.stated.transaction,
            after_draft: Some(before.id.clone()),
            before_draft: Some(row.id.clone()),
            first_missing: None,
            last_missing: None,
            missing: 0,
            confidence: costs::confidence(None),
            why: vec![format!("the numbers run on while the clock goes back {}", duration(back))],
        });
    }

    /// Takes out of the gaps what turned up after all.
    fn finish(mut self, legible: &BTreeSet<TransactionNo>) -> Walked {
        let events = std::mem::take(&mut self.out.events);
        let sessions = self.session_of_event.iter().copied().chain(std::iter::repeat(self.session));
        let none = BTreeSet::new();
        let split = |(event, session): (Event, usize)| {
            let turned_up = self.turned_up.get(&session).unwrap_or(&none);
            if event.kind == EventKind::Gap { without(event, legible, turned_up) } else { vec![event] }
        };
        self.out.events = events.into_iter().zip(sessions).flat_map(split).collect();
        self.out
    }
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

/// The standing a row takes on as a copy.
#[must_use]
pub const fn as_reprint(standing: Standing) -> Standing {
    match standing {
        Standing::Counted | Standing::Recovered => Standing::Reprint,
        other => other,
    }
}
