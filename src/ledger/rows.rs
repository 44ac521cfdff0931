//! The rows of the ledger: the drafts and tickets of the period, each with what belongs beside it.

use std::collections::{BTreeMap, BTreeSet};

use crate::day::Day;
use crate::draft::Draft;
use crate::reconcile::TicketResult;
use crate::ticket::{TicketSource, TicketStatus};
use crate::units::{Decimal, Percent, Unit, Weight};

use super::pay::{draft_pay_weight, net, ticket_pay_weight};

/// A draft of the period, whatever its standing.
#[derive(Debug, Clone, Copy)]
pub struct DraftRow<'a> {
    /// The draft.
    pub draft: &'a Draft,
    /// The unit of all its weights; `None` where none is stated.
    pub unit: Option<Unit>,
    /// Its net weight, where there is one.
    pub net: Option<Weight>,
    /// What is paid for, where that follows from what is stated.
    pub pay_weight: Option<Weight>,
    /// The ticket it was settled on; `None` for a draft without ticket.
    pub on_ticket: Option<&'a str>,
    /// What people call the export it was read from.
    pub export: Option<&'a str>,
}

/// A ticket of the period beside its drafts.
#[derive(Debug, Clone, Copy)]
pub struct TicketRow<'a> {
    /// The ticket.
    pub ticket: &'a TicketResult,
    /// The unit of all its weights; where it states none, that of the drafts if they have only one.
    pub unit: Option<Unit>,
    /// What is paid for, where that follows from what is stated.
    pub pay_weight: Option<Weight>,
    /// Head stated less head found; `None` for a void ticket and where no head is stated.
    pub head_difference: Option<i64>,
    /// Gross stated less gross found, in the row's unit; `None` as for head, and where the units differ.
    pub gross_difference: Option<Decimal>,
    /// Whether its pay weight goes into the control totals: not if it is void, and not if the export alone states it
    /// though a ticket list was given, because then the same animals would be added twice.
    pub in_totals: bool,
}

impl TicketRow<'_> {
    /// Whether it must have a value before the value of all can be summed.
    #[must_use]
    pub fn is_sold(&self) -> bool {
        self.in_totals && self.ticket.stated.status == TicketStatus::Valid
    }
}

/// The rows of both lists, in the order of weighing and of the ticket list.
#[derive(Debug)]
pub struct Rows<'a> {
    /// The drafts of the period.
    pub drafts: Vec<DraftRow<'a>>,
    /// The tickets of the period.
    pub tickets: Vec<TicketRow<'a>>,
}

impl<'a> Rows<'a> {
    /// The rows of a run.
    #[must_use]
    pub fn of(day: &'a Day) -> Self {
        let counts_on_paper = counts_on_paper(day);
        let mut on_ticket = BTreeMap::new();
        for result in day.tickets.iter().filter(|result| counts_on_paper(result)) {
            for id in &result.drafts {
                on_ticket.entry(id.as_str()).or_insert(number(result));
            }
        }
        let exports: BTreeMap<_, _> = day.exports.iter().map(|export| (export.id.as_str(), export.name())).collect();
        let drafts: Vec<_> = day
            .drafts
            .iter()
            .filter(|draft| day.in_period.contains(&draft.id))
            .map(|draft| draft_row(draft, day.shrink, &on_ticket, &exports))
            .collect();
        let only_unit = only_unit(&drafts);
        let tickets = day.tickets.iter().map(|result| ticket_row(result, only_unit, counts_on_paper(result))).collect();
        Self { drafts, tickets }
    }

    /// The rows of drafts that count in sums.
    pub fn counted(&self) -> impl Iterator<Item = &DraftRow<'a>> {
        self.drafts.iter().filter(|row| row.draft.counts())
    }
}

/// How a ticket without number is called where an empty cell would say that there is no ticket.
const UNNUMBERED: &str = "(no number)";

fn number(result: &TicketResult) -> &str {
    let number = result.stated.number.as_str();
    if number.is_empty() { UNNUMBERED } else { number }
}

/// Tells the tickets whose drafts and pay weight are settled by them from those that only repeat or void.
fn counts_on_paper(day: &Day) -> impl Fn(&TicketResult) -> bool + use<> {
    let any_typed = day.tickets.iter().any(|result| result.stated.source == TicketSource::Stated);
    move |result| {
        let typed = result.stated.source == TicketSource::Stated;
        result.stated.status != TicketStatus::Void && (typed || !any_typed)
    }
}

fn draft_row<'a>(
    draft: &'a Draft,
    shrink: Option<Percent>,
    on_ticket: &BTreeMap<&'a str, &'a str>,
    exports: &BTreeMap<&'a str, &'a str>,
) -> DraftRow<'a> {
    let unit = draft_unit(draft);
    DraftRow {
        draft,
        unit,
        net: net(draft).and_then(|weight| in_unit(weight, unit)),
        pay_weight: draft_pay_weight(draft, shrink).and_then(|weight| in_unit(weight, unit)),
        on_ticket: on_ticket.get(draft.id.as_str()).copied(),
        export: draft.origin.as_ref().map(|at| exports.get(at.export.as_str()).copied().unwrap_or(&at.export)),
    }
}

fn ticket_row(ticket: &TicketResult, only_unit: Option<Unit>, in_totals: bool) -> TicketRow<'_> {
    let (stated, found) = (&ticket.stated, &ticket.found);
    let pay_weight = ticket_pay_weight(ticket);
    let unit = [found.gross, stated.gross, pay_weight].into_iter().flatten().find_map(Weight::unit).or(only_unit);
    let comparable = stated.status != TicketStatus::Void;
    let found_gross = found.gross.or_else(|| (found.drafts == 0).then_some(Weight::zero(unit)));
    let gross_difference = || Some(stated.gross?.or_unit(unit).minus(found_gross?.or_unit(unit))?.amount());
    let head_difference = || Some(i64::from(stated.head?.0).saturating_sub(i64::from(found.head.0)));
    TicketRow {
        ticket,
        unit,
        pay_weight: pay_weight.and_then(|weight| in_unit(weight, unit)),
        head_difference: if comparable { head_difference() } else { None },
        gross_difference: if comparable { gross_difference() } else { None },
        in_totals,
    }
}

/// The unit of a draft's weights: the first one stated.
fn draft_unit(draft: &Draft) -> Option<Unit> {
    [draft.stated.gross, draft.stated.net, draft.stated.tare, draft.stated.pay_weight, draft.stated.average]
        .into_iter()
        .flatten()
        .find_map(Weight::unit)
}

/// The unit of the drafts, if they have only one.
fn only_unit(drafts: &[DraftRow<'_>]) -> Option<Unit> {
    let units: BTreeSet<_> = drafts.iter().filter_map(|row| row.unit).collect();
    if units.len() == 1 { units.first().copied() } else { None }
}

/// A weight, if it may stand under the row's unit: weights are never converted and never shown under another unit.
pub(super) fn in_unit(weight: Weight, unit: Option<Unit>) -> Option<Weight> {
    let weight = weight.or_unit(unit);
    (weight.unit() == unit).then_some(weight)
}
