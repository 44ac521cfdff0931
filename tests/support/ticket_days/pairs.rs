//! Every pair of faults on one ticket that accounts for the whole difference, where no single one does.

use super::MISCOUNT;
use super::figures::{Figures, hundredths, in_other_unit, typed};
use super::model::Fault;
use super::stories::{Seen, Story, View, free, moves};
use super::typing::{Sum, before_a_slip, slips, stories};

/// Two stories that together account for the difference, in a settled order.
pub type Pair = (Story, Story);

/// So that nothing can hang; no day comes near it.
const ENOUGH: usize = 20_000;

/// The pairs, each once.
pub fn pairs(view: &View, seen: &Seen) -> Vec<Pair> {
    let mut pairs = Vec::new();
    let moves = moves(view, seen);
    let sum = Sum::of(seen);
    let mut add = |one: &Story, other: Story| {
        if pairs.len() < ENOUGH {
            let (low, high) = if *one <= other { (one.clone(), other) } else { (other, one.clone()) };
            pairs.push((low, high));
        }
    };
    for (place, (by, story)) in moves.iter().enumerate() {
        let moved = Sum { figures: sum.figures + *by, ..sum };
        if moved.figures.head > 0 {
            stories(view, moved, seen.typed, seen.shrink).into_iter().for_each(|other| add(story, other));
        }
        free(view, seen, seen.difference() - *by).into_iter().for_each(|other| add(story, other));
        let others = moves[place + 1..].iter().filter(|(other, _)| *by + *other == seen.difference());
        others.for_each(|(_, other)| add(story, other.clone()));
    }
    let right_head = Figures { head: sum.figures.head, ..seen.typed };
    let right_weight = Figures { gross: sum.figures.gross, ..seen.typed };
    for one in stories(view, sum, right_head, seen.shrink) {
        stories(view, sum, right_weight, seen.shrink).into_iter().for_each(|other| add(&one, other));
    }
    for (meant, story) in unslipped(seen.typed).into_iter().chain(unreckoned(view, seen, sum)) {
        free(view, seen, meant - sum.figures).into_iter().for_each(|other| add(&story, other));
    }
    pairs.sort();
    pairs.dedup();
    pairs
}

/// What could have been meant, to within rounding, if the weight was reckoned wrongly or the head miscounted. Figures of lost drafts
/// are free, so that it need not be exact.
fn unreckoned(view: &View, seen: &Seen, sum: Sum) -> Vec<(Figures, Story)> {
    let written = seen.typed;
    let mut meant = Vec::new();
    let mut add = |kind, gross| meant.push((Figures { gross, ..written }, Fault::new(kind)));
    let gross = written.gross;
    add("unit-mistaken", in_other_unit(gross, view.kilograms, 1));
    add("average-for-gross", gross * written.head);
    [gross * 10, gross * 100, gross / 10, gross / 100].into_iter().for_each(|gross| add("decimal-slide", gross));
    [view.division / 2, -view.division / 2].into_iter().for_each(|by| add("rounding", gross + by));
    if sum.tare > 0 {
        add("tare-omitted", gross + sum.tare);
    }
    let rates = (2..=12).map(|half| half * 50).chain(seen.shrink);
    rates.for_each(|percent| add("shrink-twice", gross * 10_000 / (10_000 - percent)));
    for by in (-MISCOUNT..=MISCOUNT).filter(|by| *by != 0) {
        meant.push((Figures { head: written.head + by, ..written }, Fault::new("head-miscounted")));
    }
    meant
}

/// What could have been meant, if one slip was made in the weight or in the head.
fn unslipped(written: Figures) -> Vec<(Figures, Story)> {
    let slip = |meant: &str, seen: &str, figures: Figures| {
        let also = slips(meant, seen);
        (figures, Fault { figures: written - figures, also: also[1..].to_vec(), ..Fault::new(also[0]) })
    };
    let (weight, head) = (typed(written.gross), written.head.to_string());
    let weights = before_a_slip(&weight).into_iter().filter_map(|text| {
        let gross = hundredths(&text)?;
        (typed(gross) == text).then(|| slip(&text, &weight, Figures { gross, ..written }))
    });
    let heads = before_a_slip(&head).into_iter().filter_map(|text| {
        let meant = text.parse().ok()?;
        Some(slip(&text, &head, Figures { head: meant, ..written }))
    });
    weights.chain(heads).collect()
}
