//! The events of explanations side by side, which share their beginnings, and how sure each event is.

use super::costs;
use super::model::EventKind;
use super::stories::{State, Story};

/// An event of an explanation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turn {
    /// The row at which it happened.
    pub row: usize,
    /// What happened.
    pub kind: EventKind,
    /// How the run stood before.
    pub before: State,
    /// How much more the best explanation with another kind here would cost; `None` where that leaves no doubt.
    pub margin: Option<u32>,
    /// What that explanation says happened here; `None` where it says nothing did.
    pub rival: Option<EventKind>,
    /// The place of the event before, plus one; 0 at the beginning.
    back: usize,
}

/// So many events are kept before those that no explanation needs any more are thrown away.
const TIDY_AT: usize = 1 << 16;

/// The events of all explanations. A trail is named by the place of its last event plus one; 0 is the empty one.
#[derive(Debug, Default)]
pub struct Trails {
    turns: Vec<Turn>,
    tidied: usize,
}

impl Trails {
    /// Adds what a story says happened.
    pub fn on(&mut self, trail: usize, before: State, row: usize, story: Story) -> usize {
        story.kinds().fold(trail, |back, kind| {
            self.turns.push(Turn { row, kind, before, margin: None, rival: None, back });
            self.turns.len()
        })
    }

    fn turn(&self, trail: usize) -> Option<Turn> {
        self.turns.get(trail.checked_sub(1)?).copied()
    }

    /// Notes on each event in which two trails differ that the other one costs so much more, where that leaves a doubt.
    pub fn compare(&mut self, winner: usize, loser: usize, margin: u32) {
        if margin >= costs::SURE {
            return;
        }
        let (mut ours, mut theirs) = (winner, loser);
        let mut seen: Vec<Turn> = Vec::new();
        let mut own: Vec<usize> = Vec::new();
        // Later events stand later, so whichever trail is further on goes back.
        while ours != theirs {
            if ours > theirs {
                own.push(ours);
                ours = self.turn(ours).map_or(0, |turn| turn.back);
            } else {
                let turn = self.turn(theirs);
                seen.extend(turn);
                theirs = turn.map_or(0, |turn| turn.back);
            }
        }
        for place in own {
            self.note(place, &seen, margin);
        }
    }

    fn note(&mut self, trail: usize, other: &[Turn], margin: u32) {
        let Some(turn) = trail.checked_sub(1).and_then(|place| self.turns.get_mut(place)) else { return };
        let there = |wanted: &&Turn| {
            wanted.row == turn.row && (wanted.kind == EventKind::Clock) == (turn.kind == EventKind::Clock)
        };
        let rival = other.iter().find(there).map(|rival| rival.kind);
        if rival != Some(turn.kind) && turn.margin.is_none_or(|old| margin < old) {
            turn.margin = Some(margin);
            turn.rival = rival;
        }
    }

    /// The events of a trail, first to last.
    #[must_use]
    pub fn back_from(&self, trail: usize) -> Vec<Turn> {
        let mut all: Vec<Turn> = std::iter::successors(self.turn(trail), |turn| self.turn(turn.back)).collect();
        all.reverse();
        all
    }

    /// Throws away what none of these trails needs, now and then; they are given their new names.
    pub fn tidy(&mut self, trails: &mut dyn Iterator<Item = &mut usize>) {
        if self.turns.len() < TIDY_AT.max(2 * self.tidied) {
            return;
        }
        let trails: Vec<&mut usize> = trails.collect();
        let mut needed = vec![false; self.turns.len() + 1];
        for trail in &trails {
            let mut at = **trail;
            while at > 0 && !std::mem::replace(needed.get_mut(at).unwrap_or(&mut true), true) {
                at = self.turn(at).map_or(0, |turn| turn.back);
            }
        }
        let mut names = vec![0; self.turns.len() + 1];
        let mut kept: Vec<Turn> = Vec::new();
        for (place, turn) in self.turns.iter().enumerate().filter(|(place, _)| needed.get(place + 1) == Some(&true)) {
            kept.push(Turn { back: names.get(turn.back).copied().unwrap_or(0), ..*turn });
            if let Some(name) = names.get_mut(place + 1) {
                *name = kept.len();
            }
        }
        trails.into_iter().for_each(|trail| *trail = names.get(*trail).copied().unwrap_or(0));
        self.tidied = kept.len();
        self.turns = kept;
    }
}
