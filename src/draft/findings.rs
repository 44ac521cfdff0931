//! What a draft can show by itself.

use super::model::{Draft, Flag, Standing};
use crate::finding::words::capital;
use crate::finding::{Finding, Place, Severity, kinds};
use crate::units::{Decimal, Head, Rounding, Weight};

kinds! {
    /// A weighing of zero.
    ///
    /// The deck was empty when the indicator stored the weight. Such a row is no draft and is counted nowhere; its number is
    /// used up all the same (common practice, no source).
    ///
    /// How we know: the weight on the row is 0.
    ///
    /// What to do: nothing, if the deck was empty then. If animals stood on it, take the weight from the paper ticket.
    ///
    /// Source: common practice, no source.
    ZERO_WEIGHT = "zero-weight";

    /// A weighing below zero.
    ///
    /// The empty deck did not stand at zero, or it was not seated. Such a row is no draft and is counted nowhere.
    ///
    /// How we know: the weight on the row is below 0.
    ///
    /// What to do: have the zero balance checked before the next weighing. Questions of accuracy go to the local
    /// weights-and-measures authority and a registered service agency.
    NEGATIVE_WEIGHT = "negative-weight";

    /// A draft without head.
    ///
    /// The row has a weight but no count of animals, so no average can be formed and its ticket cannot tie in head.
    ///
    /// How we know: the cell for head is blank or 0.
    ///
    /// What to do: read the head from the paper ticket.
    NO_HEAD = "no-head";

    /// The average on a row is not gross divided by head.
    ///
    /// One of the three figures is wrong. The row counts as it stands.
    ///
    /// How we know: gross divided by head differs from the stated average by more than its rounding.
    ///
    /// What to do: compare head and weight with the paper ticket.
    AVERAGE_DISAGREES = "average-disagrees";

    /// A weight was keyed by hand.
    ///
    /// The mark stays with the draft into the ledger. NIST Handbook 44, 2.20 S.1.12 asks for such a mark on the printed
    /// weight (from memory).
    ///
    /// How we know: the status or the remark of the row says so.
    ///
    /// What to do: nothing, if the paper ticket shows the same mark. Otherwise ask who weighed.
    ///
    /// Source: NIST Handbook 44, 2.20 S.1.12 (from memory).
    MANUAL_WEIGHT = "manual-weight";
}

/// What the drafts show one by one.
#[must_use]
pub fn of_drafts(drafts: &[Draft]) -> Vec<Finding> {
    drafts
        .iter()
        .flat_map(|draft| [odd_weight(draft), no_head(draft), average(draft), manual(draft)])
        .flatten()
        .collect()
}

/// How people find a draft: its number as written.
#[must_use]
pub fn called(draft: &Draft) -> String {
    draft
        .stated
        .transaction_text
        .as_deref()
        .map_or_else(|| "a draft without number".to_owned(), |text| format!("draft {text}"))
}

fn odd_weight(draft: &Draft) -> Option<Finding> {
    let gross = draft.stated.gross.filter(|_| draft.standing == Standing::Test)?;
    let (kind, seen) = match gross.amount() {
        amount if amount.is_zero() => (&ZERO_WEIGHT, "zero weight"),
        amount if amount.is_sign_negative() => (&NEGATIVE_WEIGHT, "a weight below zero"),
        _ => return None,
    };
    Some(
        Finding::new(kind, Severity::Note, format!("{} shows {seen}; it is not counted", capital(&called(draft))))
            .detail("An empty deck leaves such a row. Its number is used up, nothing is missing by it.")
            .evidence("weight", gross)
            .at(place(draft))
            .next_step("Nothing to do, if the deck was empty then."),
    )
}

/// A weight without head counts where it is on a ticket; without ticket too, it is taken for a test.
fn no_head(draft: &Draft) -> Option<Finding> {
    let weighs = draft.stated.gross.is_some_and(|gross| gross.amount() > Decimal::ZERO);
    let concerned = weighs && draft.flags.contains(&Flag::NoHead);
    let (title, detail) = match draft.standing {
        Standing::Counted => {
            ("has a weight but no head", "Its weight counts. Its ticket cannot tie in head until the count is known.")
        }
        Standing::Test => (
            "has a weight, but neither head nor ticket; it is not counted",
            "A weight alone is taken for a test of the scale.",
        ),
        _ => return None,
    };
    concerned.then(|| {
        Finding::new(&NO_HEAD, Severity::Caution, format!("{} {title}", capital(&called(draft))))
            .detail(detail)
            .evidence("weight", draft.stated.gross.map(|gross| gross.to_string()).unwrap_or_default())
            .at(place(draft))
            .next_step("Read the head from the paper ticket.")
    })
}

/// Half a step of the last printed digit is rounding; more is a contradiction.
fn average(draft: &Draft) -> Option<Finding> {
    let (average, gross, head) =
        (draft.stated.average?, draft.stated.gross?, draft.stated.head.filter(|head| *head != Head(0))?);
    let step = Decimal::new(1, average.amount().scale());
    let exact = gross.amount().checked_div(Decimal::from(head.0))?;
    // The indicator may cut instead of round: a whole step is allowed.
    let off = (exact - average.amount()).abs() >= step && exact != average.amount();
    (draft.counts() && off).then(|| {
        let should = Rounding { step, ..Rounding::HUNDREDTH }.apply(exact);
        Finding::new(
            &AVERAGE_DISAGREES,
            Severity::Caution,
            format!("{}: the average is not gross by head", capital(&called(draft))),
        )
        .detail("One of weight, head and average is wrong on this row. It counts as it stands.")
        .evidence("gross", gross)
        .evidence("head", head.0)
        .evidence("average stated", average)
        .evidence("gross divided by head", Weight::new(should, gross.unit()))
        .at(place(draft))
        .next_step("Compare head and weight with the paper ticket.")
    })
}

fn manual(draft: &Draft) -> Option<Finding> {
    draft.flags.contains(&Flag::ManualWeight).then(|| {
        Finding::new(&MANUAL_WEIGHT, Severity::Note, format!("{} was keyed by hand", capital(&called(draft))))
            .detail("The row carries the mark of a manual weight. The mark stays with it into the ledger.")
            .at(place(draft))
            .next_step("Nothing to do, if the paper ticket shows the same mark.")
    })
}

/// Where a draft was read.
#[must_use]
pub fn place(draft: &Draft) -> Place {
    let origin = draft.origin.as_ref();
    Place {
        export: origin.map(|origin| origin.export.clone()),
        line: origin.map(|origin| origin.line),
        draft: Some(draft.id.clone()),
        transaction: draft.stated.transaction,
        ticket: draft.stated.ticket.clone(),
        ..Place::default()
    }
}
