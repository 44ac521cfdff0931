//! Reads the cells of one row by what their columns mean; exports and ticket lists are read alike.

use chrono::{NaiveDate, NaiveTime};

use super::cells;
use super::date_order::DateReading;
use super::dates::{self, DateParts};
use super::dialect::Table;
use super::meaning::Meaning;
use super::settle::{Settled, time_cell};
use super::table::Cells;
use super::words::{says_draft, says_only_total, says_total};
use crate::units::{Decimal, Head, LocalTime, Percent, Precision, TransactionNo, Unit, Weight};

/// A quoted cell is cut to so many letters: a damaged file may hold one of millions.
const MOST_LETTERS: usize = 40;

/// A cell that is there and cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellFault {
    /// Its column, counted from 0.
    pub column: Option<usize>,
    /// What is wrong with it, in plain words.
    pub reason: String,
}

/// Reads rows of one table. A blank cell reads as `None`; one that is there and cannot be read is a [`CellFault`].
#[derive(Debug, Clone, Copy)]
pub struct CellReader<'a> {
    /// The table.
    pub table: &'a Table,
    /// What holds for all of it.
    pub settled: &'a Settled,
}

/// A reading: nothing where the cell is blank.
pub type Reading<T> = Result<Option<T>, CellFault>;

impl CellReader<'_> {
    /// A cell as written.
    #[must_use]
    pub fn cell<'c>(&self, cells: &'c Cells, meaning: Meaning) -> Option<&'c str> {
        cells.get(self.table.column(meaning)?)
    }

    /// A cell as written, to keep.
    #[must_use]
    pub fn text(&self, cells: &Cells, meaning: Meaning) -> Option<String> {
        self.cell(cells, meaning).map(str::to_owned)
    }

    /// Whether a row adds up others: its kind says so; else its number, ticket or lot, or the cell it begins with.
    ///
    /// The names of people and remarks are not asked: a consignor may be called "Total Cattle Co". Nor does such a name
    /// in place of a lot make a total of a row that carries its own number.
    #[must_use]
    pub fn is_total(&self, cells: &Cells) -> bool {
        if let Some(kind) = self.cell(cells, Meaning::RowKind)
            && (says_total(kind) || says_draft(kind))
        {
            return says_total(kind);
        }
        let numbered = self.cell(cells, Meaning::Transaction).is_some_and(|cell| cells::transaction(cell).is_some())
            || self.cell(cells, Meaning::Ticket).is_some_and(|cell| !says_total(cell));
        let says = |cell: &str| if numbered { says_only_total(cell) } else { says_total(cell) };
        let named = [Meaning::Transaction, Meaning::Ticket, Meaning::Lot];
        let first = cells.filled().next().filter(|(index, _)| !self.is_name(*index)).map(|(_, cell)| cell);
        // In columns of a fixed width the word may stand where a date would.
        let free = cells.filled().filter(|(index, _)| !self.is_name(*index)).map(|(_, cell)| cell);
        named.into_iter().filter_map(|meaning| self.cell(cells, meaning)).chain(first).any(says)
            || !numbered && free.into_iter().any(says_only_total)
    }

    /// Whether a column holds what people write freely.
    fn is_name(&self, index: usize) -> bool {
        use Meaning::{Buyer, Consignor, Kind, Remark, Weigher};
        let meaning = self.table.words.get(index).copied().flatten().map(|word| word.meaning);
        meaning.is_some_and(|meaning| matches!(meaning, Consignor | Buyer | Weigher | Remark | Kind))
    }

    /// A cell read by `read`; `what` says what is wrong where that fails.
    ///
    /// # Errors
    /// A [`CellFault`] where the cell is there and `read` makes nothing of it.
    pub fn reading<T>(
        &self,
        cells: &Cells,
        meaning: Meaning,
        what: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Reading<T> {
        let Some(cell) = self.cell(cells, meaning) else { return Ok(None) };
        if !meaning.is_needed() && cells::stands_for_nothing(cell) {
            return Ok(None);
        }
        read(cell).map(Some).ok_or_else(|| self.fault(meaning, what, Some(cell)))
    }

    /// What is wrong with a cell.
    #[must_use]
    pub fn fault(&self, meaning: Meaning, what: &str, cell: Option<&str>) -> CellFault {
        let reason = cell.map_or_else(|| what.to_owned(), |cell| format!("{what}: \"{}\"", shortened(cell)));
        CellFault { column: self.table.column(meaning), reason }
    }

    /// The unit of the row's weights: its own, else the table's.
    #[must_use]
    pub fn unit(&self, cells: &Cells) -> Option<Unit> {
        self.cell(cells, Meaning::Unit).and_then(cells::unit).or(self.settled.unit)
    }

    /// A weight, in the row's unit unless it carries its own.
    ///
    /// # Errors
    /// A [`CellFault`] where the cell is no figure.
    pub fn weight(&self, cells: &Cells, meaning: Meaning) -> Reading<Weight> {
        let unit = self.unit(cells);
        let read = |cell: &str| cells::weight(cell, self.settled.decimal_mark).map(|weight| weight.or_unit(unit));
        self.reading(cells, meaning, "the weight is not a figure", read)
    }

    /// A count of animals.
    ///
    /// # Errors
    /// A [`CellFault`] where the cell is no whole number.
    pub fn head(&self, cells: &Cells) -> Reading<Head> {
        self.reading(cells, Meaning::Head, "the head count is not a whole number", cells::head)
    }

    /// A transaction number.
    ///
    /// # Errors
    /// A [`CellFault`] where the cell is no such number.
    pub fn transaction(&self, cells: &Cells, meaning: Meaning) -> Reading<TransactionNo> {
        self.reading(cells, meaning, "the transaction number is not a number", cells::transaction)
    }

    /// Shrink in percent.
    ///
    /// # Errors
    /// A [`CellFault`] where the cell is no percentage.
    pub fn shrink(&self, cells: &Cells) -> Reading<Percent> {
        let read = |cell: &str| cells::percent(cell, self.settled.decimal_mark);
        self.reading(cells, Meaning::ShrinkPercent, "the shrink is not a percentage from 0 to 100", read)
    }

    /// Money or a price, with or without its sign.
    ///
    /// # Errors
    /// A [`CellFault`] where the cell is no figure.
    pub fn money(&self, cells: &Cells, meaning: Meaning) -> Reading<Decimal> {
        let figure = |cell: &'_ str| cell.trim_start_matches(['$', '\u{20ac}', '\u{a3}', ' ']).to_owned();
        let read = |cell: &str| cells::decimal(&figure(cell), self.settled.decimal_mark);
        self.reading(cells, meaning, "the amount is not a figure", read)
    }

    /// The day.
    ///
    /// # Errors
    /// A [`CellFault`] where there is no such day.
    pub fn date(&self, cells: &Cells) -> Reading<NaiveDate> {
        let Some(DateReading { order, .. }) = self.settled.dates else { return Ok(None) };
        let meaning = if self.table.has(Meaning::Date) { Meaning::Date } else { Meaning::Datetime };
        // In columns of a fixed width the word of a total may stand where its rows have the date.
        if self.cell(cells, meaning).is_some_and(says_only_total) {
            return Ok(None);
        }
        let read = |cell: &str| DateParts::read(dates::split_datetime(cell).0)?.date(order);
        self.reading(cells, meaning, "there is no such date", read)
    }

    /// Day and time of day.
    ///
    /// # Errors
    /// A [`CellFault`] where there is no such day or time of day.
    pub fn at(&self, cells: &Cells) -> Reading<LocalTime> {
        let Some(date) = self.date(cells)? else { return Ok(None) };
        let time = time_cell(self.table, cells).filter(|cell| !cells::stands_for_nothing(cell));
        let (time, precision) = match time {
            None => (NaiveTime::MIN, Precision::Day),
            Some(cell) => {
                let column = if self.table.has(Meaning::Time) { Meaning::Time } else { Meaning::Datetime };
                let fault = || self.fault(column, "there is no such time of day", Some(cell));
                dates::time_in_column(cell).map(|(time, precision, _)| (time, precision)).ok_or_else(fault)?
            }
        };
        Ok(Some(LocalTime { at: date.and_time(time), precision }))
    }
}

/// A cell for quoting, cut where it is long.
fn shortened(cell: &str) -> String {
    match cell.char_indices().nth(MOST_LETTERS) {
        None => cell.to_owned(),
        Some((end, _)) => format!("{}\u{2026}", cell.get(..end).unwrap_or_default()),
    }
}
