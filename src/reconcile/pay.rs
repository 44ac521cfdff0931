//! Pay weight and value of a ticket, by one rule.
//!
//! A pay weight is what is stated; else net, where tare or net is stated, or gross, less shrink, where a shrink is stated:
//! on the ticket, in the export, or given as an option, in that order. It is rounded to 0.01, half away from zero, once on
//! the ticket's weight where one shrink holds for all of it, else per draft.

use crate::draft::Draft;
use crate::ticket::StatedTicket;
use crate::units::{Head, Money, Percent, Rounding, Weight};

/// The weight that shrink is taken from.
#[must_use]
pub fn base(draft: &Draft) -> Option<Weight> {
    let less_tare = || draft.stated.gross?.minus(draft.stated.tare?);
    draft.stated.net.or_else(less_tare).or(draft.stated.gross)
}

/// The pay weight of some drafts under one ticket; `None` where no shrink and no pay weight is stated.
#[must_use]
pub fn of_drafts(drafts: &[&Draft], ticket: Option<Percent>, option: Option<Percent>) -> Option<Weight> {
    if drafts.is_empty() {
        return None;
    }
    if let Some(stated) = drafts.iter().map(|draft| draft.stated.pay_weight).collect::<Option<Vec<_>>>()
        && ticket.is_none()
    {
        return sum(stated.into_iter());
    }
    let shrink = |draft: &Draft| ticket.or(draft.stated.shrink_percent).or(option);
    let shrinks = drafts.iter().map(|draft| shrink(draft)).collect::<Option<Vec<_>>>()?;
    let bases = drafts.iter().map(|draft| base(draft)).collect::<Option<Vec<_>>>()?;
    let first = *shrinks.first()?;
    if shrinks.iter().all(|shrink| *shrink == first) {
        return sum(bases.into_iter())?.after_shrink(first, Rounding::HUNDREDTH);
    }
    let each = bases.into_iter().zip(shrinks).map(|(base, shrink)| base.after_shrink(shrink, Rounding::HUNDREDTH));
    sum(each.collect::<Option<Vec<_>>>()?.into_iter())
}

/// The net of some drafts, where each states a tare or a net: what is due where no shrink is agreed.
#[must_use]
pub fn net(drafts: &[&Draft]) -> Option<Weight> {
    let states_it = |draft: &&Draft| draft.stated.net.is_some() || draft.stated.tare.is_some();
    drafts.iter().all(states_it).then_some(())?;
    sum(drafts.iter().map(|draft| base(draft)).collect::<Option<Vec<_>>>()?.into_iter())
}

/// What a ticket comes to: stated, or price × pay weight.
#[must_use]
pub fn value(ticket: &StatedTicket, head: Head, pay_weight: Option<Weight>) -> Option<Money> {
    let computed = || {
        let price = ticket.price?;
        let weight = ticket.pay_weight.or(pay_weight);
        let no_weight_needed = price.basis == crate::units::PriceBasis::Head;
        price.value(ticket.head.unwrap_or(head), weight.or_else(|| no_weight_needed.then(|| Weight::zero(None)))?)
    };
    ticket.value.or_else(computed)
}

/// The sum of weights; `None` where units differ or there are none.
#[must_use]
pub fn sum(mut weights: impl Iterator<Item = Weight>) -> Option<Weight> {
    let first = weights.next()?;
    weights.try_fold(first, Weight::plus)
}
