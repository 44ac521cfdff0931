//! Tells the lines of an export apart and reads those that are drafts and totals.

use super::cells;
use super::dates::{self, DateParts};
use super::dialect::Table;
use super::meaning::Meaning;
use super::model::{Fields, RowContent, Unread};
use super::reading::{CellFault, CellReader, Reading};
use super::settle::Settled;
use super::shape::Shape;
use super::table::Cells;
use super::words::{normalised, says_total};
use crate::units::LineNo;

/// How a line stands in its file.
#[derive(Debug, Clone, Copy, Default)]
pub struct LineState {
    /// The file ends on it without a line end.
    pub open: bool,
    /// Some of its bytes could not be read.
    pub damaged: bool,
}

/// Reads the lines under one header.
pub struct RowReader<'a> {
    cells: CellReader<'a>,
}

impl<'a> RowReader<'a> {
    /// A reader for one table.
    #[must_use]
    pub fn new(table: &'a Table, settled: &'a Settled) -> Self {
        Self { cells: CellReader { table, settled } }
    }

    /// Whether this line belongs to the header.
    #[must_use]
    pub fn is_header_line(&self, line: LineNo) -> bool {
        self.cells.table.header_lines.contains(&line)
    }

    fn columns(&self) -> usize {
        self.cells.table.header.count()
    }

    /// What a line that is not blank is.
    #[must_use]
    pub fn read(&self, line: &str, cells: &Cells, state: LineState) -> RowContent {
        if let Some(reason) = spoiled(line, state) {
            return RowContent::Unreadable { column: None, reason, transaction: None };
        }
        if !self.is_numbered(cells) && self.cells.table.titles.contains(&titles(cells)) {
            return RowContent::Header;
        }
        let total = self.cells.is_total(cells);
        let banner = !total && self.is_banner(cells);
        if let Some(reason) = self.misshapen(cells, state, total, banner) {
            return self.unreadable(cells, None, reason);
        }
        let read = if total {
            self.total(cells).map(RowContent::Total)
        } else if banner {
            Ok(RowContent::Banner)
        } else {
            self.draft(cells, state).map(RowContent::Draft)
        };
        read.unwrap_or_else(|fault| self.unreadable(cells, fault.column, Unread::Cell(fault.reason)))
    }

    fn unreadable(&self, cells: &Cells, column: Option<usize>, reason: Unread) -> RowContent {
        let transaction = self.cells.cell(cells, Meaning::Transaction).and_then(cells::transaction);
        RowContent::Unreadable { column, reason, transaction }
    }

    /// Why the number of cells makes a line doubtful: a line the file ends on is cut, whatever it looks like.
    fn misshapen(&self, cells: &Cells, state: LineState, total: bool, banner: bool) -> Option<Unread> {
        let (columns, count) = (self.columns(), cells.count());
        let misses_needed = count <= self.last_needed_column();
        // Where blanks stand between cells, empty ones at the end leave no trace.
        let marked = matches!(self.cells.table.shape, Shape::Delimited(_));
        let ends_early = marked && !total && count < columns;
        if (state.open && (misses_needed || ends_early)) || (misses_needed && !total && !banner) {
            return Some(Unread::Cut { cells: count, columns });
        }
        let beyond = cells.beyond && !self.cells.table.header.beyond;
        let width = cells.filled_width();
        ((beyond || width > self.cells.settled.width) && !banner)
            .then_some(Unread::TooWide { cells: width + usize::from(beyond), columns })
    }

    fn is_numbered(&self, cells: &Cells) -> bool {
        self.cells.cell(cells, Meaning::Transaction).is_some_and(|cell| cells::transaction(cell).is_some())
    }

    /// A line of words with at most one figure, such as a session line or a footer.
    fn is_banner(&self, cells: &Cells) -> bool {
        if self.is_beginning_of_row(cells) {
            return false;
        }
        let figures = cells.filled().filter(|(_, cell)| is_figure(cell)).count();
        let shaped_as_row = cells.count() == self.columns() && cells.filled().count() > 2;
        !self.is_numbered(cells) && figures <= 1 && !shaped_as_row
    }

    /// Whether a line is nothing but the beginning of a row whose first column is a date: figures with the marks of dates
    /// and times. A whole date alone heads a session.
    fn is_beginning_of_row(&self, cells: &Cells) -> bool {
        let first = self.cells.table.words.first().copied().flatten().map(|word| word.meaning);
        let dated = matches!(first, Some(Meaning::Date | Meaning::Datetime));
        let Some((0, cell)) = cells.filled().next().filter(|_| dated && cells.filled().count() <= 2) else {
            return false;
        };
        let marked = cell.bytes().all(|byte| byte.is_ascii_digit() || b"/-.: ".contains(&byte));
        let (day, time) = dates::split_datetime(cell);
        let whole = DateParts::read(day).is_some() && time.is_none_or(|time| dates::time(time).is_some());
        marked && cell.starts_with(|letter: char| letter.is_ascii_digit()) && !(whole && cells.count() == 1)
    }

    fn draft(&self, cells: &Cells, state: LineState) -> Result<Box<Fields>, CellFault> {
        let read = &self.cells;
        let Some(transaction) = read.transaction(cells, Meaning::Transaction)? else {
            return Err(read.fault(Meaning::Transaction, "the transaction number is blank", None));
        };
        let fields = Fields {
            transaction: Some(transaction),
            transaction_text: read.text(cells, Meaning::Transaction),
            torn: state.open && cells.count() == self.last_needed_column() + 1,
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
        let mut left_out = Vec::new();
        let net = read.weight(cells, Meaning::Net);
        // An export with a net column alone states the weight as weighed there.
        let (gross, net) = if read.table.has(Meaning::Gross) {
            (read.weight(cells, Meaning::Gross)?, unless_bad(net, &mut left_out))
        } else {
            (net?, None)
        };
        Ok(Fields {
            transaction: None,
            transaction_text: None,
            at: read.at(cells)?,
            head: read.head(cells)?,
            gross,
            net,
            tare: unless_bad(read.weight(cells, Meaning::Tare), &mut left_out),
            average: unless_bad(read.weight(cells, Meaning::Average), &mut left_out),
            shrink_percent: unless_bad(read.shrink(cells), &mut left_out),
            pay_weight: unless_bad(read.weight(cells, Meaning::PayWeight), &mut left_out),
            left_out,
            ..self.texts(cells)
        })
    }

    fn texts(&self, cells: &Cells) -> Fields {
        let text = |meaning| self.cells.text(cells, meaning);
        Fields {
            ticket: text(Meaning::Ticket),
            lot: text(Meaning::Lot),
            kind: text(Meaning::Kind),
            consignor: text(Meaning::Consignor),
            buyer: text(Meaning::Buyer),
            weigher: text(Meaning::Weigher),
            scale: text(Meaning::Scale),
            status: text(Meaning::Status),
            remark: text(Meaning::Remark),
            ..Fields::default()
        }
    }

    /// The last column a draft cannot do without.
    fn last_needed_column(&self) -> usize {
        let needed = [Meaning::Transaction, Meaning::Head, Meaning::Gross, Meaning::Net];
        needed.into_iter().filter_map(|meaning| self.cells.table.column(meaning)).max().unwrap_or(0)
    }
}

/// A figure that a draft can do without: where it is bad, the draft stands and the fault is noted.
fn unless_bad<T>(reading: Reading<T>, left_out: &mut Vec<CellFault>) -> Option<T> {
    reading.unwrap_or_else(|fault| {
        left_out.push(fault);
        None
    })
}

fn is_figure(cell: &str) -> bool {
    cell.bytes().any(|byte| byte.is_ascii_digit()) && cells::decimal(cell, '.').is_some()
}

/// The words of a header, for comparing.
#[must_use]
pub fn titles(cells: &Cells) -> Vec<String> {
    (0..cells.count()).map(|index| cells.get(index).map(normalised).unwrap_or_default()).collect()
}

/// Why nothing on a line can be trusted: space that was set aside for the file but never written shows as zero bytes.
fn spoiled(line: &str, state: LineState) -> Option<Unread> {
    if state.damaged {
        return Some(Unread::Sectors);
    }
    match line.bytes().filter(|byte| *byte == 0).count() {
        0 => None,
        zeros => Some(Unread::ZeroBytes(zeros)),
    }
}
