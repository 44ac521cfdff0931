//! Tells two indicators apart whose rows name no scale: two counters, far from each other, that run at the same time.

use crate::draft::Draft;
use crate::units::TransactionNo;

/// A number so near to the one that a counter shows next may be of that counter; others are of another one.
const NEAR: u64 = 100;

/// Counters are told apart up to this many; one yard has no more scales.
const MOST: usize = 8;

/// So often each counter must be gone back to: a row out of order, a reprint or a counter that is set make one go back once.
const OFTEN: usize = 6;

/// Deals the rows out to the counters that wrote them; one pile where nothing shows that there were several.
#[must_use]
pub fn apart(rows: Vec<Draft>) -> Vec<Vec<Draft>> {
    let Some(of_row) = counters(&rows) else { return vec![rows] };
    let several = of_row.iter().max().map_or(1, |most| most + 1);
    let mut piles: Vec<Vec<Draft>> = (0..several).map(|_| Vec::new()).collect();
    for (draft, counter) in rows.into_iter().zip(of_row) {
        if let Some(pile) = piles.get_mut(counter) {
            pile.push(draft);
        }
    }
    piles
}

struct Counter {
    last: TransactionNo,
    gone_back_to: usize,
}

/// For each row its counter; `None` where there is one counter, or where it is gone back and forth too seldom.
fn counters(rows: &[Draft]) -> Option<Vec<usize>> {
    let mut counters: Vec<Counter> = Vec::new();
    let mut current = 0;
    let mut of_row = Vec::with_capacity(rows.len());
    for draft in rows {
        if let Some(number) = draft.stated.transaction {
            let place = nearest(&counters, number).unwrap_or(counters.len());
            if let Some(counter) = counters.get_mut(place) {
                counter.gone_back_to += usize::from(place != current && counter.last.next() == Some(number));
                counter.last = counter.last.max(number);
            } else if counters.len() < MOST {
                counters.push(Counter { last: number, gone_back_to: 0 });
            } else {
                return None;
            }
            current = place;
        }
        of_row.push(current);
    }
    let all_often = counters.iter().all(|counter| counter.gone_back_to >= OFTEN);
    (counters.len() > 1 && all_often).then_some(of_row)
}

fn nearest(counters: &[Counter], number: TransactionNo) -> Option<usize> {
    let off = |counter: &Counter| (counter.last.0.saturating_add(1)).abs_diff(number.0);
    let near = counters.iter().enumerate().filter(|(_, counter)| off(counter) <= NEAR);
    near.min_by_key(|(_, counter)| off(counter)).map(|(place, _)| place)
}
