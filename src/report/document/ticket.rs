//! The tickets beside their drafts.

use chrono::NaiveDate;
use serde::Serialize;

use crate::reconcile::{Explanation, Outcome, TicketResult};
use crate::ticket::{TicketSource, TicketStatus};
use crate::units::{Head, Money, Percent, PriceBasis, Unit, Weight};

#[derive(Debug, Serialize)]
pub(super) struct TicketEntry<'a> {
    ticket: &'a str,
    source: TicketSource,
    date: Option<NaiveDate>,
    lot: Option<&'a str>,
    kind: Option<&'a str>,
    consignor: Option<&'a str>,
    buyer: Option<&'a str>,
    status: TicketStatus,
    /// Written as an amount of money is: exact, with its cents.
    price: Option<Money>,
    price_per: Option<PriceBasis>,
    value: Option<Money>,
    stated: StatedEntry,
    found: FoundEntry,
    drafts: &'a [String],
    outcome: Outcome,
    explanations: &'a [Explanation],
}

#[derive(Debug, Serialize)]
struct StatedEntry {
    head: Option<Head>,
    gross: Option<Weight>,
    unit: Option<Unit>,
    average: Option<Weight>,
    shrink_percent: Option<Percent>,
    pay_weight: Option<Weight>,
}

#[derive(Debug, Serialize)]
struct FoundEntry {
    drafts: u64,
    head: Head,
    gross: Option<Weight>,
    average: Option<Weight>,
    pay_weight: Option<Weight>,
}

pub(super) fn entry(result: &TicketResult) -> TicketEntry<'_> {
    let stated = &result.stated;
    TicketEntry {
        ticket: &stated.number,
        source: stated.source,
        date: stated.date,
        lot: stated.lot.as_deref(),
        kind: stated.kind.as_deref(),
        consignor: stated.consignor.as_deref(),
        buyer: stated.buyer.as_deref(),
        status: stated.status,
        price: stated.price.map(|price| Money(price.amount)),
        price_per: stated.price.map(|price| price.basis),
        value: result.value,
        stated: stated_entry(result),
        found: found_entry(result),
        drafts: &result.drafts,
        outcome: result.outcome,
        explanations: &result.explanations,
    }
}

fn stated_entry(result: &TicketResult) -> StatedEntry {
    let stated = &result.stated;
    let weights = [stated.gross, stated.pay_weight, stated.average];
    StatedEntry {
        head: stated.head,
        gross: stated.gross,
        unit: weights.into_iter().flatten().find_map(Weight::unit),
        average: stated.average,
        shrink_percent: stated.shrink_percent,
        pay_weight: stated.pay_weight,
    }
}

fn found_entry(result: &TicketResult) -> FoundEntry {
    let found = &result.found;
    FoundEntry {
        drafts: found.drafts,
        head: found.head,
        gross: found.gross,
        average: found.average,
        pay_weight: found.pay_weight,
    }
}
