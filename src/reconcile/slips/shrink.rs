//! A weight off which shrink was taken already: the ticket's own, or another rate.

use super::WrongWeight;
use crate::reconcile::model::ExplanationKind;
use crate::reconcile::story::Story;
use crate::units::{Decimal, Percent};

/// Rates of shrink that are agreed, in tenths of a percent (common practice, no source).
pub const USUAL_RATES: [i64; 12] = [5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60];

/// Shrink is taken off a pay weight, not off the gross: where it was, it would be taken twice.
pub fn stories(wrong: &WrongWeight<'_, '_>) -> Vec<Story> {
    let mut stories = Vec::new();
    let right = wrong.seen.weight(wrong.right);
    let stated = wrong.shrink.filter(|rate| is_off(wrong, *rate));
    stories.extend(stated.map(|rate| {
        let text =
            format!("the shrink of {rate} is off the weight already, and would come off twice: the gross is {right}");
        wrong.story(ExplanationKind::ShrinkTwice, text)
    }));
    // Half a percent is left out here: it cannot be told from other small slips.
    let rates = USUAL_RATES.into_iter().skip(1).map(|tenths| Percent(Decimal::new(tenths, 1)));
    let other =
        rates.filter(|rate| wrong.shrink.is_none_or(|stated| stated != *rate)).find(|rate| is_off(wrong, *rate));
    stories.extend(other.map(|rate| {
        let text = format!("a shrink of {rate} is off the weight already: the gross is {right}");
        wrong.story(ExplanationKind::ShrinkRate, text)
    }));
    stories
}

fn is_off(wrong: &WrongWeight<'_, '_>, rate: Percent) -> bool {
    let kept = (Decimal::ONE_HUNDRED - rate.0).checked_div(Decimal::ONE_HUNDRED);
    let exact = kept.and_then(|kept| wrong.right.checked_mul(kept));
    rate.0 > Decimal::ZERO && exact.is_some_and(|exact| wrong.is_written(exact))
}
