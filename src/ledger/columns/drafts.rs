//! The columns of the list of drafts.

use std::borrow::Cow;

use super::CellType::{Decimal, Text, Time, Whole};
use super::{Cell, Column, HEAD, PERCENT, ROW_UNIT, column, word};
use crate::ledger::rows::DraftRow;
use crate::units::LocalTime;

/// The columns of `ledger-drafts`, from left to right. The first one's name marks the file as this program's own.
#[must_use]
pub fn draft_columns<'a>() -> Vec<Column<DraftRow<'a>>> {
    names().into_iter().chain(figures()).chain(marks()).chain(origin()).collect()
}

fn names<'a>() -> [Column<DraftRow<'a>>; 8] {
    [
        column(
            "counterfoil_draft",
            "The draft's own id; the same in every run over the same data.",
            Text,
            None,
            |row| Cell::text(Some(&row.draft.id)),
        ),
        column("indicator", "The indicator that weighed it.", Text, None, |row| Cell::text(Some(&row.draft.indicator))),
        column("transaction", "The number the indicator gave the weighing.", Whole, None, |row| {
            Cell::whole(row.draft.stated.transaction.map(|number| number.0))
        }),
        column("transaction_text", "That number as the export has it.", Text, None, |row| {
            Cell::own(&row.draft.stated.transaction_text)
        }),
        column("at", "When, by the indicator's clock, which has no zone.", Time, None, |row| time(row.draft.stated.at)),
        column("at_precision", "How finely the time was stated: second, minute or day.", Text, None, |row| {
            row.draft.stated.at.map_or(Cell::Empty, |at| word(at.precision))
        }),
        column("on_ticket", "The ticket it was settled on; empty for a draft without ticket.", Text, None, |row| {
            Cell::text(row.on_ticket)
        }),
        column("ticket", "The ticket as the export has it.", Text, None, |row| Cell::own(&row.draft.stated.ticket)),
    ]
}

fn figures<'a>() -> [Column<DraftRow<'a>>; 9] {
    [
        column("lot", "The lot.", Text, None, |row| Cell::own(&row.draft.stated.lot)),
        column("head", "Animals on the scale.", Whole, HEAD, |row| {
            Cell::whole(row.draft.stated.head.map(|head| head.0))
        }),
        column("gross", "Weight as weighed, before any shrink.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.draft.stated.gross, row.unit)
        }),
        column("unit", "The unit of every weight of this row; empty where none is stated.", Text, None, |row| {
            Cell::unit(row.unit)
        }),
        column("tare", "Weight of what is not animal.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.draft.stated.tare, row.unit)
        }),
        column("net", "Gross less tare, as stated or worked out from a stated tare.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.net, row.unit)
        }),
        column("average", "Weight per head as the indicator states it.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.draft.stated.average, row.unit)
        }),
        column("shrink_percent", "Percentage taken off by agreement, as stated.", Decimal, PERCENT, |row| {
            Cell::decimal(row.draft.stated.shrink_percent.map(|shrink| shrink.0))
        }),
        column(
            "pay_weight",
            "Weight that is paid for: as stated, else net or gross less the stated shrink, to 0.01, half away from zero.",
            Decimal,
            ROW_UNIT,
            |row| Cell::weight(row.pay_weight, row.unit),
        ),
    ]
}

fn marks<'a>() -> [Column<DraftRow<'a>>; 8] {
    [
        column("kind", "What animals.", Text, None, |row| Cell::own(&row.draft.stated.kind)),
        column("consignor", "Who sends them.", Text, None, |row| Cell::own(&row.draft.stated.consignor)),
        column("buyer", "Who buys them.", Text, None, |row| Cell::own(&row.draft.stated.buyer)),
        column("weigher", "Who weighed.", Text, None, |row| Cell::own(&row.draft.stated.weigher)),
        column("remark", "Free text of the export.", Text, None, |row| Cell::own(&row.draft.stated.remark)),
        column("standing", "What it counts as; only rows that say counted are in the totals.", Text, None, |row| {
            word(row.draft.standing)
        }),
        column("flags", "Marks that stay with it, with a blank between.", Text, None, |row| flags(row)),
        column("session", "The stretch of numbers it belongs to.", Text, None, |row| Cell::own(&row.draft.session)),
    ]
}

fn origin<'a>() -> [Column<DraftRow<'a>>; 4] {
    [
        column("export", "The export it was read from.", Text, None, |row| Cell::text(row.export)),
        column("line", "Its line in that export, counted from 1.", Whole, None, |row| {
            Cell::whole(row.draft.origin.as_ref().map(|at| at.line.0))
        }),
        column("byte", "The byte of that export its row begins at, counted from 0.", Whole, Some("byte"), |row| {
            Cell::whole(row.draft.origin.as_ref().map(|at| at.byte))
        }),
        column("medium_offset", "The byte of the stick its row begins at, where known.", Whole, Some("byte"), |row| {
            Cell::whole(row.draft.origin.as_ref().and_then(|at| at.medium_offset))
        }),
    ]
}

fn time(at: Option<LocalTime>) -> Cell<'static> {
    at.map_or(Cell::Empty, |at| Cell::Time(at.at))
}

fn flags<'r>(row: &'r DraftRow<'_>) -> Cell<'r> {
    let words: Vec<_> = row.draft.flags.iter().filter_map(|flag| text(word(flag))).collect();
    if words.is_empty() { Cell::Empty } else { Cell::Text(Cow::Owned(words.join(" "))) }
}

fn text(cell: Cell<'_>) -> Option<String> {
    match cell {
        Cell::Text(text) => Some(text.into_owned()),
        _ => None,
    }
}
