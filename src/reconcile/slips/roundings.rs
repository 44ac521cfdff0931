//! A weight that was rounded on paper: at most half a division of the scale for each draft.

use super::WrongWeight;
use crate::reconcile::model::ExplanationKind;
use crate::reconcile::story::Story;
use crate::units::Decimal;

/// A difference that rounding each draft could make.
pub fn story(wrong: &WrongWeight<'_, '_>) -> Option<Story> {
    let apart = (wrong.written - wrong.right).abs();
    let drafts = wrong.meant.drafts;
    let most = Decimal::from(drafts as u64).checked_mul(wrong.division)?;
    (apart + apart <= most).then(|| {
        let (apart, division) = (wrong.seen.weight(apart), wrong.seen.weight(wrong.division));
        let drafts = crate::finding::words::drafts(drafts as u64);
        let text = format!("{apart} is no more than rounding by half the division of {division} in {drafts}");
        wrong.story(ExplanationKind::Rounding, text)
    })
}
