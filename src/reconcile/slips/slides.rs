//! A decimal point that slid by one or more places.

use super::WrongWeight;
use crate::reconcile::model::ExplanationKind;
use crate::reconcile::story::Story;
use crate::units::Decimal;

/// A weight ten, a hundred or a thousand times what it should be, or that part of it.
pub fn story(wrong: &WrongWeight<'_, '_>) -> Option<Story> {
    let times = |by: &Decimal, of: Decimal, is: Decimal| of.checked_mul(*by) == Some(is);
    let slid = |by: &Decimal| times(by, wrong.right, wrong.written) || times(by, wrong.written, wrong.right);
    [10, 100, 1_000].map(Decimal::from).iter().any(slid).then(|| {
        let (written, right) = (wrong.seen.weight(wrong.written), wrong.seen.weight(wrong.right));
        let text = format!("the decimal point slid on the list: {written} instead of {right}");
        wrong.story(ExplanationKind::DecimalSlide, text)
    })
}
