//! Tells the lines of an export apart and reads those that are drafts and totals.

use chrono::NaiveTime;

use super::cells;
use super::dates::{self, DateParts};
use super::dialect::Table;
use super::meaning::Meaning;
use super::model::{Fields, RowContent};
use super::settle::{Settled, time_cell};
use super::table::Cells;
use super::words::{normalised, says_total};
use crate::units::{Head, LocalTime, Percent, Precision, Weight};

/// Why a line could not be read.
struct Fault {
    column: Option<usize>,
    reason: String,
}

/// Reads the lines under one header.
pub struct RowReader<'a> {
    table: &'a Table,
    settled: &'a Settled,
    header: Vec<String>,
}

impl<'a> RowReader<'a> {
    /// A reader for one table.
    #[must_use]
    pub fn new(table: &'a Table, settled: &'a Settled) -> Self {
        Self { table, settled, header: titles(&table.header) }
    }

    /// What a line that is not blank is. `open` says that the file ends on it without a line end.
    #[must_use]
    pub fn read(&self, line: &str, cells: &Cells, open: bool) -> RowContent {
        if let Some(reason) = zero_bytes(line) {
            return RowContent::Unreadable { column: None, reason, transaction: None };
        }
        if titles(cells) == self.header {
            return RowContent::Header;
        }
        if self.is_total(cells) {
            return self.total(cells).map_or_else(|fault| self.unreadable(cells, fault), RowContent::Total);
        }
        if self.is_banner(cells) {
            return RowContent::Banner;
        }
        if cells.count() <= self.last_needed_column() || (open && cells.count() < self.table.header.count()) {
            let (has, needs) = (cells.count(), self.table.header.count());
            let reason = format!("it has {has} of {needs} cells: the line is cut");
            return self.unreadable(cells, Fault { column: None, reason });
        }
        self.draft(cells).map_or_else(|fault| self.unreadable(cells, fault), RowContent::Draft)
    }

    fn unreadable(&self, cells: &Cells, fault: Fault) -> RowContent {
        let transaction = self.cell(cells, Meaning::Transaction).and_then(cells::transaction);
        RowContent::Unreadable { column: fault.column, reason: fault.reason, transaction }
    }

    /// A total says so in words, and carries no transaction number.
    fn is_total(&self, cells: &Cells) -> bool {
        let numbered = self.cell(cells, Meaning::Transaction).is_some_and(|cell| cells::transaction(cell).is_some());
        !numbered && cells.filled().any(|(_, cell)| says_total(cell))
    }

    /// A line of words with at most one figure, such as a session line or a footer.
    fn is_banner(&self, cells: &Cells) -> bool {
        let transaction = self.cell(cells, Meaning::Transaction).and_then(cells::transaction);
        transaction.is_none()
            && cells.filled().filter(|(_, cell)| cells::decimal(cell, '.').is_some()).count() <= 1
            && (cells.count() != self.table.header.count() || cells.filled().count() <= 2)
    }

    fn draft(&self, cells: &Cells) -> Result<Box<Fields>, Fault> {
        let written = self.cell(cells, Meaning::Transaction);
        let Some(transaction) = written.and_then(cells::transaction) else {
            return Err(self.fault(Meaning::Transaction, "the transaction number is not a number", written));
        };
        let fields = Fields {
            transaction: Some(transaction),
            transaction_text: written.map(str::to_owned),
            ..self.common(cells)?
        };
        if fields.gross.is_none() {
            return Err(self.fault(Meaning::Gross, "the weight is blank", None));
        }
        Ok(Box::new(fields))
    }

    fn total(&self, cells: &Cells) -> Result<Box<Fields>, Fault> {
        let mut fields = self.common(cells)?;
        fields.ticket = fields.ticket.filter(|ticket| !says_total(ticket));
        fields.lot = fields.lot.filter(|lot| !says_total(lot));
        Ok(Box::new(fields))
    }

    /// The cells that drafts and totals have in common.
    fn common(&self, cells: &Cells) -> Result<Fields, Fault> {
        let unit = self.cell(cells, Meaning::Unit).and_then(cells::unit).or(self.settled.unit);
        let net = self.weight(cells, Meaning::Net, unit)?;
        let gross = self.weight(cells, Meaning::Gross, unit)?;
        let text = |meaning| self.cell(cells, meaning).map(str::to_owned);
        Ok(Fields {
            at: self.at(cells)?,
            ticket: text(Meaning::Ticket),
            lot: text(Meaning::Lot),
            head: self.head(cells)?,
            // An export with a net column alone states the weight as weighed there.
            gross: if self.table.has(Meaning::Gross) { gross } else { net },
            tare: self.weight(cells, Meaning::Tare, unit)?,
            net: if self.table.has(Meaning::Gross) { net } else { None },
            average: self.weight(cells, Meaning::Average, unit)?,
            shrink_percent: self.percent(cells)?,
            pay_weight: self.weight(cells, Meaning::PayWeight, unit)?,
            kind: text(Meaning::Kind),
            consignor: text(Meaning::Consignor),
            buyer: text(Meaning::Buyer),
            weigher: text(Meaning::Weigher),
            scale: text(Meaning::Scale),
            status: text(Meaning::Status),
            remark: text(Meaning::Remark),
            transaction: None,
            transaction_text: None,
        })
    }

    fn cell<'c>(&self, cells: &'c Cells, meaning: Meaning) -> Option<&'c str> {
        cells.get(self.table.column(meaning)?)
    }

    /// A cell by meaning: nothing when blank, a fault when it is there and cannot be read.
    fn reading<T>(
        &self,
        cells: &Cells,
        meaning: Meaning,
        what: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<Option<T>, Fault> {
        let Some(cell) = self.cell(cells, meaning) else { return Ok(None) };
        read(cell).map(Some).ok_or_else(|| self.fault(meaning, what, Some(cell)))
    }

    fn weight(
        &self,
        cells: &Cells,
        meaning: Meaning,
        unit: Option<crate::units::Unit>,
    ) -> Result<Option<Weight>, Fault> {
        let read = |cell: &str| cells::weight(cell, self.settled.decimal_mark).map(|weight| weight.or_unit(unit));
        self.reading(cells, meaning, "the weight is not a figure", read)
    }

    fn head(&self, cells: &Cells) -> Result<Option<Head>, Fault> {
        self.reading(cells, Meaning::Head, "the head count is not a whole number", cells::head)
    }

    fn percent(&self, cells: &Cells) -> Result<Option<Percent>, Fault> {
        let read = |cell: &str| cells::percent(cell, self.settled.decimal_mark);
        self.reading(cells, Meaning::ShrinkPercent, "the shrink is not a percentage from 0 to 100", read)
    }

    fn at(&self, cells: &Cells) -> Result<Option<LocalTime>, Fault> {
        let meaning = if self.table.has(Meaning::Date) { Meaning::Date } else { Meaning::Datetime };
        let Some(reading) = self.settled.dates else { return Ok(None) };
        let read = |cell: &str| DateParts::read(cell.split([' ', 'T']).next()?)?.date(reading.order);
        let Some(date) = self.reading(cells, meaning, "there is no such date", read)? else { return Ok(None) };
        let midnight = (NaiveTime::MIN, Precision::Day);
        let (time, precision) = match time_cell(self.table, cells) {
            None => midnight,
            Some(cell) => {
                let column = if self.table.has(Meaning::Time) { Meaning::Time } else { Meaning::Datetime };
                let read = dates::time(cell);
                let (time, precision, _) =
                    read.ok_or_else(|| self.fault(column, "there is no such time of day", Some(cell)))?;
                (time, precision)
            }
        };
        Ok(Some(LocalTime { at: date.and_time(time), precision }))
    }

    fn fault(&self, meaning: Meaning, what: &str, cell: Option<&str>) -> Fault {
        let reason = cell.map_or_else(|| what.to_owned(), |cell| format!("{what}: \"{cell}\""));
        Fault { column: self.table.column(meaning), reason }
    }

    /// The last column a draft cannot do without.
    fn last_needed_column(&self) -> usize {
        let needed = [Meaning::Transaction, Meaning::Head, Meaning::Gross, Meaning::Net];
        needed.into_iter().filter_map(|meaning| self.table.column(meaning)).max().unwrap_or(0)
    }
}

fn titles(cells: &Cells) -> Vec<String> {
    (0..cells.count()).map(|index| cells.get(index).map(normalised).unwrap_or_default()).collect()
}

/// Space that was set aside for the file but never written shows as zero bytes.
fn zero_bytes(line: &str) -> Option<String> {
    let zeros = line.bytes().filter(|byte| *byte == 0).count();
    match zeros {
        0 => None,
        1 => Some("it holds a zero byte, which no text has".to_owned()),
        _ => Some(format!("it holds {zeros} zero bytes, which no text has: space set aside but never written")),
    }
}
