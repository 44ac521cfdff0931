//! Slips in which the stick is right and the list was typed or reckoned wrongly, one file for each family.

mod averages;
mod digits;
mod head_counts;
mod roundings;
mod shrink;
mod slides;
mod tare;
mod units;

pub use digits::before as before_a_slip;
pub use head_counts::MISCOUNT;
pub use shrink::USUAL_RATES;
pub use units::in_other_unit;

use super::model::{ExplanationKind, HeadAndGross};
use super::seen::{Seen, View};
use super::story::{Paper, Story};
use crate::units::{Decimal, Head, Percent, Rounding, TieRule};

/// The sum that was to be typed.
#[derive(Debug, Clone, Copy)]
pub struct Meant {
    /// Head and weight.
    pub figures: HeadAndGross,
    /// The tare of its drafts.
    pub tare: Decimal,
    /// How many drafts it adds up.
    pub drafts: usize,
}

impl Meant {
    /// What was found of a ticket.
    #[must_use]
    pub fn found(seen: &Seen<'_>) -> Self {
        Self { figures: seen.found, tare: seen.tare(), drafts: seen.on.counted.len() }
    }
}

/// A weight as it should be and as it is typed, and what is known beside it.
#[derive(Debug, Clone, Copy)]
struct WrongWeight<'s, 'a> {
    seen: &'s Seen<'a>,
    meant: Meant,
    right: Decimal,
    written: Decimal,
    division: Decimal,
    shrink: Option<Percent>,
}

/// The single slips by which what was meant became what is typed; only one of head and weight may be wrong.
#[must_use]
pub fn stories(view: &View<'_>, seen: &Seen<'_>, meant: Meant) -> Vec<Story> {
    let (right, written) = (meant.figures, seen.typed);
    match (right.head == written.head, right.gross == written.gross) {
        (false, true) if seen.stated.head.is_some() => head_counts::stories(right.head, written.head),
        (true, false) if seen.stated.gross.is_some() && right.gross > Decimal::ZERO => of_weight(&WrongWeight {
            seen,
            meant,
            right: right.gross,
            written: written.gross,
            division: view.division,
            shrink: seen.stated.shrink_percent,
        }),
        _ => Vec::new(),
    }
}

fn of_weight(wrong: &WrongWeight<'_, '_>) -> Vec<Story> {
    let by_hand = roundings::story(wrong).or_else(|| slides::story(wrong));
    let mut stories: Vec<Story> = match by_hand {
        Some(story) => vec![story],
        None => {
            let (written, right) = (wrong.seen.weight(wrong.written), wrong.seen.weight(wrong.right));
            let said = |what: &str| format!("{what} on the list: {written} instead of {right}");
            let slips = digits::stories(wrong.right, wrong.written);
            slips.into_iter().map(|(kind, what)| wrong.story(kind, said(what))).collect()
        }
    };
    stories.extend(units::story(wrong));
    stories.extend(averages::story(wrong));
    stories.extend(tare::story(wrong));
    stories.extend(shrink::stories(wrong));
    stories
}

impl WrongWeight<'_, '_> {
    fn story(&self, kind: ExplanationKind, text: String) -> Story {
        let paper = match kind {
            ExplanationKind::Rounding
            | ExplanationKind::TareOmitted
            | ExplanationKind::ShrinkRate
            | ExplanationKind::ShrinkTwice => Paper::Either,
            _ => Paper::AsFound,
        };
        let unusual = if text.contains(digits::APART) { digits::APART_COSTS } else { 0 };
        Story { gross: Some(self.seen.weight(self.right)), unusual, ..Story::new(kind, text, paper) }
    }

    /// Whether the weight typed is this one, exact or rounded to the places that are typed.
    fn is_written(&self, exact: Decimal) -> bool {
        rounds_to(self.written, exact)
    }
}

/// A story about a wrong head count.
fn of_head(kind: ExplanationKind, text: String, right: i64) -> Story {
    let paper = if kind == ExplanationKind::HeadMiscounted { Paper::Either } else { Paper::AsFound };
    let unusual = if text.contains(digits::APART) { digits::APART_COSTS } else { 0 };
    Story { head: u32::try_from(right).ok().map(Head), unusual, ..Story::new(kind, text, paper) }
}

/// Whether a figure is another one, rounded to the whole units, tenths or hundredths that it shows.
#[must_use]
pub fn rounds_to(written: Decimal, exact: Decimal) -> bool {
    let step = Decimal::new(1, written.normalize().scale().min(2));
    Rounding { step, tie: TieRule::HalfAwayFromZero }.apply(exact) == written
}
