//! Exports written newest row first are turned round.

use crate::draft::Draft;

/// Turns the rows of one file round, where it was written newest first.
#[must_use]
pub fn oldest_first(mut rows: Vec<Draft>) -> Vec<Draft> {
    if newest_first(&rows) {
        rows.reverse();
    }
    rows
}

/// Whether the numbers of each indicator count down more often than up, and the times do not say otherwise.
fn newest_first(rows: &[Draft]) -> bool {
    let (mut numbers, mut times) = (Balance::default(), Balance::default());
    for (before, row) in neighbours(rows) {
        if let (Some(before), Some(number)) = (before.stated.transaction, row.stated.transaction) {
            numbers.count(before.next() == Some(number), number.next() == Some(before));
        }
        if let (Some(before), Some(at)) = (before.stated.at, row.stated.at) {
            times.count(at.at > before.at, at.at < before.at);
        }
    }
    numbers.down > numbers.up && times.down >= times.up
}

/// How often something goes up and down.
#[derive(Default)]
struct Balance {
    up: usize,
    down: usize,
}

impl Balance {
    fn count(&mut self, up: bool, down: bool) {
        self.up += usize::from(up);
        self.down += usize::from(down);
    }
}

/// Each row with the one before it of the same indicator.
fn neighbours(rows: &[Draft]) -> impl Iterator<Item = (&Draft, &Draft)> {
    let mut last: std::collections::HashMap<&str, &Draft> = std::collections::HashMap::new();
    rows.iter().filter_map(move |row| last.insert(&row.indicator, row).map(|before| (before, row)))
}
