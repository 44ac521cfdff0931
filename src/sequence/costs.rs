//! What each story costs. The only place with such figures.
//!
//! Costs are tenths of a power of ten of odds: a story that costs 10 more than another is ten times less likely, 20 more a
//! hundred times. The priors are common practice, no source; evidence moves them.

use crate::units::Confidence;

/// A copy of a ticket was printed: rows equal in number, head and weight.
pub const REPRINT: u32 = 5;
/// A draft was stored out of order, and fills a hole.
pub const LATE: u32 = 12;
/// Two weighings carry one number.
pub const CLASH: u32 = 30;
/// A person set the counter back.
pub const RESTART: u32 = 14;
/// A person set the counter ahead.
pub const JUMP: u32 = 24;
/// Rows are missing.
pub const GAP: u32 = 10;
/// The counter passed its largest number.
pub const ROLLOVER: u32 = 4;

/// Every so many missing rows make a gap cost one more …
pub const MISSING_PER_STEP: u64 = 10;
/// … up to this much.
pub const MOST_FOR_MISSING: u64 = 20;
/// So many drafts cannot have been weighed in the time that passed.
pub const NO_ROOM_IN_TIME: u32 = 40;
/// A counter is usually set between lots, tickets or days, not among the drafts of one.
pub const SET_INSIDE_A_TICKET: u32 = 10;
/// A counter is usually set back to 0 or 1.
pub const RESTART_NOT_AT_ONE: u32 = 6;
/// Nobody sets a counter back to the number it shows.
pub const RESTART_AT_THE_SAME: u32 = 15;
/// Where a counter was set, the rows after commonly run on from there.
pub const NEW_NUMBERS_STOP: u32 = 8;
/// A counter is usually set ahead to a round number or the first after it.
pub const JUMP_NOT_ROUND: u32 = 6;
/// A copy commonly carries the time of the first printing.
pub const PRINTED_AT_ANOTHER_TIME: u32 = 8;
/// The row after goes on from the old number, so the counter was not set.
pub const OLD_NUMBERS_GO_ON: u32 = 30;
/// The row after does not go on from the old number, so this row is no stray.
pub const OLD_NUMBERS_END: u32 = 15;

/// How sure the cheapest story is, from how much more the best story of another kind would cost.
///
/// The odds of 10^(margin/10) to 1, as a share, to a hundredth; never more than 99 from numbers alone.
#[must_use]
pub fn confidence(margin: Option<u32>) -> Confidence {
    const STEPS: [(u32, u8); 9] = [(20, 99), (16, 97), (13, 95), (10, 91), (7, 83), (5, 76), (3, 67), (1, 56), (0, 50)];
    let Some(margin) = margin else { return Confidence::percent(99) };
    let hundredths = STEPS.iter().find(|(least, _)| margin >= *least).map_or(50, |(_, hundredths)| *hundredths);
    Confidence::percent(hundredths)
}
