//! Which story goes before which, and whether one stands clearly alone.

use super::model::{Explanation, ExplanationKind, Outcome};
use super::story::{Paper, Story};
use crate::units::Confidence;

/// One account of a whole difference: one story, or two that came together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Account {
    /// Its stories.
    pub stories: Vec<Story>,
}

impl Account {
    /// Of one story.
    #[must_use]
    pub fn of(story: Story) -> Self {
        Self { stories: vec![story] }
    }

    fn cost(&self) -> u32 {
        self.stories.iter().map(|story| usual(story.kind) + story.unusual).sum()
    }

    /// Whether what the paper says in this account can be what other figures of the paper show.
    fn agrees(&self, shown: Paper) -> bool {
        shown == Paper::Either || self.stories.iter().all(|story| story.paper == Paper::Either || story.paper == shown)
    }
}

/// How common a slip is: the less the more common (common practice, no source).
const fn usual(kind: ExplanationKind) -> u32 {
    match kind {
        ExplanationKind::RecoveredDraft | ExplanationKind::MissingDraft => 1,
        ExplanationKind::MissingDrafts
        | ExplanationKind::DraftOnOtherTicket
        | ExplanationKind::ReprintCounted
        | ExplanationKind::ReweighCounted
        | ExplanationKind::VoidCounted
        | ExplanationKind::TicketsExchanged
        | ExplanationKind::DigitsSwapped => 2,
        ExplanationKind::HeadMiscounted
        | ExplanationKind::DecimalSlide
        | ExplanationKind::UnitMistaken
        | ExplanationKind::TareOmitted
        | ExplanationKind::AverageForGross
        | ExplanationKind::ShrinkOmitted
        | ExplanationKind::ShrinkTwice
        | ExplanationKind::DraftLeftOff
        | ExplanationKind::DraftSplit => 3,
        ExplanationKind::DigitWrong
        | ExplanationKind::DigitDropped
        | ExplanationKind::DigitAdded
        | ExplanationKind::ShrinkRate
        | ExplanationKind::Rounding => 4,
        ExplanationKind::HeadRemoved => 5,
    }
}

/// An account that costs so much more than the best one does not stand in its way.
const CLEARLY: u32 = 8;

/// More accounts than this are not told.
const MOST_TOLD: usize = 12;

/// The outcome of a ticket that does not tie, and its explanations, best first. `shown` is what other figures of the paper,
/// such as its average, show it to say.
#[must_use]
pub fn ranked(accounts: Vec<Account>, shown: Paper, no_drafts: bool) -> (Outcome, Vec<Explanation>) {
    let mut accounts = accounts;
    if accounts.iter().any(|account| account.agrees(shown)) {
        accounts.retain(|account| account.agrees(shown));
    }
    accounts.sort_by_key(Account::cost);
    let best = accounts.first().map_or(0, Account::cost);
    accounts.retain(|account| account.cost() < best + CLEARLY);
    let outcome = match accounts.len() {
        0 if no_drafts => Outcome::NoDrafts,
        1 => Outcome::Explained,
        _ => Outcome::Open,
    };
    let sure = sure(&accounts);
    accounts.truncate(MOST_TOLD);
    (outcome, accounts.iter().flat_map(|account| explanations(account, sure)).collect())
}

/// Alone, as sure as paper and stick can make one; of several, none is more than its share.
fn sure(accounts: &[Account]) -> Confidence {
    match accounts {
        [only] if only.stories.len() > 1 => Confidence::percent(80),
        [_] => Confidence::percent(95),
        several => Confidence::percent(u8::try_from(90 / several.len().max(1)).unwrap_or(1)),
    }
}

fn explanations(account: &Account, sure: Confidence) -> Vec<Explanation> {
    let said = |story: &Story| match account.stories.as_slice() {
        [one, other] => {
            let rest = if one.is_same(story) { other } else { one };
            format!("two things came together: {}; and {}", story.text, rest.text)
        }
        _ => story.text.clone(),
    };
    let explanation = |story: &Story| Explanation {
        kind: story.kind,
        text: said(story),
        confidence: sure,
        transactions: story.transactions.clone(),
        head: story.head,
        gross: story.gross,
    };
    account.stories.iter().map(explanation).collect()
}
