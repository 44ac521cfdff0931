//! How long people stop: what is a pause, what is the time between two sales, and what only a clock can do.

use super::pace::elapsed;
use crate::draft::Draft;

/// Nobody stops for so long among the drafts of one lot; in seconds.
const TOO_LONG_IN_A_LOT: i64 = 3 * 3600;

/// Sales are commonly held every week or two; in seconds.
const TOO_LONG_BETWEEN_SALES: i64 = 15 * 24 * 3600;

/// No stick waits so long for the next sale; in seconds.
const NO_STICK_WAITS: i64 = 400 * 24 * 3600;

/// So many long times between two lots on one stick are its sales, not leaps of a clock.
const SALES: usize = 3;

/// What pauses a run holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pauses {
    /// Whether sales on this stick often lie far apart.
    rare_sales: bool,
}

impl Pauses {
    /// Looks at the times between neighbouring rows.
    #[must_use]
    pub fn of(drafts: &[Draft]) -> Self {
        let long = drafts.windows(2).filter(|pair| {
            let [before, after] = pair else { return false };
            let seconds = elapsed(before, after).unwrap_or(0);
            !same_lot(before, after) && (TOO_LONG_BETWEEN_SALES..NO_STICK_WAITS).contains(&seconds)
        });
        Self { rare_sales: long.count() >= SALES }
    }

    /// Whether so much time between two rows is no pause.
    #[must_use]
    pub fn beyond_belief(self, seconds: i64, inside_a_lot: impl FnOnce() -> bool) -> bool {
        let between_sales = if self.rare_sales { NO_STICK_WAITS } else { TOO_LONG_BETWEEN_SALES };
        seconds >= between_sales || (seconds >= TOO_LONG_IN_A_LOT && inside_a_lot())
    }
}

/// Whether both rows show that they are of one lot: by the lot, or where none is stated, by the ticket.
#[must_use]
pub fn same_lot(before: &Draft, row: &Draft) -> bool {
    match (&before.stated.lot, &row.stated.lot) {
        (Some(before), Some(lot)) => before == lot,
        _ => row.stated.ticket.is_some() && before.stated.ticket == row.stated.ticket,
    }
}
