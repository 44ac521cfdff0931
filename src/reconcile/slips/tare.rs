//! The net written for the gross: tare was taken off where it should not be.

use super::WrongWeight;
use crate::reconcile::model::ExplanationKind;
use crate::reconcile::story::Story;
use crate::units::Decimal;

/// A weight that is the gross less the tare of its drafts.
pub fn story(wrong: &WrongWeight<'_, '_>) -> Option<Story> {
    let tare = wrong.meant.tare;
    (tare > Decimal::ZERO && wrong.right - tare == wrong.written).then(|| {
        let (written, right) = (wrong.seen.weight(wrong.written), wrong.seen.weight(wrong.right));
        let tare = wrong.seen.weight(tare);
        let text = format!("the tare of {tare} is off already: {written} is the net, the gross is {right}");
        wrong.story(ExplanationKind::TareOmitted, text)
    })
}
