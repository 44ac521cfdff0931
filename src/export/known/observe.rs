//! What is kept of an export that was read: its layout, with the patterns and marks that its cells show.

use std::collections::BTreeSet;

use super::super::cells;
use super::super::layout::{DateOrder, Layout};
use super::super::meaning::Meaning;
use super::super::model::{Export, RowContent};
use super::super::table::{Cells, Splitter};
use super::super::words::{header_word, unit_in_row};
use super::{CellType, KnownColumn, KnownLayout, LineEnd, UnitStated, pattern};
use crate::units::{LineNo, Unit};

/// The pattern of a column whose cells follow no single one.
const ANY: &str = "any";

/// The cells of the drafts under an export's first header, and its lines above them.
#[derive(Debug)]
pub struct RowSample {
    /// The line of each draft and its cells.
    pub drafts: Vec<(LineNo, Cells)>,
    /// The lines of the titles.
    pub title_lines: Vec<LineNo>,
    /// The row of units under them.
    pub units_line: Option<LineNo>,
    units: Vec<Option<Unit>>,
}

impl RowSample {
    /// Splits the lines of an export again, up to a header with other titles.
    #[must_use]
    pub fn of(export: &Export) -> Self {
        let mut splitter = Splitter::new(&export.layout.shape);
        let text = |line: LineNo| export.text.line(line).map_or("", |line| line.text);
        let count = usize::try_from(export.layout.header_lines).unwrap_or(usize::MAX);
        let headers = export.rows.iter().filter(|row| row.content == RowContent::Header).map(|row| row.line);
        let mut title_lines: Vec<LineNo> = headers.take(count).collect();
        let last = title_lines.last().copied().filter(|_| title_lines.len() > 1);
        let units = last.and_then(|last| unit_in_row(&splitter.titles(text(last))));
        let units_line = title_lines.pop_if(|line| units.is_some() && Some(*line) == last);
        let known: BTreeSet<&str> = title_lines.iter().chain(&units_line).map(|line| text(*line).trim()).collect();
        let same = |row: &&super::super::model::Row| {
            row.content != RowContent::Header || known.contains(text(row.line).trim())
        };
        let drafts = export.rows.iter().take_while(same);
        let drafts = drafts.filter(|row| matches!(row.content, RowContent::Draft(_)));
        let drafts = drafts.map(|row| (row.line, splitter.split(text(row.line)))).collect();
        Self { drafts, title_lines, units_line, units: units.unwrap_or_default() }
    }

    /// The cells of a column that say something, with their lines.
    pub fn column(&self, index: usize) -> impl Iterator<Item = (LineNo, &str)> {
        let cells = self.drafts.iter().filter_map(move |(line, cells)| Some((*line, cells.get(index)?)));
        cells.filter(|(_, cell)| !cells::stands_for_nothing(cell))
    }
}

/// The layout of an export, to be kept.
#[must_use]
pub fn observe(export: &Export, sample: &RowSample, line_end: LineEnd) -> KnownLayout {
    let layout = &export.layout;
    let column = |index: usize, column: &super::super::Column| {
        let titled = column.title.as_deref().and_then(header_word).and_then(|word| word.unit);
        let unit = sample.units.get(index).copied().flatten().or(titled);
        known_column(layout, sample, column, unit.filter(|_| weighs(column.meaning)))
    };
    let columns: Vec<KnownColumn> =
        layout.columns.iter().enumerate().map(|(index, each)| column(index, each)).collect();
    let above =
        || (1..sample.drafts.first().map_or(1, |(line, _)| line.0)).take(super::super::dialect::HEADER_WITHIN_LINES);
    KnownLayout {
        encoding: layout.encoding,
        byte_order_mark: layout.byte_order_mark,
        shape: layout.shape.clone(),
        line_end,
        title_lines: sample.title_lines.iter().map(|line| line.0).collect(),
        comment_lines: match sample.units_line {
            Some(line) => vec![line.0],
            None if sample.title_lines.is_empty() => above().collect(),
            None => Vec::new(),
        },
        decimal_mark: layout.decimal_mark,
        date_order: layout.date_order,
        clock: layout.clock,
        unit: layout.unit,
        unit_stated: unit_stated(layout, sample, &columns),
        missing: missing(sample),
        columns,
    }
}

fn weighs(meaning: Meaning) -> bool {
    use Meaning::{Average, Gross, Net, PayWeight, RunningTotal, Tare};
    matches!(meaning, Gross | Net | Tare | Average | PayWeight | RunningTotal)
}

fn known_column(layout: &Layout, sample: &RowSample, column: &super::super::Column, unit: Option<Unit>) -> KnownColumn {
    let cells: Vec<&str> = sample.column(column.index).map(|(_, cell)| cell).collect();
    let figures = |mark| cells.iter().all(|cell| cells::weight(cell.trim_end_matches('%'), mark).is_some());
    let kind = match column.meaning {
        Meaning::Date => CellType::Date(dated(&cells, layout.date_order, pattern::of_date)),
        Meaning::Datetime => CellType::Datetime(dated(&cells, layout.date_order, pattern::of_datetime)),
        Meaning::Time => CellType::Time(common(cells.iter().map(|cell| pattern::of_time(cell)))),
        Meaning::Transaction | Meaning::LineNumber if cells.iter().all(|cell| all_digits(cell)) => CellType::Whole,
        Meaning::Head if cells.iter().all(|cell| all_digits(cell.trim_end_matches(beside_figure))) => CellType::Whole,
        Meaning::Head | Meaning::ShrinkPercent => CellType::Figure,
        meaning if weighs(meaning) && (meaning == Meaning::Gross || figures(layout.decimal_mark)) => CellType::Figure,
        _ => CellType::Text,
    };
    let counted = matches!(kind, CellType::Whole | CellType::Figure);
    KnownColumn {
        title: column.title.clone(),
        meaning: column.meaning,
        unit,
        group_mark: cells.iter().find_map(|cell| group_mark(cell, layout.decimal_mark)).filter(|_| counted),
        bare: !counted || cells.iter().all(|cell| !cell.ends_with(beside_figure)),
        cells: kind,
    }
}

fn all_digits(cell: &str) -> bool {
    !cell.is_empty() && cell.bytes().all(|byte| byte.is_ascii_digit())
}

/// What can stand behind a figure: a unit, a percent sign.
fn beside_figure(letter: char) -> bool {
    letter.is_alphabetic() || matches!(letter, '%' | '#' | '.' | ' ')
}

fn group_mark(cell: &str, decimal_mark: char) -> Option<char> {
    let figure = cell.trim_matches(|letter: char| !letter.is_ascii_digit());
    figure.chars().find(|letter| matches!(letter, ',' | '.' | ' ' | '\u{a0}') && *letter != decimal_mark)
}

/// The one pattern of all dates, where their order is settled.
fn dated(cells: &[&str], order: Option<DateOrder>, read: impl Fn(&str, DateOrder) -> Option<String>) -> String {
    let Some(order) = order else { return ANY.to_owned() };
    let found = common(cells.iter().map(|cell| read(cell, order)));
    if pattern::order_in(&found) == Some(order) { found } else { ANY.to_owned() }
}

/// The one pattern of all cells.
fn common(mut patterns: impl Iterator<Item = Option<String>>) -> String {
    let first = patterns.next().flatten();
    let first = first.filter(|first| patterns.all(|other| other.as_deref() == Some(first)));
    first.unwrap_or_else(|| ANY.to_owned())
}

fn unit_stated(layout: &Layout, sample: &RowSample, columns: &[KnownColumn]) -> UnitStated {
    let in_cells = |column: &KnownColumn| weighs(column.meaning) && !column.bare;
    let own = layout
        .column(Meaning::Unit)
        .is_some_and(|index| sample.column(index).any(|(_, cell)| cells::unit(cell).is_some()));
    if sample.units.iter().any(Option::is_some) {
        UnitStated::UnitsRow
    } else if columns.iter().any(|column| column.unit.is_some()) {
        UnitStated::Titles
    } else if own {
        UnitStated::Column
    } else if columns.iter().any(in_cells) {
        UnitStated::Cells
    } else {
        UnitStated::Nowhere
    }
}

fn missing(sample: &RowSample) -> Vec<String> {
    let marks = sample.drafts.iter().flat_map(|(_, cells)| cells.filled());
    let marks = marks.map(|(_, cell)| cell).filter(|cell| cells::stands_for_nothing(cell));
    let marks: BTreeSet<String> = std::iter::once("").chain(marks).map(str::to_owned).collect();
    marks.into_iter().collect()
}
