//! Runs of drafts given to tickets in the order of the list, where a few tickets agree with none.

use std::ops::Range;

/// A run that agrees with a ticket: the ticket's place among those that wait, and the places of the drafts.
pub type Candidate = (usize, Range<usize>);

/// The runs that stand in every way of giving as many tickets as possible a run, with tickets and runs in the same order.
///
/// Near-linear: for each run the longest chain before it and after it is looked up in a tree of greatest values.
#[must_use]
pub fn sure_in_order(mut candidates: Vec<Candidate>, drafts: usize) -> Vec<Candidate> {
    candidates.sort_by_key(|(ticket, run)| (*ticket, run.start));
    let before = chains(&candidates, drafts, |run| (run.start, run.end));
    candidates.reverse();
    let mut after = chains(&candidates, drafts, |run| (drafts - run.end, drafts - run.start));
    candidates.reverse();
    after.reverse();
    let longest = before.iter().copied().max().unwrap_or(0);
    let in_longest = |place: usize| {
        let (before, after) = (before.get(place).copied().unwrap_or(0), after.get(place).copied().unwrap_or(0));
        (before + after == longest + 1).then_some(before)
    };
    let mut at_rank = vec![0_usize; longest + 1];
    for rank in (0..candidates.len()).filter_map(in_longest) {
        at_rank.get_mut(rank).into_iter().for_each(|count| *count += 1);
    }
    let is_sure = |place: usize| in_longest(place).is_some_and(|rank| at_rank.get(rank) == Some(&1));
    candidates.into_iter().enumerate().filter(|(place, _)| is_sure(*place)).map(|(_, candidate)| candidate).collect()
}

/// The length of the longest chain that ends with each candidate; `ends` tells where a run begins and ends in this direction.
fn chains(candidates: &[Candidate], drafts: usize, ends: impl Fn(&Range<usize>) -> (usize, usize)) -> Vec<usize> {
    let mut tree = Greatest(vec![0; drafts + 2]);
    let mut lengths = Vec::with_capacity(candidates.len());
    for of_ticket in candidates.chunk_by(|one, next| one.0 == next.0) {
        let from = lengths.len();
        lengths.extend(of_ticket.iter().map(|(_, run)| tree.up_to(ends(run).0) + 1));
        for ((_, run), length) in of_ticket.iter().zip(lengths.get(from..).unwrap_or_default()) {
            tree.raise(ends(run).1, *length);
        }
    }
    lengths
}

/// The greatest value up to a place (a Fenwick tree).
struct Greatest(Vec<usize>);

impl Greatest {
    fn up_to(&self, place: usize) -> usize {
        let mut at = place + 1;
        let mut greatest = 0;
        while at > 0 {
            greatest = greatest.max(self.0.get(at).copied().unwrap_or(0));
            at &= at - 1;
        }
        greatest
    }

    fn raise(&mut self, place: usize, value: usize) {
        let mut at = place + 1;
        while let Some(slot) = self.0.get_mut(at) {
            *slot = (*slot).max(value);
            at += at & at.wrapping_neg();
        }
    }
}
