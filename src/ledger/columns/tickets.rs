//! The columns of the list of tickets.

use super::CellType::{Date, Decimal, Text, Whole, YesNo};
use super::{Cell, Column, HEAD, MONEY, PERCENT, ROW_UNIT, column, word};
use crate::ledger::rows::TicketRow;

/// The columns of `ledger-tickets`, from left to right. The first one's name marks the file as this program's own.
#[must_use]
pub fn ticket_columns<'a>() -> Vec<Column<TicketRow<'a>>> {
    names().into_iter().chain(stated()).chain(found()).chain(paid()).chain(settled()).collect()
}

fn names<'a>() -> [Column<TicketRow<'a>>; 11] {
    [
        column("counterfoil_ticket", "The ticket's number, as written.", Text, None, |row| {
            Cell::text(Some(&row.ticket.stated.number))
        }),
        column("source", "Who states it: stated (the ticket list) or export-total.", Text, None, |row| {
            word(row.ticket.stated.source)
        }),
        column("date", "The day.", Date, None, |row| row.ticket.stated.date.map_or(Cell::Empty, Cell::Date)),
        column("lot", "The lot.", Text, None, |row| Cell::own(&row.ticket.stated.lot)),
        column("kind", "What animals.", Text, None, |row| Cell::own(&row.ticket.stated.kind)),
        column("consignor", "Who sends them.", Text, None, |row| Cell::own(&row.ticket.stated.consignor)),
        column("buyer", "Who buys them.", Text, None, |row| Cell::own(&row.ticket.stated.buyer)),
        column("weigher", "Who weighed.", Text, None, |row| Cell::own(&row.ticket.stated.weigher)),
        column("status", "What became of it: valid, void or unsold.", Text, None, |row| word(row.ticket.stated.status)),
        column("replaces", "The ticket it stands for.", Text, None, |row| Cell::own(&row.ticket.stated.replaces)),
        column(
            "in_totals",
            "Whether its pay weight is in the totals; not if void, nor if only the export states it beside a list.",
            YesNo,
            None,
            |row| Cell::YesNo(row.in_totals),
        ),
    ]
}

fn stated<'a>() -> [Column<TicketRow<'a>>; 4] {
    [
        column("stated_head", "Animals the ticket states.", Whole, HEAD, |row| {
            Cell::whole(row.ticket.stated.head.map(|head| head.0))
        }),
        column("stated_gross", "Weight the ticket states, before shrink.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.ticket.stated.gross, row.unit)
        }),
        column(
            "unit",
            "The unit of every weight of this row; that of the drafts where the ticket states none.",
            Text,
            None,
            |row| Cell::unit(row.unit),
        ),
        column("stated_average", "Weight per head the ticket states.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.ticket.stated.average, row.unit)
        }),
    ]
}

fn found<'a>() -> [Column<TicketRow<'a>>; 6] {
    [
        column("found_drafts", "Counted drafts on it.", Whole, Some("drafts"), |row| {
            Cell::whole(Some(row.ticket.found.drafts))
        }),
        column("found_head", "Animals of those drafts.", Whole, HEAD, |row| Cell::whole(Some(row.ticket.found.head.0))),
        column("found_gross", "Weight of those drafts, before shrink.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.ticket.found.gross, row.unit)
        }),
        column("found_average", "Their weight per head, to 0.01.", Decimal, ROW_UNIT, |row| {
            Cell::weight(row.ticket.found.average, row.unit)
        }),
        column("head_difference", "Head stated less head found.", Whole, HEAD, |row| Cell::whole(row.head_difference)),
        column("gross_difference", "Weight stated less weight found.", Decimal, ROW_UNIT, |row| {
            Cell::decimal(row.gross_difference)
        }),
    ]
}

fn paid<'a>() -> [Column<TicketRow<'a>>; 4] {
    [
        column(
            "shrink_percent",
            "Percentage taken off by agreement, as the ticket states it.",
            Decimal,
            PERCENT,
            |row| Cell::decimal(row.ticket.stated.shrink_percent.map(|shrink| shrink.0)),
        ),
        column(
            "pay_weight",
            "Weight that is paid for: as stated, else as its drafts give it.",
            Decimal,
            ROW_UNIT,
            |row| Cell::weight(row.pay_weight, row.unit),
        ),
        column("price", "Price, for what column price_per says.", Decimal, MONEY, |row| {
            Cell::decimal(row.ticket.stated.price.map(|price| price.amount))
        }),
        column("price_per", "What the price is for; cwt is 100 lb.", Text, None, |row| {
            row.ticket.stated.price.map_or(Cell::Empty, |price| word(price.basis))
        }),
    ]
}

fn settled<'a>() -> [Column<TicketRow<'a>>; 3] {
    [
        column(
            "value",
            "What it comes to: as stated, else price times pay weight, to the cent.",
            Decimal,
            MONEY,
            |row| Cell::decimal(row.ticket.value.map(|value| value.0)),
        ),
        column("outcome", "How it stands: tied, explained, open or no-drafts.", Text, None, |row| {
            word(row.ticket.outcome)
        }),
        column("explanation", "The best account of a difference.", Text, None, |row| {
            Cell::text(row.ticket.explanations.first().map(|story| story.text.as_str()))
        }),
    ]
}
