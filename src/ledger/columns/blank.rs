//! The columns of the ticket list to fill in.

use super::{Cell, CellType, Column, column};
use crate::ledger::ticket_list::BlankTicket;

/// The columns a ticket list is read with; the blank ones are for the paper.
#[must_use]
pub fn blank_columns() -> Vec<Column<BlankTicket>> {
    let blank = |name, meaning, cell_type| column::<BlankTicket>(name, meaning, cell_type, None, |_| Cell::Empty);
    vec![
        column("ticket", "The ticket's number.", CellType::Text, None, |row: &BlankTicket| {
            Cell::text(Some(&row.number))
        }),
        column("date", "The day.", CellType::Date, None, |row| row.date.map_or(Cell::Empty, Cell::Date)),
        column("lot", "The lot.", CellType::Text, None, |row| Cell::own(&row.lot)),
        column("kind", "What animals.", CellType::Text, None, |row| Cell::own(&row.kind)),
        blank("head", "Animals, from the paper.", CellType::Whole),
        blank("gross", "Gross weight, from the paper.", CellType::Decimal),
        column("unit", "The unit of the weights.", CellType::Text, None, |row| Cell::unit(row.unit)),
        blank("shrink_percent", "Shrink, from the paper.", CellType::Decimal),
        blank("pay_weight", "Pay weight, from the paper.", CellType::Decimal),
        blank("price", "Price, from the paper.", CellType::Decimal),
        blank("price_per", "cwt, lb, kg, 100kg or head.", CellType::Text),
        blank("consignor", "Who sends them.", CellType::Text),
        blank("buyer", "Who buys them.", CellType::Text),
        blank("first_transaction", "First number on the ticket, from the paper.", CellType::Whole),
        blank("last_transaction", "Last number on the ticket, from the paper.", CellType::Whole),
        blank("status", "valid, void or unsold.", CellType::Text),
    ]
}
