//! What is paid for: the rules that settle a pay weight.

use crate::draft::Draft;
use crate::reconcile::TicketResult;
use crate::reconcile::pay::of_drafts;
use crate::units::{Percent, Weight};

/// The net weight of a draft: as stated, else gross less tare where a tare is stated, else `None`.
#[must_use]
pub fn net(draft: &Draft) -> Option<Weight> {
    draft.stated.net.or_else(|| draft.stated.gross?.minus(draft.stated.tare?))
}

/// The pay weight of a draft without ticket, by the one rule of [`crate::reconcile::pay`]; `None` where neither it nor a
/// shrink is stated; `shrink` is the one given as an option.
#[must_use]
pub fn draft_pay_weight(draft: &Draft, shrink: Option<Percent>) -> Option<Weight> {
    of_drafts(&[draft], None, shrink)
}

/// The pay weight of a ticket: as its paper states it, else as its drafts give it.
#[must_use]
pub fn ticket_pay_weight(result: &TicketResult) -> Option<Weight> {
    result.stated.pay_weight.or(result.found.pay_weight)
}
