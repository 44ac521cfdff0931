//! What always holds on a simulated sale day. Only these laws, and the paper, may decide between two histories of the same rows.
//!
//! All of it is common practice or our own choice, no source. Times are in seconds.

/// Nobody gets one draft off and the next one on in less.
pub const FASTEST_DRAFT: i64 = 40;

/// The slowest ordinary draft of the slowest day.
pub const SLOWEST_DRAFT: i64 = 400;

/// The longest pause, above the draft's own time: lunch between two lots, or a gate that breaks in the middle of one.
pub const LONGEST_PAUSE: i64 = 150 * 60;

/// Between two sales on one stick, and only between two lots, so much time passes.
pub const SHORTEST_REST: i64 = 3 * 3600;
pub const LONGEST_REST: i64 = 15 * 24 * 3600;

/// A clock that leaps ahead leaps farther than any pause of a day; the hour of daylight saving alone is less.
pub const LEAST_LEAP_AHEAD: i64 = 3 * 3600;

/// A clock that goes back is seen to go back by so much.
pub const LEAST_LEAP_BACK: i64 = 5 * 60;

/// The hour of daylight saving.
pub const HOUR: i64 = 3600;

/// A counter set lower goes back by so many numbers or more, one set ahead leaves out as many.
pub const LEAST_SET: u64 = 5;

/// A second scale's counter stands so far from the first one's, or farther.
pub const LEAST_CHANGEOVER: u64 = 200;

/// A clash repeats one of so many last rows.
pub const CLASH_REACH: usize = 4;

/// So many rows at most are delayed together, and by so many rows.
pub const LONGEST_DELAYED: usize = 12;
pub const LONGEST_DELAY: usize = 30;

/// The largest numbers of the counters in use: three to seven digits, or sixteen bits.
pub const COUNTER_ENDS: [u64; 6] = [999, 9_999, 99_999, 999_999, 9_999_999, 65_535];

/// Whether an operator would key this number: the beginning of a hundred, or a beginning altogether.
pub const fn is_round(number: u64) -> bool {
    number.is_multiple_of(100) || number % 100 == 1
}

/// Whether so many drafts could be weighed between two rows, beside the second of them. `slack` is what the clock does not show.
pub fn time_allows(lost: u64, elapsed: i64, slack: i64) -> bool {
    i64::try_from(lost + 1).unwrap_or(i64::MAX).saturating_mul(FASTEST_DRAFT) <= elapsed + slack
}
