//! Single drafts that the paper counts and the stick does not, or the other way round.

use std::collections::HashMap;

use super::in_words::figures_of;
use super::judge::listed;
use super::model::{ExplanationKind, HeadAndGross};
use super::seen::Seen;
use super::story::{Paper, Story};
use crate::draft::Draft;
use crate::finding::words::drafts as count_drafts;
use crate::units::Decimal;

/// Drafts moved to or from a ticket.
#[derive(Debug, Clone)]
pub struct Move<'a> {
    /// What it adds to the sum found.
    pub by: HeadAndGross,
    /// What happened.
    pub kind: ExplanationKind,
    /// To these drafts.
    pub drafts: Vec<&'a Draft>,
    /// Whether a copy of the draft stands on the stick.
    pub copied: bool,
}

/// Of so many recovered rows at most every selection is tried.
const MOST_SELECTED: usize = 4;

/// Everything that could have been done with the drafts that lie on a ticket.
#[must_use]
pub fn of_own<'a>(seen: &Seen<'a>) -> Vec<Move<'a>> {
    let mut moves = Vec::new();
    let on = seen.on;
    let added = |kind, drafts: Vec<&'a Draft>| Move { by: sum(&drafts), kind, drafts, copied: false };
    let is_copied = |draft: &Draft| on.reprints.iter().any(|copy| copy.stated.transaction == draft.stated.transaction);
    for (place, draft) in on.counted.iter().enumerate() {
        let twice = added(ExplanationKind::ReprintCounted, vec![*draft]);
        moves.push(Move { copied: is_copied(draft), ..twice });
        let near = [place.checked_sub(1), Some(place + 1)].into_iter().flatten();
        let twin = near.filter_map(|place| on.counted.get(place)).any(|other| weighed_twice(draft, other));
        let kind = if twin { ExplanationKind::ReweighCounted } else { ExplanationKind::DraftLeftOff };
        moves.push(Move { by: -HeadAndGross::of(draft), ..added(kind, vec![*draft]) });
    }
    moves.extend(on.void.iter().map(|draft| added(ExplanationKind::VoidCounted, vec![*draft])));
    if on.reprints.len() > 1 {
        let all = added(ExplanationKind::ReprintCounted, on.reprints.clone());
        moves.push(Move { copied: true, ..all });
    }
    moves.extend(selections(&on.recovered).into_iter().map(|part| added(ExplanationKind::RecoveredDraft, part)));
    moves
}

/// A counted draft on no ticket of the list that is this ticket's.
#[must_use]
pub fn of_loose<'a>(draft: &'a Draft) -> Move<'a> {
    let kind = ExplanationKind::DraftOnOtherTicket;
    Move { by: HeadAndGross::of(draft), kind, drafts: vec![draft], copied: false }
}

/// Drafts on no ticket, by their figures.
#[must_use]
pub fn by_figures<'a>(loose: &[&'a Draft]) -> HashMap<HeadAndGross, Vec<&'a Draft>> {
    let mut index: HashMap<HeadAndGross, Vec<&Draft>> = HashMap::new();
    loose.iter().for_each(|draft| index.entry(HeadAndGross::of(draft)).or_default().push(draft));
    index
}

/// So many stories of one kind are told at most.
const MOST_TOLD: usize = 8;

/// The moves of single drafts that account for a ticket.
#[must_use]
pub fn stories(seen: &Seen<'_>, loose: &HashMap<HeadAndGross, Vec<&Draft>>) -> Vec<Story> {
    let mut fitting: Vec<Move<'_>> = of_own(seen).into_iter().filter(|moved| seen.fits(moved.by)).collect();
    if seen.is_whole() {
        let drafts = loose.get(&seen.difference()).into_iter().flatten();
        fitting.extend(drafts.take(MOST_TOLD).map(|draft| of_loose(draft)));
    }
    // Where a copy stands on the stick, it was that one.
    if fitting.iter().any(|moved| moved.copied) {
        fitting.retain(|moved| moved.copied || moved.kind != ExplanationKind::ReprintCounted);
    }
    fitting.iter().map(Move::story).collect()
}

impl Move<'_> {
    /// The move in words.
    #[must_use]
    pub fn story(&self) -> Story {
        let which = self.drafts.iter().filter_map(|draft| draft.stated.transaction).collect::<Vec<_>>();
        let draft = listed(&which).replacen("number", "draft", 1);
        let figures = figures_of(&self.drafts);
        let text = match self.kind {
            ExplanationKind::RecoveredDraft => {
                let count = count_drafts(self.drafts.len() as u64);
                format!("{count} from deleted or lost data would close it exactly ({})", listed(&which))
            }
            ExplanationKind::ReprintCounted if self.copied => {
                format!("the paper adds in a copy of {} that was printed again", listed(&which))
            }
            ExplanationKind::ReprintCounted => format!("the paper counts {draft} twice: {figures}"),
            ExplanationKind::VoidCounted => {
                format!("the paper counts {draft}, which is marked void on the stick: {figures}")
            }
            ExplanationKind::DraftOnOtherTicket => format!("{draft} is this ticket's: {figures}; {}", self.carried()),
            ExplanationKind::ReweighCounted => {
                format!("the animals of {draft} were weighed twice, and the paper leaves out this weight: {figures}")
            }
            _ => format!("the paper leaves out {draft}: {figures}"),
        };
        Story::new(self.kind, text, Paper::AsTyped).about(&self.drafts)
    }

    fn carried(&self) -> String {
        match self.drafts.first().and_then(|draft| draft.stated.ticket.as_ref()) {
            Some(ticket) => format!("its row carries {ticket}, which is not in the list"),
            None => "its row carries no ticket".to_owned(),
        }
    }
}

fn sum(drafts: &[&Draft]) -> HeadAndGross {
    drafts.iter().map(|draft| HeadAndGross::of(draft)).sum()
}

/// Every selection of a few rows; of many, each alone and all together.
fn selections<'a>(rows: &[&'a Draft]) -> Vec<Vec<&'a Draft>> {
    if rows.len() > MOST_SELECTED {
        return rows.iter().map(|row| vec![*row]).chain([rows.to_vec()]).collect();
    }
    let chosen = |set: usize| {
        let rows = rows.iter().enumerate().filter(|(place, _)| set & (1 << place) != 0);
        rows.map(|(_, row)| *row).collect()
    };
    (1..1_usize << rows.len()).map(chosen).collect()
}

/// Two drafts in a row with the same head and weights within 1 in 100 (common practice, no source).
fn weighed_twice(one: &Draft, other: &Draft) -> bool {
    let numbers = one.stated.transaction.zip(other.stated.transaction);
    let in_a_row = numbers.is_some_and(|(one, other)| one.0.abs_diff(other.0) == 1);
    let (one, other) = (HeadAndGross::of(one), HeadAndGross::of(other));
    let (low, high) = (one.gross.min(other.gross), one.gross.max(other.gross));
    in_a_row && one.head == other.head && (high - low) * Decimal::ONE_HUNDRED <= high
}
