//! A draft: one weighing, some head on the scale together, one weight, one transaction number.

use serde::Serialize;

use crate::export::Fields;

use crate::units::{Head, LineNo, Weight};

/// What a draft counts as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// A weighing that counts.
    Counted,
    /// The same weighing printed again.
    Reprint,
    /// Zero or negative weight, or no head and no ticket: an empty or unseated deck.
    Test,
    /// Found in deleted, lost or nameless data, and not yet accepted.
    Recovered,
    /// Never read; what it must have been follows from the paper.
    Inferred,
    /// Weighed again later.
    Reweighed,
    /// Marked void.
    Void,
}

/// A mark on a draft that stays with it into the ledger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flag {
    /// The weight was keyed by hand.
    ManualWeight,
    /// Found in deleted, lost or nameless data.
    Recovered,
    /// No head stated.
    NoHead,
    /// Its row may be cut: the file ends in it.
    TornRow,
}

/// Where a draft was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Origin {
    /// The export.
    pub export: String,
    /// Its line, counted from 1.
    pub line: LineNo,
    /// The byte of the export its row begins at.
    pub byte: u64,
    /// The byte of the medium its row begins at, where the medium was read raw.
    pub medium_offset: Option<u64>,
}

/// One weighing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// Made from the indicator, the row's own bytes and their count among equal rows: the same after the file grew.
    pub id: String,
    /// The scale id stated, else `1`, `2` … in order of first weighing.
    pub indicator: String,
    /// What its row states.
    pub stated: Fields,
    /// What it counts as.
    pub standing: Standing,
    /// Its marks.
    pub flags: Vec<Flag>,
    /// Where it was read; `None` for what no row states.
    pub origin: Option<Origin>,
    /// The session it belongs to.
    pub session: Option<String>,
}

impl Draft {
    /// Whether it counts in sums.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.standing == Standing::Counted
    }

    /// Whether it is the same weighing as `other`: number, time, head and weight agree.
    #[must_use]
    pub fn same_weighing(&self, other: &Self) -> bool {
        (self.stated.transaction, self.stated.at, self.stated.head, self.stated.gross)
            == (other.stated.transaction, other.stated.at, other.stated.head, other.stated.gross)
    }
}

/// A total the export itself states.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatedTotal {
    /// The ticket it adds up, as written or as its drafts say.
    pub ticket: Option<String>,
    /// The lot, as written.
    pub lot: Option<String>,
    /// Animals stated.
    pub head: Option<Head>,
    /// Weight stated.
    pub gross: Option<Weight>,
    /// Where it was read.
    pub origin: Origin,
    /// The drafts that stand directly above it, back to the total before; ids.
    pub above: Vec<String>,
}
