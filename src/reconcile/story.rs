//! One story about one ticket, before it is ranked among the others.

use super::model::{ExplanationKind, HeadAndGross};
use super::seen::Seen;
use crate::draft::Draft;
use crate::units::{Head, TransactionNo, Weight};

/// What the paper itself says if a story is true.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// What was typed.
    AsTyped,
    /// What was found on the stick; it was typed wrongly.
    AsFound,
    /// It could be either.
    Either,
}

/// A story that accounts for a difference, alone or with another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Story {
    /// What happened.
    pub kind: ExplanationKind,
    /// In one sentence, without a full stop.
    pub text: String,
    /// The numbers concerned.
    pub transactions: Vec<TransactionNo>,
    /// The head concerned.
    pub head: Option<Head>,
    /// The weight concerned.
    pub gross: Option<Weight>,
    /// What the paper says.
    pub paper: Paper,
    /// How far it is from usual: added to what its kind costs.
    pub unusual: u32,
}

impl Story {
    /// A story about no draft.
    #[must_use]
    pub const fn new(kind: ExplanationKind, text: String, paper: Paper) -> Self {
        Self { kind, text, transactions: Vec::new(), head: None, gross: None, paper, unusual: 0 }
    }

    /// The same, about these drafts.
    #[must_use]
    pub fn about(self, drafts: &[&Draft]) -> Self {
        let transactions = drafts.iter().filter_map(|draft| draft.stated.transaction).collect();
        let head = drafts.iter().fold(Head(0), |sum, draft| sum.plus(draft.stated.head.unwrap_or_default()));
        let gross = super::pay::sum(drafts.iter().filter_map(|draft| draft.stated.gross));
        Self { transactions, head: Some(head), gross, ..self }
    }

    /// The same, with figures that no row states; only those the ticket states.
    #[must_use]
    pub fn of_figures(self, seen: &Seen<'_>, part: HeadAndGross) -> Self {
        let head = seen.stated.head.and_then(|_| u32::try_from(part.head.abs()).ok()).map(Head);
        let gross = seen.stated.gross.map(|_| seen.weight(part.gross.abs()));
        Self { head, gross, ..self }
    }

    /// Whether it says the same as another.
    #[must_use]
    pub fn is_same(&self, other: &Self) -> bool {
        (self.kind, &self.transactions, self.head, self.gross)
            == (other.kind, &other.transactions, other.head, other.gross)
    }
}
