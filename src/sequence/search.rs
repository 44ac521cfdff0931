//! Finds the cheapest explanation of a whole run, by dynamic programming over what can have happened at each row.
//!
//! Rows are gone through once. After each row, of all explanations that leave the same state behind only the cheapest is
//! kept, and with it how much more the loser would have cost: the margin of every event in which the two differ. Where
//! numbers and clock run on, one step is taken; where they break, a handful. Explanations far more costly than the cheapest
//! are given up, so the time grows with the rows. An exhaustive twin in the tests holds that nothing cheaper is missed.

use super::costs;
use super::model::EventKind;
pub use super::paper::Paper;
pub use super::run::Run;
use super::stories::clock_goes_on;
pub use super::stories::{State, Story, stories};
use super::trail::Trails;
pub use super::trail::Turn;
use crate::units::TransactionNo;

/// Explanations kept side by side.
const SIDE_BY_SIDE: usize = 32;

/// Where a stretch began is forgotten after so many rows, for telling states apart.
const REMEMBERED: usize = 48;

/// The cheapest explanation of a run.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Explanation {
    /// What it costs.
    pub cost: u32,
    /// What happened, in the order of the rows.
    pub turns: Vec<Turn>,
    /// The row from which the run would go on.
    pub last: Option<usize>,
}

/// One explanation of the rows so far.
#[derive(Debug, Clone, Copy)]
struct Path {
    cost: u32,
    state: State,
    trail: usize,
}

/// Explains a run at least cost.
#[must_use]
pub fn least_cost(run: &Run<'_>) -> Explanation {
    let mut search =
        Search { run, trails: Trails::default(), paths: vec![Path { cost: 0, state: State::default(), trail: 0 }] };
    for row in 0..run.drafts.len() {
        if let Some(number) = run.number(row) {
            search.step(row, number);
        }
    }
    search.finish()
}

struct Search<'r, 'a> {
    run: &'r Run<'a>,
    trails: Trails,
    paths: Vec<Path>,
}

impl Search<'_, '_> {
    fn step(&mut self, row: usize, number: TransactionNo) {
        if self.all_run_on(row, number) {
            return;
        }
        let mut next: Vec<Path> = Vec::new();
        for path in std::mem::take(&mut self.paths) {
            for story in stories(self.run, path.state, row) {
                self.take(&mut next, path, row, story);
            }
        }
        // Stable: of equal cost, the one told first stays first.
        next.sort_by_key(|path| path.cost);
        self.give_up(&mut next);
        self.paths = next;
        self.trails.tidy(&mut self.paths.iter_mut().map(|path| &mut path.trail));
    }

    /// The common case: there is one explanation, and the row goes on from it.
    fn all_run_on(&mut self, row: usize, number: TransactionNo) -> bool {
        let [path] = self.paths.as_mut_slice() else { return false };
        let goes_on = path.state.last.and_then(|last| self.run.number(last)?.next()) == Some(number);
        if goes_on && clock_goes_on(self.run, path.state, row) {
            path.state = State { last: Some(row), weighed: row, block: None, ..path.state };
            return true;
        }
        false
    }

    fn take(&mut self, next: &mut Vec<Path>, path: Path, row: usize, story: Story) {
        let trail = self.trails.on(path.trail, path.state, row, story);
        let path = Path { cost: path.cost + story.cost, state: story.state, trail };
        match next.iter_mut().find(|other| same_for_later(other.state, path.state, row)) {
            Some(other) if path.cost < other.cost => {
                self.trails.compare(path.trail, other.trail, other.cost - path.cost);
                *other = path;
            }
            Some(other) => self.trails.compare(other.trail, path.trail, path.cost - other.cost),
            None => next.push(path),
        }
    }

    fn give_up(&mut self, next: &mut Vec<Path>) {
        let Some(best) = next.first().copied() else { return };
        let near = next.iter().take(SIDE_BY_SIDE).take_while(|path| path.cost < best.cost + costs::GIVEN_UP).count();
        for path in next.drain(near..) {
            self.trails.compare(best.trail, path.trail, path.cost - best.cost);
        }
    }

    fn finish(mut self) -> Explanation {
        let Some(best) = self.paths.first().copied() else { return Explanation::default() };
        for path in self.paths.iter().skip(1) {
            self.trails.compare(best.trail, path.trail, path.cost - best.cost);
        }
        Explanation { cost: best.cost, turns: self.trails.back_from(best.trail), last: best.state.last }
    }
}

/// Whether nothing later can tell two states apart.
fn same_for_later(one: State, other: State, row: usize) -> bool {
    let stretch = |state: State| state.stretch.max((row + 1).saturating_sub(REMEMBERED));
    State { stretch: 0, ..one } == State { stretch: 0, ..other } && stretch(one) == stretch(other)
}

impl Story {
    /// The kinds of event it tells of: what happened to the numbers, and that the clock leapt.
    pub fn kinds(self) -> impl Iterator<Item = EventKind> {
        self.kind.into_iter().chain(self.clock.then_some(EventKind::Clock))
    }
}
