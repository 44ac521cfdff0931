//! What columns of figures show about each other: head times average is the weight, gross less tare is the net.

use super::profile::{Column, nearly_all};

/// A group on a scale has from one to so many head, in thousandths.
const MOST_HEAD: i64 = 2_000_000;

/// What an animal weighs, in thousandths of a pound or kilogram: from a lamb to a bull, with room on both sides
/// (common practice, no source).
const PER_HEAD: std::ops::RangeInclusive<i64> = 8_000..=4_000_000;

/// Weight, count and weight per head, by column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Averaged {
    pub head: usize,
    pub weight: usize,
    pub average: usize,
}

/// Three columns of which the first is the sum of the other two, by column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Summed {
    pub gross: usize,
    pub tare: usize,
    pub net: usize,
}

/// The columns where head times average is the weight, within the rounding of the average.
pub fn averaged(columns: &[Column<'_>], free: &[usize]) -> Option<Averaged> {
    let heads = free.iter().copied().filter(|at| columns.get(*at).is_some_and(could_be_head));
    for head in heads {
        for weight in free.iter().copied().filter(|at| *at != head) {
            for average in free.iter().copied().filter(|at| *at != head && *at != weight) {
                let [Some(h), Some(w), Some(a)] = [head, weight, average].map(|at| columns.get(at)) else { continue };
                let holds = |row: usize| {
                    let (head, weight, average) = (figure(h, row)?, figure(w, row)?, figure(a, row)?);
                    // Half of the last whole unit of the average, for each head; head and average are both in thousandths.
                    let difference = i128::from(head) * i128::from(average) - i128::from(weight) * 1_000;
                    Some(average > 0 && head >= 1_000 && difference.abs() <= i128::from(head) * 505)
                };
                if differs(w, a) && holds_nearly_always(h.cells.len(), holds) {
                    return Some(Averaged { head, weight, average });
                }
            }
        }
    }
    None
}

/// Of groups of one head each, weight and average are the same and show nothing.
fn differs(one: &Column<'_>, other: &Column<'_>) -> bool {
    one.figures.iter().zip(&other.figures).any(|(one, other)| one != other)
}

/// Whole numbers such as head counts are.
pub fn could_be_head(column: &Column<'_>) -> bool {
    column.is_whole() && column.figures.iter().flatten().all(|figure| (0..=MOST_HEAD).contains(figure))
}

/// The columns where gross less tare is net, and tare is the smallest.
pub fn summed(columns: &[Column<'_>], free: &[usize]) -> Option<Summed> {
    for gross in free.iter().copied() {
        for tare in free.iter().copied().filter(|at| *at != gross) {
            for net in free.iter().copied().filter(|at| *at != gross && *at != tare) {
                let [Some(g), Some(t), Some(n)] = [gross, tare, net].map(|at| columns.get(at)) else { continue };
                let holds = |row: usize| Some(figure(g, row)? - figure(t, row)? == figure(n, row)?);
                if t.median() < n.median() && t.median() > 0 && holds_nearly_always(g.cells.len(), holds) {
                    return Some(Summed { gross, tare, net });
                }
            }
        }
    }
    None
}

/// The column that is weight less shrink, given both, within a half of a hundredth.
pub fn paid(columns: &[Column<'_>], weight: usize, shrink: usize, free: &[usize]) -> Option<usize> {
    let [Some(w), Some(s)] = [weight, shrink].map(|at| columns.get(at)) else { return None };
    free.iter().copied().find(|at| {
        let Some(pay) = columns.get(*at) else { return false };
        let holds = |row: usize| {
            let (weight, shrink, pay) = (figure(w, row)?, figure(s, row)?, figure(pay, row)?);
            let exact = i128::from(weight) * i128::from(100_000 - shrink);
            // To a whole unit at the coarsest.
            Some((exact - i128::from(pay) * 100_000).abs() <= 505 * 100_000)
        };
        holds_nearly_always(w.cells.len(), holds)
    })
}

/// Whether a column adds up another one, row after row.
pub fn runs_up(total: &Column<'_>, of: &Column<'_>) -> bool {
    let both: Vec<(i64, i64)> =
        total.figures.iter().zip(&of.figures).filter_map(|(t, o)| Some(((*t)?, (*o)?))).collect();
    let steps = both.iter().zip(both.iter().skip(1));
    let (all, so) = steps
        .fold((0, 0), |(all, so), ((before, _), (after, own))| (all + 1, so + usize::from(after - before == *own)));
    all >= 2 && so * 10 >= all * 8
}

/// Whether weight over head lies where animals do.
pub fn plausible_weight(head: &Column<'_>, weight: &Column<'_>) -> bool {
    let holds = |row: usize| {
        let (head, weight) = (figure(head, row)? / 1_000, figure(weight, row)?);
        (head > 0).then(|| PER_HEAD.contains(&(weight / head)))
    };
    holds_nearly_always(head.cells.len(), holds)
}

fn figure(column: &Column<'_>, row: usize) -> Option<i64> {
    column.figures.get(row).copied().flatten()
}

/// Whether it holds on nearly all rows that have the figures, and there are enough of these.
fn holds_nearly_always(rows: usize, holds: impl Fn(usize) -> Option<bool>) -> bool {
    let seen: Vec<bool> = (0..rows).filter_map(holds).collect();
    seen.len() * 2 > rows && nearly_all(seen.iter().filter(|held| **held).count(), seen.len())
}
