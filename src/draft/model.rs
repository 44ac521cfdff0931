//! A draft: one weighing, some head on the scale together, one weight, one transaction number.

use serde::Serialize;

use crate::units::{Head, LineNo, LocalTime, Percent, TransactionNo, Weight};

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
    /// The number, where one can be read.
    pub transaction: Option<TransactionNo>,
    /// The number as written.
    pub transaction_text: Option<String>,
    /// When, by the indicator's clock.
    pub at: Option<LocalTime>,
    /// The ticket, as written.
    pub ticket: Option<String>,
    /// The lot, as written.
    pub lot: Option<String>,
    /// Animals on the scale.
    pub head: Option<Head>,
    /// Weight as weighed.
    pub gross: Option<Weight>,
    /// Weight of what is not animal.
    pub tare: Option<Weight>,
    /// Gross less tare.
    pub net: Option<Weight>,
    /// Weight per head as stated by the indicator.
    pub average: Option<Weight>,
    /// Percentage taken off by agreement.
    pub shrink_percent: Option<Percent>,
    /// Weight that is paid for, as stated by the indicator.
    pub pay_weight: Option<Weight>,
    /// What animals.
    pub kind: Option<String>,
    /// Who sends them.
    pub consignor: Option<String>,
    /// Who buys them.
    pub buyer: Option<String>,
    /// Who weighed.
    pub weigher: Option<String>,
    /// Free text.
    pub remark: Option<String>,
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
        (self.transaction, self.at, self.head, self.gross) == (other.transaction, other.at, other.head, other.gross)
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
