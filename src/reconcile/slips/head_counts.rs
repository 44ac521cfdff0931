//! A head count that is wrong by one or two, or by a slip of the fingers.

use super::{digits, of_head};
use crate::reconcile::model::ExplanationKind;
use crate::reconcile::story::Story;
use crate::units::Decimal;

/// Whoever counts animals through a gate is wrong by so many at most (common practice, no source).
pub const MISCOUNT: i64 = 2;

/// How the right count became the written one.
#[must_use]
pub fn stories(right: i64, written: i64) -> Vec<Story> {
    if (right - written).abs() <= MISCOUNT {
        let text = format!("the head were miscounted: {written} instead of {right}");
        return vec![of_head(ExplanationKind::HeadMiscounted, text, right)];
    }
    let slips = digits::stories(Decimal::from(right), Decimal::from(written));
    let said = |what: &str| format!("{what} on the list: {written} instead of {right} head");
    slips.into_iter().map(|(kind, what)| of_head(kind, said(what), right)).collect()
}
