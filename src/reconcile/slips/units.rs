//! A weight stated in the other unit: kilograms for pounds, or pounds for kilograms.

use super::WrongWeight;
use crate::reconcile::model::ExplanationKind;
use crate::reconcile::story::Story;
use crate::units::{Decimal, Unit, Weight};

/// The same weight in the other unit, rounded as it is typed; 1 lb = 0.45359237 kg exactly (UCUM).
pub fn story(wrong: &WrongWeight<'_, '_>) -> Option<Story> {
    let pound = Unit::Pound.in_kilograms();
    let in_kilograms = wrong.right.checked_mul(pound);
    let in_pounds = wrong.right.checked_div(pound);
    let turned = [(Unit::Kilogram, in_kilograms), (Unit::Pound, in_pounds)];
    let other = turned.into_iter().filter(|(unit, _)| wrong.seen.unit != Some(*unit));
    let fits = other.filter(|(_, exact)| exact.is_some_and(|exact| wrong.is_written(exact))).map(|(unit, _)| unit);
    let unit: Unit = fits.into_iter().next()?;
    let right = wrong.seen.weight(wrong.right);
    let text =
        format!("the weight is written in the other unit: {} are {right}", Weight::new(wrong.written, Some(unit)));
    Some(wrong.story(ExplanationKind::UnitMistaken, text))
}

/// A weight turned into the other unit, to 0.01; `None` where no unit is known.
#[must_use]
pub fn in_other_unit(amount: Decimal, unit: Option<Unit>) -> Option<Decimal> {
    let pound = Unit::Pound.in_kilograms();
    match unit? {
        Unit::Pound => amount.checked_div(pound),
        Unit::Kilogram => amount.checked_mul(pound),
    }
}
