//! Tells the lines of an export apart and reads those that are drafts and totals.

use super::cells;
use super::dialect::Table;
use super::meaning::Meaning;
use super::model::{Fields, RowContent};
use super::reading::{CellFault, CellReader};
use super::settle::Settled;
use super::table::Cells;
use super::words::{normalised, says_total};

/// Reads the lines under one header.
pub struct RowReader<'a> {
    cells: CellReader<'a>,
    header: Vec<String>,
}

impl<'a> RowReader<'a> {
    /// A reader for one table.
    #[must_use]
    pub fn new(table: &'a Table, settled: &'a Settled) -> Self {
        Self { cells: CellReader { table, settled }, header: titles(&table.header) }
    }

    /// What a line that is not blank is. `open` says that the file ends on it without a line end.
    #[must_use]
    pub fn read(&self, line: &str, cells: &Cells, open: bool) -> RowContent {
        if let Some(reason) = zero_bytes(line) {
            return RowContent::Unreadable { column: None, reason, transaction: None };
        }
        if !self.is_numbered(cells) && titles(cells) == self.header {
            return RowContent::Header;
        }
        if self.is_total(cells) {
            return self.total(cells).map_or_else(|fault| self.unreadable(cells, fault), RowContent::Total);
        }
        if self.is_banner(cells) {
            return RowContent::Banner;
        }
        let columns = self.header.len();
        if cells.count() <= self.last_needed_column() || (open && cells.count() < columns) {
            let reason = format!("it has {} of {columns} cells: the line is cut", cells.count());
            return self.unreadable(cells, CellFault { column: None, reason });
        }
        self.draft(cells).map_or_else(|fault| self.unreadable(cells, fault), RowContent::Draft)
    }

    fn unreadable(&self, cells: &Cells, fault: CellFault) -> RowContent {
        let transaction = self.cells.cell(cells, Meaning::Transaction).and_then(cells::transaction);
        RowContent::Unreadable { column: fault.column, reason: fault.reason, transaction }
    }

    fn is_numbered(&self, cells: &Cells) -> bool {
        self.cells.cell(cells, Meaning::Transaction).is_some_and(|cell| cells::transaction(cell).is_some())
    }

    /// A total says so in words, and carries no transaction number.
    fn is_total(&self, cells: &Cells) -> bool {
        !self.is_numbered(cells) && cells.filled().any(|(_, cell)| says_total(cell))
    }

    /// A line of words with at most one figure, such as a session line or a footer.
    fn is_banner(&self, cells: &Cells) -> bool {
        let figures = cells.filled().filter(|(_, cell)| cells::decimal(cell, '.').is_some()).count();
        let shaped_as_row = cells.count() == self.header.len() && cells.filled().count() > 2;
        !self.is_numbered(cells) && figures <= 1 && !shaped_as_row
    }

    fn draft(&self, cells: &Cells) -> Result<Box<Fields>, CellFault> {
        let read = &self.cells;
        let Some(transaction) = read.transaction(cells, Meaning::Transaction)? else {
            return Err(read.fault(Meaning::Transaction, "the transaction number is blank", None));
        };
        let fields = Fields {
            transaction: Some(transaction),
            transaction_text: read.text(cells, Meaning::Transaction),
            ..self.common(cells)?
        };
        if fields.gross.is_none() {
            return Err(read.fault(Meaning::Gross, "the weight is blank", None));
        }
        Ok(Box::new(fields))
    }

    fn total(&self, cells: &Cells) -> Result<Box<Fields>, CellFault> {
        let mut fields = self.common(cells)?;
        fields.ticket = fields.ticket.filter(|ticket| !says_total(ticket));
        fields.lot = fields.lot.filter(|lot| !says_total(lot));
        Ok(Box::new(fields))
    }

    /// The cells that drafts and totals have in common.
    fn common(&self, cells: &Cells) -> Result<Fields, CellFault> {
        let read = &self.cells;
        let net = read.weight(cells, Meaning::Net)?;
        // An export with a net column alone states the weight as weighed there.
        let has_gross = read.table.has(Meaning::Gross);
        Ok(Fields {
            transaction: None,
            transaction_text: None,
            at: read.at(cells)?,
            ticket: read.text(cells, Meaning::Ticket),
            lot: read.text(cells, Meaning::Lot),
            head: read.head(cells)?,
            gross: if has_gross { read.weight(cells, Meaning::Gross)? } else { net },
            tare: read.weight(cells, Meaning::Tare)?,
            net: net.filter(|_| has_gross),
            average: read.weight(cells, Meaning::Average)?,
            shrink_percent: read.shrink(cells)?,
            pay_weight: read.weight(cells, Meaning::PayWeight)?,
            kind: read.text(cells, Meaning::Kind),
            consignor: read.text(cells, Meaning::Consignor),
            buyer: read.text(cells, Meaning::Buyer),
            weigher: read.text(cells, Meaning::Weigher),
            scale: read.text(cells, Meaning::Scale),
            status: read.text(cells, Meaning::Status),
            remark: read.text(cells, Meaning::Remark),
        })
    }

    /// The last column a draft cannot do without.
    fn last_needed_column(&self) -> usize {
        let needed = [Meaning::Transaction, Meaning::Head, Meaning::Gross, Meaning::Net];
        needed.into_iter().filter_map(|meaning| self.cells.table.column(meaning)).max().unwrap_or(0)
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
