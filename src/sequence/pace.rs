//! How fast the weighing went: could so many drafts fit into so much time?

use crate::draft::Draft;
use crate::units::Precision;

/// Fewer intervals than this say nothing about the pace.
const FEWEST_INTERVALS: usize = 5;

/// Longer pauses are breaks, not pace; in seconds.
const LONGEST_INTERVAL: i64 = 30 * 60;

/// The fastest tenth of drafts where the rows show no pace, in seconds. Common practice, no source.
const USUAL: i64 = 60;

/// What a clock that shows only minutes hides, in seconds.
const HIDDEN: i64 = 60;

/// The pace of a run, in seconds from one draft to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    /// One interval in ten is at most so short.
    pub fast: i64,
}

/// Whether drafts fit into a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// At the fastest tenth of the day's pace, or slower.
    Enough,
    /// At twice that pace.
    Little,
    /// Not even then.
    None,
}

impl Pace {
    /// Measures the intervals between rows whose numbers follow each other; a usual pace where there are too few.
    #[must_use]
    pub fn of(strand: &[Draft]) -> Self {
        let mut intervals: Vec<i64> = strand.windows(2).filter_map(interval).collect();
        let tenth = intervals.len() / 10;
        if intervals.len() < FEWEST_INTERVALS {
            return Self { fast: USUAL };
        }
        let (_, fast, _) = intervals.select_nth_unstable(tenth);
        Self { fast: *fast }
    }

    /// Whether so many more drafts fit between two rows so far apart.
    #[must_use]
    pub const fn room(self, seconds: i64, missing: u64) -> Room {
        let weighings = if missing < 1_000_000 { missing as i64 + 1 } else { 1_000_001 };
        let needed = self.fast.saturating_mul(weighings);
        let had = seconds.saturating_add(HIDDEN);
        if had >= needed {
            Room::Enough
        } else if had.saturating_mul(2) >= needed {
            Room::Little
        } else {
            Room::None
        }
    }
}

/// Seconds from one row to the next, where their numbers follow each other and both state a time of day.
fn interval(pair: &[Draft]) -> Option<i64> {
    let [before, after] = pair else { return None };
    (before.stated.transaction?.next()? == after.stated.transaction?).then_some(())?;
    elapsed(before, after).filter(|seconds| (1..=LONGEST_INTERVAL).contains(seconds))
}

/// Seconds between two rows; `None` where one of them states no time of day.
#[must_use]
pub fn elapsed(before: &Draft, after: &Draft) -> Option<i64> {
    let (from, to) = (before.stated.at?, after.stated.at?);
    let timed = from.precision > Precision::Day && to.precision > Precision::Day;
    timed.then(|| (to.at - from.at).num_seconds())
}
