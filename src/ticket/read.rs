//! Reads a typed list of tickets with the same care as an export.

use chrono::NaiveDate;

use super::findings;
use super::model::{StatedTicket, TicketSource, TicketStatus};
use crate::export::{self, Cells, DateHints, DateParts, Meaning, Splitter, Table, Text, TextLine};
use crate::finding::Finding;
use crate::units::{Money, Price, PriceBasis, Weight};

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
    let mut splitter = Splitter::new(table.delimiter);
    let lines = text.lines().skip_while(|line| line.number <= table.header_line);
    let rows: Vec<(TextLine<'_>, Cells)> = lines.map(|line| (line, splitter.split(line.text))).collect();
    let cells: Vec<Cells> = rows.iter().map(|(_, cells)| cells.clone()).collect();
    let settled = export::settle(&table, &cells, hints);
    let reader = Reader { table: &table, settled: &settled };
    let mut list = TicketList { usable: true, ..TicketList::default() };
    for (line, cells) in rows.iter().filter(|(_, cells)| !cells.is_blank()) {
        match reader.ticket(*line, cells) {
            Ok(ticket) => list.tickets.extend(ticket),
            Err(reason) => list.findings.push(findings::row_unusable(name, line.number, &reason)),
        }
    }
    if settled.dates.is_some_and(|dates| dates.uncertain) {
        list.findings.push(findings::dates_uncertain(name));
    }
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
    let table = export::find_table(text).ok_or("no line names the columns \"ticket\" and \"head\" or \"gross\"")?;
    if !table.has(Meaning::Ticket) {
        return Err("it has no column \"ticket\"".to_owned());
    }
    if !table.has(Meaning::Head) && !table.has(Meaning::Gross) {
        return Err("it has neither a column \"head\" nor a column \"gross\"".to_owned());
    }
    Ok(table)
}

struct Reader<'a> {
    table: &'a Table,
    settled: &'a export::Settled,
}

impl Reader<'_> {
    /// A ticket; `None` for a line that adds up others.
    fn ticket(&self, line: TextLine<'_>, cells: &Cells) -> Result<Option<StatedTicket>, String> {
        let Some(number) = self.cell(cells, Meaning::Ticket) else {
            let total = cells.filled().any(|(_, cell)| export::says_total(cell));
            return if total { Ok(None) } else { Err("it has no ticket number".to_owned()) };
        };
        if export::says_total(number) {
            return Ok(None);
        }
        let text = |meaning| self.cell(cells, meaning).map(str::to_owned);
        let number_of = |meaning| self.reading(cells, meaning, "not a transaction number", export::transaction);
        Ok(Some(StatedTicket {
            number: number.to_owned(),
            source: TicketSource::Stated,
            line: Some(line.number),
            export: None,
            date: self.date(cells)?,
            lot: text(Meaning::Lot),
            kind: text(Meaning::Kind),
            consignor: text(Meaning::Consignor),
            buyer: text(Meaning::Buyer),
            weigher: text(Meaning::Weigher),
            status: self.status(cells)?,
            replaces: text(Meaning::Replaces),
            head: self.reading(cells, Meaning::Head, "not a whole number of head", export::head)?,
            gross: self.weight(cells, Meaning::Gross)?,
            average: self.weight(cells, Meaning::Average)?,
            shrink_percent: self.reading(cells, Meaning::ShrinkPercent, "not a percentage", |cell| {
                export::percent(cell, self.settled.decimal_mark)
            })?,
            pay_weight: self.weight(cells, Meaning::PayWeight)?,
            price: self.price(cells)?,
            value: self.reading(cells, Meaning::Value, "not an amount of money", |cell| self.money(cell).map(Money))?,
            first_transaction: number_of(Meaning::FirstTransaction)?,
            last_transaction: number_of(Meaning::LastTransaction)?,
        }))
    }

    fn cell<'c>(&self, cells: &'c Cells, meaning: Meaning) -> Option<&'c str> {
        cells.get(self.table.column(meaning)?)
    }

    fn reading<T>(
        &self,
        cells: &Cells,
        meaning: Meaning,
        what: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<Option<T>, String> {
        let Some(cell) = self.cell(cells, meaning) else { return Ok(None) };
        read(cell).map(Some).ok_or_else(|| format!("\"{cell}\" is {what}"))
    }

    fn weight(&self, cells: &Cells, meaning: Meaning) -> Result<Option<Weight>, String> {
        let unit = self.cell(cells, Meaning::Unit).and_then(export::unit).or(self.settled.unit);
        let read = |cell: &str| export::weight(cell, self.settled.decimal_mark).map(|weight| weight.or_unit(unit));
        self.reading(cells, meaning, "not a weight", read)
    }

    fn money(&self, cell: &str) -> Option<crate::units::Decimal> {
        export::decimal(cell.trim_start_matches(['$', '€', '£', ' ']), self.settled.decimal_mark)
    }

    fn price(&self, cells: &Cells) -> Result<Option<Price>, String> {
        let amount = self.reading(cells, Meaning::Price, "not a price", |cell| self.money(cell))?;
        let basis = self.reading(cells, Meaning::PricePer, "not one of cwt, lb, kg, 100kg, head", price_basis)?;
        Ok(amount.zip(basis).map(|(amount, basis)| Price { amount, basis }))
    }

    fn date(&self, cells: &Cells) -> Result<Option<NaiveDate>, String> {
        let Some(dates) = self.settled.dates else { return Ok(None) };
        let meaning = if self.table.has(Meaning::Date) { Meaning::Date } else { Meaning::Datetime };
        let read = |cell: &str| DateParts::read(cell.split([' ', 'T']).next()?)?.date(dates.order);
        self.reading(cells, meaning, "not a date", read)
    }

    fn status(&self, cells: &Cells) -> Result<TicketStatus, String> {
        let status = self.reading(cells, Meaning::Status, "not one of valid, void, unsold", |cell| {
            match export::normalised(cell).as_str() {
                "valid" | "ok" | "good" | "sold" => Some(TicketStatus::Valid),
                "void" | "voided" | "cancelled" | "canceled" => Some(TicketStatus::Void),
                "unsold" | "no sale" | "passed out" | "po" => Some(TicketStatus::Unsold),
                _ => None,
            }
        });
        status.map(Option::unwrap_or_default)
    }
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
