//! What came of laying drafts and tickets side by side.

use std::iter::Sum;
use std::ops::{Add, Neg, Sub};

use serde::Serialize;

use crate::draft::Draft;
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
    /// A draft was counted twice on the paper.
    ReprintCounted,
    /// The same animals stood on the scale twice; the paper takes one of the two weights.
    ReweighCounted,
    /// A draft marked void was added in on the paper.
    VoidCounted,
    /// A draft carries another ticket's number than the paper has it on.
    DraftOnOtherTicket,
    /// The paper leaves out a draft.
    DraftLeftOff,
    /// Two tickets share one draft.
    DraftSplit,
    /// The figures of tickets stand on each other's line.
    TicketsExchanged,
    /// Two digits of a stated figure are exchanged.
    DigitsSwapped,
    /// One digit of a stated figure is wrong.
    DigitWrong,
    /// One digit of a stated figure is not there.
    DigitDropped,
    /// A stated figure has one digit too many.
    DigitAdded,
    /// The decimal point is off by one or more places.
    DecimalSlide,
    /// The weight is stated in the other unit.
    UnitMistaken,
    /// The pay weight is not less the shrink.
    ShrinkOmitted,
    /// The shrink was taken off twice, or already off the weight.
    ShrinkTwice,
    /// Another rate of shrink was taken off.
    ShrinkRate,
    /// Tare was left out of the reckoning, or taken off where it should not be.
    TareOmitted,
    /// The head were counted wrongly.
    HeadMiscounted,
    /// Animals were taken out between weighing and sale.
    HeadRemoved,
    /// The average is written where the gross belongs.
    AverageForGross,
    /// At most half a division for each draft.
    Rounding,
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
pub struct HeadAndGross {
    /// Animals; negative in a difference where the paper has fewer.
    pub head: i64,
    /// Gross weight, exact.
    #[serde(serialize_with = "plain")]
    pub gross: Decimal,
}

impl HeadAndGross {
    /// What a draft states; nothing where it states none.
    #[must_use]
    pub fn of(draft: &Draft) -> Self {
        Self {
            head: i64::from(draft.stated.head.unwrap_or_default().0),
            gross: draft.stated.gross.map(Weight::amount).unwrap_or_default(),
        }
    }

    /// Whether both are nothing.
    #[must_use]
    pub const fn is_zero(self) -> bool {
        self.head == 0 && self.gross.is_zero()
    }
}

impl Add for HeadAndGross {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { head: self.head + other.head, gross: self.gross + other.gross }
    }
}

impl Neg for HeadAndGross {
    type Output = Self;

    fn neg(self) -> Self {
        Self { head: -self.head, gross: -self.gross }
    }
}

impl Sub for HeadAndGross {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Sum for HeadAndGross {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::default(), Add::add)
    }
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
