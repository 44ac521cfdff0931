//! What each story costs. The only place with such figures.
//!
//! Costs are tenths of a power of ten of odds: a story that costs 10 more than another is ten times less likely, 20 more a
//! hundred times. The priors are common practice, no source; evidence moves them. Of two explanations that cost the same,
//! the one stands whose first difference comes earlier in this order: nothing happened, gap, jump, rollover, restart,
//! reprint, clash, late; and of each, the clock that went right before the one that leapt.

use crate::units::Confidence;

/// Rows are missing.
pub const GAP: u32 = 10;
/// Numbers left out that stand further down, with times that belong here: rows were delayed.
pub const DELAYED: u32 = 2;
/// A person set the counter ahead.
pub const JUMP: u32 = 16;
/// The counter passed its largest number.
pub const ROLLOVER: u32 = 4;
/// A person set the counter back.
pub const RESTART: u32 = 14;
/// A copy of a ticket was printed: rows equal in number, head and weight.
pub const REPRINT: u32 = 6;
/// Two weighings carry one number.
pub const CLASH: u32 = 22;
/// A draft, or a block of drafts, was stored out of order, and fills a hole.
pub const LATE: u32 = 12;
/// The clock leapt.
pub const CLOCK: u32 = 14;

/// Every so many missing rows make a gap cost one more …
pub const MISSING_PER_STEP: u64 = 10;
/// … up to this much.
pub const MOST_FOR_MISSING: u64 = 15;
/// So many drafts can hardly have been weighed in the time that passed.
pub const LITTLE_ROOM_IN_TIME: u32 = 8;
/// So many drafts cannot have been weighed in the time that passed.
pub const NO_ROOM_IN_TIME: u32 = 40;
/// The paper tickets around this place say otherwise.
pub const PAPER_SAYS_OTHERWISE: u32 = 25;
/// A counter is usually set between lots, tickets or days, not among the drafts of one.
pub const SET_INSIDE_A_TICKET: u32 = 4;
/// A counter is usually set back to 0 or 1 …
pub const RESTART_NOT_AT_ONE: u32 = 3;
/// … else to a round number.
pub const RESTART_NOT_ROUND: u32 = 8;
/// Nobody sets a counter back by less than five.
pub const RESTART_BY_LITTLE: u32 = 12;
/// A counter is usually set ahead to a round number or the first after it.
pub const JUMP_NOT_ROUND: u32 = 6;
/// Nobody sets a counter ahead by less than five.
pub const JUMP_BY_LITTLE: u32 = 12;
/// A copy commonly carries the time of the first printing.
pub const PRINTED_AT_ANOTHER_TIME: u32 = 8;
/// A number given twice is commonly that of one of the last few rows.
pub const CLASH_WITH_A_FAR_ROW: u32 = 8;
/// A delayed row commonly carries the time at which it was weighed.
pub const LATE_BY_ITS_TIME_TOO: u32 = 12;
/// Nobody stops so long among the drafts of one lot, or so long between two sales.
pub const PAUSE_BEYOND_BELIEF: u32 = 26;
/// A clock that goes back by a minute or more did not go right.
pub const CLOCK_BACK: u32 = 10;

/// An explanation that costs so much more than the cheapest one is given up.
pub const GIVEN_UP: u32 = 60;

/// From this margin on nothing makes an event surer.
pub const SURE: u32 = 12;

/// How sure the cheapest story is, from how much more the best explanation with another kind at that place costs.
///
/// Calibrated on simulated sale days, to hundredths; never more than 99 from numbers alone.
#[must_use]
pub fn confidence(margin: Option<u32>) -> Confidence {
    const STEPS: [(u32, u8); 5] = [(SURE, 99), (9, 98), (6, 92), (3, 75), (0, 55)];
    let Some(margin) = margin else { return Confidence::percent(99) };
    let hundredths = STEPS.iter().find(|(least, _)| margin >= *least).map_or(50, |(_, hundredths)| *hundredths);
    Confidence::percent(hundredths)
}
