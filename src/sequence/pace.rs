//! How fast the weighing went: could so many drafts fit into so much time?

use crate::draft::Draft;
use crate::units::Precision;

/// Fewer intervals than this say nothing about the pace.
const FEWEST_INTERVALS: usize = 5;

/// Longer pauses are breaks, not pace; in seconds.
const LONGEST_INTERVAL: i64 = 30 * 60;

/// The pace of a run, in seconds from one draft to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    /// The middle one of all intervals.
    pub median: i64,
    /// One interval in ten is at most so short.
    pub fast: i64,
}

impl Pace {
    /// Measures the intervals between rows whose numbers follow each other; `None` where there are too few.
    #[must_use]
    pub fn of(strand: &[Draft]) -> Option<Self> {
        let mut intervals: Vec<i64> = strand.windows(2).filter_map(interval).collect();
        intervals.sort_unstable();
        if intervals.len() < FEWEST_INTERVALS {
            return None;
        }
        let median = *intervals.get(intervals.len() / 2)?;
        let fast = *intervals.get(intervals.len() / 10)?;
        Some(Self { median, fast })
    }

    /// Whether so many more drafts fit in at all, at the fastest tenth of the day's pace, halved for caution.
    #[must_use]
    pub fn leaves_room(self, seconds: i64, missing: u64) -> bool {
        let weighings = i64::try_from(missing).unwrap_or(i64::MAX).saturating_add(1);
        seconds.saturating_mul(2) >= self.fast.saturating_mul(weighings)
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
