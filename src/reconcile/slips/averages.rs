//! The average written where the gross belongs.

use super::WrongWeight;
use crate::reconcile::model::ExplanationKind;
use crate::reconcile::story::Story;
use crate::units::Decimal;

/// The weight per head, rounded as it is typed. With one head both are the same.
pub fn story(wrong: &WrongWeight<'_, '_>) -> Option<Story> {
    let head = wrong.meant.figures.head;
    let average = wrong.right.checked_div(Decimal::from(head)).filter(|_| head > 1)?;
    wrong.is_written(average).then(|| {
        let (written, right) = (wrong.seen.weight(wrong.written), wrong.seen.weight(wrong.right));
        let text = format!("the average of {written} stands where the gross belongs: {right} for {head} head");
        wrong.story(ExplanationKind::AverageForGross, text)
    })
}
