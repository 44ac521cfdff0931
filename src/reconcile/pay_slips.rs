//! Pay weights that do not follow from weight, tare and shrink, on tickets whose head and weight tie.

use super::model::{Explanation, ExplanationKind};
use super::seen::Seen;
use super::slips::{USUAL_RATES, rounds_to};
use crate::units::{Confidence, Decimal, Percent, Rounding, Weight};

/// How the stated pay weight came about, if it is not the one that follows. `option` is a shrink given for the whole day.
#[must_use]
pub fn explanations(seen: &Seen<'_>, due: Option<Weight>, option: Option<Percent>) -> Vec<Explanation> {
    let stated = seen.stated.pay_weight.map(Weight::amount);
    let (Some(stated), Some(due)) = (stated, due.map(Weight::amount)) else { return Vec::new() };
    if stated == due {
        return Vec::new();
    }
    let net = seen.found.gross - seen.tare();
    let drafts_rate = seen.on.counted.first().and_then(|draft| draft.stated.shrink_percent);
    let rate = seen.stated.shrink_percent.or(drafts_rate).or(option).unwrap_or(Percent(Decimal::ZERO));
    let fits = |weight: Option<Decimal>| weight.is_some_and(|weight| rounds_to(stated, weight));
    let (has_shrink, has_tare) = (rate.0 > Decimal::ZERO, seen.tare() > Decimal::ZERO);
    let due = seen.weight(due);
    let mut all = Vec::new();
    let mut add = |fits: bool, kind, text: String| {
        if fits {
            all.push((kind, text));
        }
    };
    let omitted = format!("the shrink of {rate} was not taken off: the pay weight is {due}");
    add(has_shrink && fits(Some(net)), ExplanationKind::ShrinkOmitted, omitted);
    let twice = shrunk(net, rate).and_then(|once| shrunk(once, rate));
    let text = format!("the shrink of {rate} was taken off twice: the pay weight is {due}");
    add(has_shrink && fits(twice), ExplanationKind::ShrinkTwice, text);
    let rates = USUAL_RATES.map(|tenths| Percent(Decimal::new(tenths, 1)));
    let other = rates.into_iter().filter(|other| *other != rate).find(|other| fits(shrunk(net, *other)));
    if let Some(other) = other.filter(|_| has_shrink) {
        let text = format!("a shrink of {other} was taken off instead of {rate}: the pay weight is {due}");
        add(true, ExplanationKind::ShrinkRate, text);
    }
    let text = format!("the tare of {} was not taken off: the pay weight is {due}", seen.weight(seen.tare()));
    add(has_tare && fits(shrunk(seen.found.gross, rate)), ExplanationKind::TareOmitted, text);
    let sure = Confidence::percent(if all.len() == 1 { 95 } else { 45 });
    let explanation = |(kind, text)| Explanation {
        kind,
        text,
        confidence: sure,
        transactions: Vec::new(),
        head: None,
        gross: Some(seen.weight(net)),
    };
    all.into_iter().map(explanation).collect()
}

fn shrunk(weight: Decimal, rate: Percent) -> Option<Decimal> {
    Weight::new(weight, None).after_shrink(rate, Rounding::HUNDREDTH).map(Weight::amount)
}
