//! What happened with the numbers.

use serde::Serialize;

use crate::units::{Confidence, Head, LocalTime, TransactionNo, Weight};

/// The kinds of event in a run of numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum EventKind {
    /// Numbers of one stretch are not on the stick.
    Gap,
    /// The counter was set lower, or rows of another indicator follow with a lower number.
    Restart,
    /// The same, higher.
    Jump,
    /// The counter passed its largest number.
    Rollover,
    /// The same weighing again.
    Reprint,
    /// The same number on two different weighings of one session.
    Clash,
    /// A draft stands out of order, though nothing is missing.
    Late,
    /// The indicator's clock leapt or went back, the counter did not.
    Clock,
}

/// One event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Event {
    /// What happened.
    pub kind: EventKind,
    /// On which indicator.
    pub indicator: String,
    /// The number of the last row before; `None` before the first row.
    pub after: Option<TransactionNo>,
    /// The number of the first row after, or of the row concerned; `None` after the last row.
    pub before: Option<TransactionNo>,
    /// The id of the last draft before.
    pub after_draft: Option<String>,
    /// The id of the first draft after, or of the draft concerned.
    pub before_draft: Option<String>,
    /// The first number missing, where known.
    pub first_missing: Option<TransactionNo>,
    /// The last number missing, where known.
    pub last_missing: Option<TransactionNo>,
    /// How many numbers are missing; 0 where nothing is lost.
    pub missing: u64,
    /// How sure this story is against the best other one.
    pub confidence: Confidence,
    /// Why we think so.
    pub why: Vec<String>,
}

/// A stretch of one indicator's weighings in which the counter was not set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Session {
    /// Its id.
    pub id: String,
    /// The indicator.
    pub indicator: String,
    /// Number of its first counted draft.
    pub first_transaction: Option<TransactionNo>,
    /// Number of its last counted draft.
    pub last_transaction: Option<TransactionNo>,
    /// When it began.
    pub from: Option<LocalTime>,
    /// When it ended.
    pub to: Option<LocalTime>,
    /// Counted drafts.
    pub drafts: u64,
    /// Their head.
    pub head: Head,
    /// Their gross weight; `None` where units differ.
    pub gross: Option<Weight>,
    /// The unit of that weight.
    pub unit: Option<crate::units::Unit>,
}
