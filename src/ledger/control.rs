//! Control totals: the first route, over the drafts and tickets of the run.

use std::collections::BTreeMap;

use serde::Serialize;

use super::rows::{DraftRow, Rows, TicketRow};
use crate::day::Day;
use crate::draft::Standing;
use crate::sequence::{Event, EventKind};
use crate::ticket::TicketStatus;
use crate::units::{Decimal, Money, TransactionNo, Unit, Weight};

/// The sums of one unit over the counted drafts and the tickets of the period.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Control {
    /// The unit; weights of different units are never added. `None` for figures whose unit is stated nowhere.
    pub unit: Option<Unit>,
    /// Counted drafts.
    pub records: u64,
    /// Their head, where stated.
    pub head: u64,
    /// Their gross weight, where stated; `None` where no draft states one.
    pub gross: Option<Weight>,
    /// Their net weight; `None` unless all have one.
    pub net: Option<Weight>,
    /// The pay weight of the tickets and of the drafts without ticket; `None` unless all have one.
    pub pay_weight: Option<Weight>,
    /// The value of the valid tickets; `None` unless all have one, and without tickets.
    pub value: Option<Money>,
    /// The number of the first draft, in the order of weighing.
    pub first_transaction: Option<TransactionNo>,
    /// The number of the last draft, in the order of weighing.
    pub last_transaction: Option<TransactionNo>,
    /// Numbers lost in the period's gaps. The only figure the second route has no sight of.
    pub missing: u64,
    /// Void drafts and void tickets.
    pub voids: u64,
    /// The plain sum of the drafts' numbers, compared only: it means nothing.
    pub transaction_hash_total: u128,
    /// Whether a second, independent route came to the same figures.
    pub proved: bool,
}

/// The control totals of a run, one entry per unit, not yet proved.
#[must_use]
pub fn totals(day: &Day) -> Vec<Control> {
    totals_of(day, &Rows::of(day))
}

/// The control totals of the rows of a run.
pub(super) fn totals_of(day: &Day, rows: &Rows<'_>) -> Vec<Control> {
    let units: Vec<_> =
        [Some(Unit::Pound), Some(Unit::Kilogram), None].into_iter().filter(|unit| has_unit(rows, *unit)).collect();
    let with_missing =
        |unit: &Option<Unit>| Control { missing: missing(day, rows, &units, *unit), ..of_unit(rows, *unit) };
    units.iter().map(with_missing).collect()
}

fn has_unit(rows: &Rows<'_>, unit: Option<Unit>) -> bool {
    let in_sums = |standing| matches!(standing, Standing::Counted | Standing::Void);
    rows.drafts.iter().any(|row| row.unit == unit && in_sums(row.draft.standing))
        || rows.tickets.iter().any(|row| row.unit == unit)
}

fn of_unit(rows: &Rows<'_>, unit: Option<Unit>) -> Control {
    let drafts: Vec<_> = rows.counted().filter(|row| row.unit == unit).collect();
    let tickets: Vec<_> = rows.tickets.iter().filter(|row| row.unit == unit).collect();
    let numbers: Vec<_> = drafts.iter().filter_map(|row| row.draft.stated.transaction).collect();
    Control {
        unit,
        records: count(drafts.len()),
        head: drafts.iter().filter_map(|row| row.draft.stated.head).map(|head| u64::from(head.0)).sum(),
        gross: gross(&drafts, unit),
        net: sum_of_all(drafts.iter().map(|row| row.net.map(Weight::amount))).map(|sum| Weight::new(sum, unit)),
        pay_weight: pay_weight(&drafts, &tickets, unit),
        value: value(&tickets),
        first_transaction: numbers.first().copied(),
        last_transaction: numbers.last().copied(),
        missing: 0,
        voids: voids(rows, unit),
        transaction_hash_total: numbers.iter().map(|number| u128::from(number.0)).sum(),
        proved: false,
    }
}

fn gross(drafts: &[&DraftRow<'_>], unit: Option<Unit>) -> Option<Weight> {
    let stated = drafts.iter().filter_map(|row| row.draft.stated.gross).map(|gross| Some(gross.amount()));
    Some(Weight::new(sum_of_all(stated)?, unit))
}

fn pay_weight(drafts: &[&DraftRow<'_>], tickets: &[&TicketRow<'_>], unit: Option<Unit>) -> Option<Weight> {
    let on_paper = tickets.iter().filter(|row| row.in_totals).map(|row| row.pay_weight);
    let without_ticket = drafts.iter().filter(|row| row.on_ticket.is_none()).map(|row| row.pay_weight);
    let all = on_paper.chain(without_ticket).map(|weight| weight.map(Weight::amount));
    Some(Weight::new(sum_of_all(all)?, unit))
}

fn value(tickets: &[&TicketRow<'_>]) -> Option<Money> {
    let sold = tickets.iter().filter(|row| row.is_sold());
    sum_of_all(sold.map(|row| row.ticket.value.map(|value| value.0))).map(Money)
}

/// The exact sum; `None` where there is nothing to add, where one is unknown, or where it grows past what is exact.
fn sum_of_all(mut amounts: impl Iterator<Item = Option<Decimal>>) -> Option<Decimal> {
    let first = amounts.next()??;
    amounts.try_fold(first, |sum, amount| sum.checked_add(amount?))
}

fn voids(rows: &Rows<'_>, unit: Option<Unit>) -> u64 {
    let drafts = rows.drafts.iter().filter(|row| row.unit == unit && row.draft.standing == Standing::Void).count();
    let is_void = |row: &&TicketRow<'_>| row.unit == unit && row.ticket.stated.status == TicketStatus::Void;
    count(drafts).saturating_add(count(rows.tickets.iter().filter(is_void).count()))
}

/// Numbers lost in the gaps of this unit. A gap at the edge of the period is counted in it: one number too many asked
/// about harms less than one forgotten. A gap between drafts of no unit in the sums goes to the first unit.
fn missing(day: &Day, rows: &Rows<'_>, units: &[Option<Unit>], unit: Option<Unit>) -> u64 {
    let known: BTreeMap<_, _> = rows.drafts.iter().map(|row| (row.draft.id.as_str(), row.unit)).collect();
    let unit_of = |gap: &Event| {
        let neighbours = [&gap.after_draft, &gap.before_draft].into_iter().flatten();
        let mut inside = neighbours.filter_map(|id| known.get(id.as_str())).peekable();
        inside.peek()?;
        inside.copied().find(|unit| units.contains(unit)).or_else(|| units.first().copied())
    };
    let gaps = day.sequence.iter().filter(|event| event.kind == EventKind::Gap);
    gaps.filter(|gap| unit_of(gap) == Some(unit)).fold(0, |sum, gap| sum.saturating_add(gap.missing))
}

fn count(length: usize) -> u64 {
    u64::try_from(length).unwrap_or(u64::MAX)
}
