//! The tables of one export: where a further header names other columns, the rows under it are read by that one.

use super::cells;
use super::date_order::DateHints;
use super::dialect::{HeaderFinder, Table};
use super::layout::DateOrder;
use super::meaning::Meaning;
use super::rows::titles;
use super::settle::{Settled, Votes};
use super::table::{Cells, Splitter};
use super::text::{Text, TextLine};
use crate::units::LineNo;

/// So many headers with other columns are told apart; an indicator writes one, perhaps another after a change of setup.
const MOST_SECTIONS: usize = 64;

/// No header is shorter than its three shortest words and the marks between them. In bytes.
const SHORTEST_HEADER: usize = 7;

/// One header and what its rows show.
#[derive(Debug)]
pub struct Section {
    /// Its table.
    pub table: Table,
    /// What its rows show.
    pub votes: Votes,
}

/// The sections of a text, from its first header on.
#[derive(Debug)]
pub struct Sections {
    /// In the order of the file; there is at least one.
    pub all: Vec<Section>,
    /// The header after which no more are told apart.
    pub given_up_at: Option<LineNo>,
}

impl Section {
    fn new(table: Table) -> Self {
        Self { votes: Votes::new(&table), table }
    }

    /// A row of units may stand right under the header; every other line votes.
    fn take(&mut self, line: TextLine<'_>, cells: &Cells) {
        let first = line.number.0 == self.table.rows_after.0 + 1 && self.table.header_lines.len() == 1;
        if !first || !self.table.takes_units(line.number, cells) {
            self.votes.add(&self.table, cells);
        }
    }

    fn is_numbered(&self, cells: &Cells) -> bool {
        let number = self.table.column(Meaning::Transaction).and_then(|column| cells.get(column));
        number.is_some_and(|cell| cells::transaction(cell).is_some())
    }

    /// The table that a line opens; `None` for rows, and for the same header again.
    fn opened_by(
        &self,
        line: TextLine<'_>,
        next: Option<TextLine<'_>>,
        cells: &Cells,
        finder: &mut HeaderFinder,
    ) -> Option<Table> {
        let digits = line.text.bytes().filter(u8::is_ascii_digit).count();
        let short = line.text.len() < SHORTEST_HEADER;
        if short
            || self.is_numbered(cells)
            || digits * 4 > line.text.len()
            || self.table.titles.contains(&titles(cells))
        {
            return None;
        }
        let mut opened = |lines: &[TextLine<'_>]| {
            let mut table = finder.header(lines)?;
            table.take_over(&self.table);
            table.is_export().then_some(table)
        };
        let one = opened(&[line]);
        let wordy = next.filter(|next| !next.text.bytes().any(|byte| byte.is_ascii_digit()));
        let two = wordy.and_then(|next| opened(&[line, next]));
        let known = |table: &Option<Table>| table.as_ref().map_or(0, Table::known);
        if known(&two) > known(&one) { two } else { one }
    }
}

impl Sections {
    /// Goes through all lines under the first header once.
    #[must_use]
    pub fn of(text: &Text, first: Table) -> Self {
        let mut finder = HeaderFinder::new(&first.shape);
        let mut splitter = Splitter::new(&first.shape);
        let rows_after = first.rows_after;
        let mut all = Vec::new();
        let mut section = Section::new(first);
        let mut given_up_at = None;
        let mut lines = text.lines().skip_while(|line| line.number <= rows_after).peekable();
        while let Some(line) = lines.next() {
            if line.number <= section.table.rows_after {
                continue;
            }
            let cells = splitter.split(line.text);
            if cells.is_blank() {
                continue;
            }
            let Some(table) = section.opened_by(line, lines.peek().copied(), &cells, &mut finder) else {
                section.take(line, &cells);
                continue;
            };
            if all.len() + 1 == MOST_SECTIONS {
                given_up_at = Some(line.number);
                break;
            }
            splitter = Splitter::new(&table.shape);
            all.push(std::mem::replace(&mut section, Section::new(table)));
        }
        all.push(section);
        Self { all, given_up_at }
    }

    /// What holds for each section. Where one leaves the order of its dates open, it is that of a section that does not.
    #[must_use]
    pub fn settle(&self, hints: &DateHints) -> Vec<Settled> {
        let mut settled: Vec<_> = self.all.iter().map(|section| section.votes.settle(&section.table, hints)).collect();
        let decided = |settled: &Settled| {
            let dates = settled.dates.filter(|dates| !dates.uncertain && dates.order != DateOrder::Ymd)?;
            Some(dates.order)
        };
        if let Some(order) = settled.iter().find_map(decided) {
            for dates in settled.iter_mut().filter_map(|settled| settled.dates.as_mut()).filter(|dates| dates.uncertain)
            {
                dates.order = order;
                dates.uncertain = false;
            }
        }
        settled
    }

    /// Whether any cell was quoted.
    #[must_use]
    pub fn quoted(&self) -> bool {
        self.all.iter().any(|section| section.table.header.quoted || section.votes.quoted())
    }
}
