//! Reads a typed list of tickets with the same care as an export.

use super::findings;
use super::model::{StatedTicket, TicketSource, TicketStatus};
use crate::export::{self, CellFault, CellReader, Cells, DateHints, Meaning, Splitter, Table, Text, TextLine};
use crate::finding::Finding;
use crate::units::{Money, Price, PriceBasis};

/// A list, read.
#[derive(Debug, Clone, Default)]
pub struct TicketList {
    /// The tickets, in the order of the list.
    pub tickets: Vec<StatedTicket>,
    /// Whether the list could be used at all.
    pub usable: bool,
    /// What a person should know of it.
    pub findings: Vec<Finding>,
}

/// Reads a list; `name` is what people call the file, `hints` what is known about its dates.
#[must_use]
pub fn read(bytes: &[u8], name: &str, hints: &DateHints) -> TicketList {
    let text = Text::decode(bytes);
    let table = match usable_table(bytes, &text) {
        Ok(table) => table,
        Err(reason) => {
            return TicketList { findings: vec![findings::list_unusable(name, &reason)], ..TicketList::default() };
        }
    };
    let mut splitter = Splitter::new(&table.shape);
    let lines = text.lines().skip_while(|line| line.number <= table.rows_after);
    let rows: Vec<(TextLine<'_>, Cells)> = lines.map(|line| (line, splitter.split(line.text))).collect();
    let cells: Vec<Cells> = rows.iter().map(|(_, cells)| cells.clone()).collect();
    let settled = export::settle(&table, &cells, hints);
    let reader = CellReader { table: &table, settled: &settled };
    let mut list = TicketList { usable: true, ..TicketList::default() };
    for (line, cells) in rows.iter().filter(|(_, cells)| !cells.is_blank()) {
        match ticket(reader, *line, cells) {
            Ok(ticket) => list.tickets.extend(ticket),
            Err(fault) => list.findings.push(findings::row_unusable(name, line.number, &fault.reason)),
        }
    }
    let open = settled.dates.filter(|dates| dates.uncertain);
    list.findings.extend(open.map(|dates| findings::dates_uncertain(name, dates.order)));
    findings::settle_repeats(&mut list);
    list
}

/// The table of a list: a ticket column, and head or gross.
fn usable_table(bytes: &[u8], text: &Text) -> Result<Table, String> {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err("the file is empty".to_owned());
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Err("it is a spreadsheet workbook, not a text table; save it as CSV".to_owned());
    }
    let mut table =
        export::find_headed_table(text).ok_or("no line names the columns \"ticket\" and \"head\" or \"gross\"")?;
    // In a list of tickets, a column headed "no." numbers tickets.
    table.take_for(Meaning::Transaction, Meaning::Ticket);
    if !table.has(Meaning::Ticket) {
        return Err("it has no column \"ticket\"".to_owned());
    }
    if !table.has(Meaning::Head) && !table.has(Meaning::Gross) {
        return Err("it has neither a column \"head\" nor a column \"gross\"".to_owned());
    }
    Ok(table)
}

/// Reads one line; `None` for one that adds up others.
fn ticket(read: CellReader<'_>, line: TextLine<'_>, cells: &Cells) -> Result<Option<StatedTicket>, CellFault> {
    if read.is_total(cells) {
        return Ok(None);
    }
    let number = read.text(cells, Meaning::Ticket);
    let number = number.ok_or_else(|| read.fault(Meaning::Ticket, "it has no ticket number", None))?;
    Ok(Some(StatedTicket {
        number,
        source: TicketSource::Stated,
        line: Some(line.number),
        export: None,
        date: read.date(cells)?,
        lot: read.text(cells, Meaning::Lot),
        kind: read.text(cells, Meaning::Kind),
        consignor: read.text(cells, Meaning::Consignor),
        buyer: read.text(cells, Meaning::Buyer),
        weigher: read.text(cells, Meaning::Weigher),
        status: status(read, cells)?,
        replaces: read.text(cells, Meaning::Replaces),
        head: read.head(cells)?,
        gross: read.weight(cells, Meaning::Gross)?,
        average: read.weight(cells, Meaning::Average)?,
        shrink_percent: read.shrink(cells)?,
        pay_weight: read.weight(cells, Meaning::PayWeight)?,
        price: price(read, cells)?,
        value: read.money(cells, Meaning::Value)?.map(Money),
        first_transaction: read.transaction(cells, Meaning::FirstTransaction)?,
        last_transaction: read.transaction(cells, Meaning::LastTransaction)?,
    }))
}

fn price(read: CellReader<'_>, cells: &Cells) -> Result<Option<Price>, CellFault> {
    let what = "the price is for none of cwt, lb, kg, 100kg, head";
    let basis = read.reading(cells, Meaning::PricePer, what, price_basis)?;
    let amount = read.money(cells, Meaning::Price)?;
    Ok(amount.zip(basis).map(|(amount, basis)| Price { amount, basis }))
}

fn status(read: CellReader<'_>, cells: &Cells) -> Result<TicketStatus, CellFault> {
    let known = |cell: &str| match export::normalised(cell).as_str() {
        "valid" | "ok" | "good" | "sold" => Some(TicketStatus::Valid),
        "void" | "voided" | "cancelled" | "canceled" => Some(TicketStatus::Void),
        "unsold" | "no sale" | "passed out" | "po" => Some(TicketStatus::Unsold),
        _ => None,
    };
    let status = read.reading(cells, Meaning::Status, "the status is none of valid, void, unsold", known)?;
    Ok(status.unwrap_or_default())
}

fn price_basis(cell: &str) -> Option<PriceBasis> {
    match export::normalised(cell).replace(' ', "").as_str() {
        "cwt" | "cwt100lb" | "100lb" | "hundredweight" => Some(PriceBasis::Cwt),
        "lb" | "lbs" | "pound" => Some(PriceBasis::Pound),
        "kg" => Some(PriceBasis::Kilogram),
        "100kg" => Some(PriceBasis::HundredKilograms),
        "head" | "hd" => Some(PriceBasis::Head),
        _ => None,
    }
}
