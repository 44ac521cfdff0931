//! The drafts.

use serde::Serialize;

use crate::draft::{Draft, Flag, Origin, Standing};
use crate::ledger::draft_pay_weight;
use crate::units::{Head, LocalTime, Percent, Precision, TransactionNo, Unit, Weight};

#[derive(Debug, Serialize)]
pub(super) struct DraftEntry<'a> {
    id: &'a str,
    indicator: &'a str,
    transaction: Option<TransactionNo>,
    transaction_text: Option<&'a str>,
    at: Option<LocalTime>,
    at_precision: Option<Precision>,
    ticket: Option<&'a str>,
    lot: Option<&'a str>,
    head: Option<Head>,
    gross: Option<Weight>,
    tare: Option<Weight>,
    net: Option<Weight>,
    unit: Option<Unit>,
    average: Option<Weight>,
    shrink_percent: Option<Percent>,
    pay_weight: Option<Weight>,
    kind: Option<&'a str>,
    consignor: Option<&'a str>,
    buyer: Option<&'a str>,
    weigher: Option<&'a str>,
    remark: Option<&'a str>,
    standing: Standing,
    flags: &'a [Flag],
    origin: Option<&'a Origin>,
    session: Option<&'a str>,
}

/// A draft's entry; `shrink` is the one given as an option.
pub(super) fn entry(draft: &Draft, shrink: Option<Percent>) -> DraftEntry<'_> {
    let weights =
        [draft.stated.gross, draft.stated.net, draft.stated.tare, draft.stated.pay_weight, draft.stated.average];
    DraftEntry {
        id: &draft.id,
        indicator: &draft.indicator,
        transaction: draft.stated.transaction,
        transaction_text: draft.stated.transaction_text.as_deref(),
        at: draft.stated.at,
        at_precision: draft.stated.at.map(|at| at.precision),
        ticket: draft.stated.ticket.as_deref(),
        lot: draft.stated.lot.as_deref(),
        head: draft.stated.head,
        gross: draft.stated.gross,
        tare: draft.stated.tare,
        net: draft.stated.net,
        unit: weights.into_iter().flatten().find_map(Weight::unit),
        average: draft.stated.average,
        shrink_percent: draft.stated.shrink_percent,
        pay_weight: draft_pay_weight(draft, shrink),
        kind: draft.stated.kind.as_deref(),
        consignor: draft.stated.consignor.as_deref(),
        buyer: draft.stated.buyer.as_deref(),
        weigher: draft.stated.weigher.as_deref(),
        remark: draft.stated.remark.as_deref(),
        standing: draft.standing,
        flags: &draft.flags,
        origin: draft.origin.as_ref(),
        session: draft.session.as_deref(),
    }
}
