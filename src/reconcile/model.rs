//! What came of laying drafts and tickets side by side.

use serde::Serialize;

use crate::finding::{Finding, NotChecked};
use crate::ticket::StatedTicket;
use crate::units::{Confidence, Decimal, Head, Money, TransactionNo, Unit, Weight};

/// How a ticket stands against its drafts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Head and gross agree to the last pound.
    Tied,
    /// They do not, and exactly one story accounts for the whole difference.
    Explained,
    /// They do not, and no story, or more than one, accounts for it.
    Open,
    /// No draft of this ticket is on the stick.
    NoDrafts,
}

/// The kinds of explanation this program knows; each predicts the whole difference exactly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ExplanationKind {
    /// One draft lost; its head and gross follow.
    MissingDraft,
    /// Several drafts lost; their sum follows.
    MissingDrafts,
    /// Rows found in deleted or lost data close it.
    RecoveredDraft,
    /// A reprint was added in on the paper.
    ReprintCounted,
    /// Two neighbouring digits of the stated weight are exchanged.
    DigitsSwapped,
}

/// One story that accounts for a difference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Explanation {
    /// What happened.
    pub kind: ExplanationKind,
    /// In one sentence.
    pub text: String,
    /// How sure.
    pub confidence: Confidence,
    /// The numbers concerned.
    pub transactions: Vec<TransactionNo>,
    /// The head concerned.
    pub head: Option<Head>,
    /// The weight concerned.
    pub gross: Option<Weight>,
}

/// What the drafts of a ticket add up to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Counted drafts.
    pub drafts: u64,
    /// Their head.
    pub head: Head,
    /// Their gross weight, zero without drafts; `None` where units differ.
    pub gross: Option<Weight>,
    /// Gross per head, to 0.01.
    pub average: Option<Weight>,
    /// What is paid for, by the rules of the contract.
    pub pay_weight: Option<Weight>,
}

/// A ticket beside its drafts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TicketResult {
    /// What the paper says.
    pub stated: StatedTicket,
    /// What the stick says.
    pub found: Found,
    /// Ids of the counted drafts on it.
    pub drafts: Vec<String>,
    /// How it stands.
    pub outcome: Outcome,
    /// The stories, best first.
    pub explanations: Vec<Explanation>,
    /// What it comes to in money: stated, or price × pay weight; `None` where neither can be had.
    pub value: Option<Money>,
}

/// Drafts and tickets, side by side.
#[derive(Debug, Clone, Default)]
pub struct Reconciled {
    /// The tickets, in the order of the list.
    pub tickets: Vec<TicketResult>,
    /// Ids of the counted drafts on no ticket of the list; `None` without a list.
    pub unticketed: Option<Vec<String>>,
    /// All drafts against all tickets, one entry per unit.
    pub balance: Vec<Balance>,
    /// What a person should know of it.
    pub findings: Vec<Finding>,
    /// What could not be compared, and why.
    pub not_checked: Vec<NotChecked>,
}

/// Head and weight together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct HeadAndGross {
    /// Animals; negative in a difference where the paper has fewer.
    pub head: i64,
    /// Gross weight, exact.
    #[serde(serialize_with = "plain")]
    pub gross: Decimal,
}

/// All drafts of the period against all tickets, for one unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Balance {
    /// The unit; weights of different units are never added.
    pub unit: Option<Unit>,
    /// All counted drafts.
    pub drafts: HeadAndGross,
    /// Those on a ticket of the list.
    pub on_tickets: HeadAndGross,
    /// Those on none.
    pub without_ticket: HeadAndGross,
    /// What the tickets state.
    pub stated: HeadAndGross,
    /// Stated less on tickets.
    pub difference: HeadAndGross,
    /// The part of it that tickets with one clear story account for.
    pub difference_explained: HeadAndGross,
    /// The rest.
    pub difference_open: HeadAndGross,
}

fn plain<S: serde::Serializer>(amount: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(&amount.normalize())
}
