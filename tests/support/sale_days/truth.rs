//! What really happened with the numbers, in the terms of the report: events, and the rows that exist.

use chrono::NaiveDateTime;

/// The kinds of event, named as in the document.
pub const KINDS: [&str; 8] = ["gap", "restart", "jump", "rollover", "reprint", "clash", "late", "clock"];

/// An event with its exact bounds, as the document states it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Event {
    pub kind: &'static str,
    pub indicator: String,
    pub after: Option<u64>,
    pub before: Option<u64>,
    pub first_missing: Option<u64>,
    pub last_missing: Option<u64>,
}

impl Event {
    /// An event that loses nothing.
    pub fn between(kind: &'static str, indicator: &str, after: u64, before: u64) -> Self {
        let (after, before) = (Some(after), Some(before));
        Self { kind, indicator: indicator.to_owned(), after, before, first_missing: None, last_missing: None }
    }

    /// Lost numbers; at an end of the day there is no row before or after them.
    pub fn gap(indicator: &str, after: Option<u64>, before: Option<u64>, lost: (u64, u64)) -> Self {
        let (first_missing, last_missing) = (Some(lost.0), Some(lost.1));
        Self { kind: "gap", indicator: indicator.to_owned(), after, before, first_missing, last_missing }
    }

    /// The numbers it says are missing.
    pub fn lost(&self) -> Option<(u64, u64)> {
        self.first_missing.zip(self.last_missing)
    }
}

/// A row of an export.
#[derive(Clone, Debug)]
pub struct Row {
    pub number: u64,
    /// What the indicator's clock showed.
    pub at: NaiveDateTime,
    /// When it was written, in true seconds after midnight of the day the sale began.
    pub written: i64,
    pub lot: usize,
    pub ticket: usize,
    pub head: u64,
    pub gross: u64,
    pub kind: &'static str,
    pub reprint: bool,
}

impl Row {
    /// Whether the two would be printed word for word alike.
    pub fn equals(&self, other: &Self) -> bool {
        let all = |row: &Self| (row.number, row.at, row.ticket, row.lot, row.head, row.gross);
        all(self) == all(other)
    }
}

/// An event, and the rows it spans: none of an export's seams lies between them.
#[derive(Clone, Debug)]
pub struct Noted {
    pub event: Event,
    pub from_row: usize,
    pub to_row: usize,
}

/// A stretch without a change of the counter by hand.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Session {
    pub indicator: String,
    pub drafts: u64,
    pub head: u64,
}

/// One indicator's day: the rows in the order in which they were written, and what happened.
#[derive(Clone, Debug, Default)]
pub struct Run {
    pub indicator: String,
    pub rows: Vec<Row>,
    pub noted: Vec<Noted>,
    pub sessions: Vec<Session>,
    /// The number of every draft that was weighed, also of those that are on no stick.
    pub numbers: Vec<u64>,
    /// The digits of its counter.
    pub digits: usize,
}
