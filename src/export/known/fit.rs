//! Whether a kept layout fits an export, and what differs where it does not.
//!
//! It fits where the export has the same shape, as many columns and the same titles, and where its cells can be what the
//! layout says. An export it does not fit is read as usual.

use super::super::cells;
use super::super::date_order::DateReading;
use super::super::dates::{self, DateParts};
use super::super::dialect::{HEADER_WITHIN_LINES, Table, find_table, sample, with_units};
use super::super::encoding::Encoding;
use super::super::infer;
use super::super::layout::Layout;
use super::super::meaning::Meaning;
use super::super::profile::nearly_all;
use super::super::rows::titles;
use super::super::settle::Settled;
use super::super::shape::{Shape, is_of_figure};
use super::super::table::{Cells, Splitter};
use super::super::text::{Text, TextLine};
use super::super::words::{HeaderWord, normalised};
use super::{KnownColumn, KnownLayout};
use crate::units::{Confidence, LineNo};

/// So many rows show whether cells are what the layout says.
const MOST_ROWS: usize = 500;

/// A header of an export that names so many known columns is one, also where the layout has none.
const UNDERSTOOD: usize = 3;

/// A text read by a layout that fits it.
pub struct Fitted {
    /// The text, in the encoding that holds for it.
    pub text: Text,
    /// Its table, as the layout has it.
    pub table: Table,
}

/// Lays a layout over the bytes of an export.
///
/// # Errors
/// What differs, in words that follow "the layout does not fit:".
pub fn fitted(known: &KnownLayout, bytes: &[u8]) -> Result<Fitted, String> {
    let text = text(known, bytes);
    let table = {
        let lines = sample(&text);
        let mut splitter = Splitter::new(&known.shape);
        let cells: Vec<Cells> = lines.iter().map(|line| splitter.split(line.text)).collect();
        let table = if known.title_lines.is_empty() {
            headless(known, &text, &lines, &cells)?
        } else {
            headed(known, &lines, &cells).ok_or_else(|| other_header(known, &text))?
        };
        let rows: Vec<(&TextLine<'_>, &Cells)> = lines
            .iter()
            .zip(&cells)
            .filter(|(line, cells)| line.number > table.rows_after && infer::is_row(cells))
            .take(MOST_ROWS)
            .collect();
        uncut(known, &rows)?;
        same_units(known, &table)?;
        readable(known, &rows)?;
        table
    };
    Ok(Fitted { text, table })
}

/// What the layout says holds, whatever the rows show.
pub fn impose(known: &KnownLayout, table: &Table, settled: &mut Settled) {
    settled.decimal_mark = known.decimal_mark;
    if let (Some(order), Some(_)) = (known.date_order, settled.dates) {
        settled.dates = Some(DateReading { order, uncertain: false, same_either_way: false });
    }
    if !table.has(Meaning::Unit) {
        settled.unit = settled.unit.or(known.unit);
    }
}

impl Layout {
    /// Marks it as said by a layout that was given: nothing of it is in doubt.
    pub(in crate::export) fn mark_given(&mut self) {
        self.given = true;
        self.columns.iter_mut().for_each(|column| column.confidence = Confidence::CERTAIN);
    }
}

/// Which one-byte page a text is in cannot be seen in it for sure: the layout says it. Everything else shows itself.
fn text(known: &KnownLayout, bytes: &[u8]) -> Text {
    let seen = Text::decode(bytes);
    let page = |name| Encoding::named(name).filter(|encoding| encoding.is_page());
    match (page(seen.encoding), page(known.encoding)) {
        (Some(_), Some(said)) => Text::decode_as(bytes, said),
        _ => seen,
    }
}

fn wanted_titles(known: &KnownLayout) -> Vec<String> {
    known.columns.iter().map(|column| column.title.as_deref().map(normalised).unwrap_or_default()).collect()
}

/// The table under the titles of the layout.
fn headed(known: &KnownLayout, lines: &[TextLine<'_>], cells: &[Cells]) -> Option<Table> {
    let (height, wanted) = (known.title_lines.len(), wanted_titles(known));
    let mut splitter = Splitter::new(&known.shape);
    let (at, header) = (0..HEADER_WITHIN_LINES).find_map(|at| {
        let titled = lines.get(at..at + height)?.iter().map(|line| splitter.titles(line.text));
        let header = titled.reduce(|above, below| above.over(&below))?;
        (titles(&header) == wanted).then_some((at, header))
    })?;
    let (lines_of_it, cells_of_it) = (lines.get(at..at + height)?, cells.get(at..at + height)?);
    let table = Table {
        shape: known.shape.clone(),
        header_lines: lines_of_it.iter().map(|line| line.number).collect(),
        rows_after: lines_of_it.last()?.number,
        header,
        titles: cells_of_it.iter().map(titles).collect(),
        words: words(known),
    };
    Some(with_units(table, lines))
}

/// The table of rows without titles.
fn headless(known: &KnownLayout, text: &Text, lines: &[TextLine<'_>], cells: &[Cells]) -> Result<Table, String> {
    let headed = find_table(text).filter(|table| !table.header_lines.is_empty() && table.known() >= UNDERSTOOD);
    if let Some(table) = headed {
        let line = table.header_lines.first().map_or(1, |line| line.0);
        return Err(format!("it has titles on line {line}, the layout has none"));
    }
    let columns = known.columns.len();
    match infer::usual_width(cells.iter()) {
        Some(width) if width == columns => {}
        Some(width) => return Err(format!("its rows have {width} columns, the layout {columns}")),
        None => return Err("it has no row of figures".to_owned()),
    }
    let is_first = |(_, cells): &(&TextLine<'_>, &Cells)| cells.count() == columns && infer::is_row(cells);
    let first = lines.iter().zip(cells).find(is_first).map_or(1, |(line, _)| line.number.0);
    Ok(Table {
        shape: known.shape.clone(),
        header_lines: Vec::new(),
        rows_after: LineNo(first.saturating_sub(1)),
        header: Cells::empty(columns),
        titles: Vec::new(),
        words: words(known),
    })
}

fn words(known: &KnownLayout) -> Vec<Option<HeaderWord>> {
    let word = |column: &KnownColumn| {
        let word = HeaderWord { meaning: column.meaning, unit: column.unit, confidence: Confidence::CERTAIN };
        (column.meaning != Meaning::Ignored).then_some(word)
    };
    known.columns.iter().map(word).collect()
}

/// What the export has instead of the titles of the layout.
fn other_header(known: &KnownLayout, text: &Text) -> String {
    let Some(table) = find_table(text) else { return "no table was found in it".to_owned() };
    if table.header_lines.is_empty() {
        return "it has no titles, the layout has".to_owned();
    }
    if table.shape != known.shape && !matches!((&table.shape, &known.shape), (Shape::Columns(_), Shape::Columns(_))) {
        return format!("its cells stand {}, in the layout {}", table.shape.in_words(), known.shape.in_words());
    }
    let (own, wanted) = (table.header.count(), known.columns.len());
    if own != wanted {
        return format!("it has {own} columns, the layout {wanted}");
    }
    let differs = titles(&table.header).into_iter().zip(wanted_titles(known)).position(|(own, wanted)| own != wanted);
    differs.map_or_else(
        || "its titles stand on other lines than in the layout".to_owned(),
        |index| {
            let named = |title: Option<&str>| title.map_or("no title".to_owned(), |title| format!("\"{title}\""));
            let wanted = known.columns.get(index).and_then(|column| column.title.as_deref());
            format!("column {} has {}, in the layout {}", index + 1, named(table.header.get(index)), named(wanted))
        },
    )
}

/// No cell of a fixed width may be cut by where the layout says that columns begin.
fn uncut(known: &KnownLayout, rows: &[(&TextLine<'_>, &Cells)]) -> Result<(), String> {
    let Shape::Columns(starts) = &known.shape else { return Ok(()) };
    for start in starts.iter().filter(|start| **start > 0) {
        let whole = |line: &str| {
            let mut letters = line.chars().skip(start - 1);
            match (letters.next(), letters.next()) {
                (Some(before), Some(first)) => {
                    before.is_whitespace() || first.is_whitespace() || is_of_figure(before) && is_of_figure(first)
                }
                _ => true,
            }
        };
        let uncut = rows.iter().filter(|(line, _)| whole(line.text)).count();
        if !rows.is_empty() && !nearly_all(uncut, rows.len()) {
            return Err(format!("no column begins at place {start} of its lines, as in the layout"));
        }
    }
    Ok(())
}

/// What the export says of its units goes before the layout, which then is that of another export.
fn same_units(known: &KnownLayout, table: &Table) -> Result<(), String> {
    for (index, (word, column)) in table.words.iter().zip(&known.columns).enumerate() {
        if let (Some(own), Some(wanted)) = (word.as_ref().and_then(|word| word.unit), column.unit)
            && own != wanted
        {
            return Err(format!("column {} is in {own}, in the layout in {wanted}", index + 1));
        }
    }
    Ok(())
}

/// Most cells of each column that counts can be what the layout says.
fn readable(known: &KnownLayout, rows: &[(&TextLine<'_>, &Cells)]) -> Result<(), String> {
    for (index, column) in known.columns.iter().enumerate() {
        let cells: Vec<&str> = rows
            .iter()
            .filter_map(|(_, cells)| cells.get(index))
            .filter(|cell| !cells::stands_for_nothing(cell))
            .collect();
        let at = format!("column {} ({})", index + 1, column.meaning.words());
        if let Some(other) = cells.iter().find(|cell| !can_be(known, column.meaning, cell)) {
            let good = cells.iter().filter(|cell| can_be(known, column.meaning, cell)).count();
            // Totals and damaged rows stand between rows.
            if good * 2 <= cells.len() {
                return Err(format!("{at} holds \"{}\"", other.chars().take(30).collect::<String>()));
            }
        }
        dated(known, column.meaning, &cells).map_err(|cell| format!("{at}: {cell} is no day in the layout's order"))?;
    }
    Ok(())
}

fn can_be(known: &KnownLayout, meaning: Meaning, cell: &str) -> bool {
    let day = |cell: &str| DateParts::read(cell).is_some();
    match meaning {
        Meaning::Transaction => cells::transaction(cell).is_some(),
        Meaning::Head => cells::head(cell).is_some(),
        Meaning::Gross | Meaning::Net => cells::weight(cell, known.decimal_mark).is_some(),
        Meaning::Date => day(dates::split_datetime(cell).0),
        Meaning::Datetime => day(dates::split_datetime(cell).0) && cell.contains(':'),
        Meaning::Time => dates::time_in_column(cell).is_some(),
        _ => true,
    }
}

/// Dates that are real days in another order only are a sign of another layout; one bad date among many is not.
fn dated(known: &KnownLayout, meaning: Meaning, cells: &[&str]) -> Result<(), String> {
    let Some(order) = known.date_order.filter(|_| matches!(meaning, Meaning::Date | Meaning::Datetime)) else {
        return Ok(());
    };
    let dates = || cells.iter().filter_map(|cell| Some((cell, DateParts::read(dates::split_datetime(cell).0)?)));
    let (all, good) = (dates().count(), dates().filter(|(_, parts)| parts.date(order).is_some()).count());
    if all == 0 || nearly_all(good, all) {
        return Ok(());
    }
    let first = dates().find(|(_, parts)| parts.date(order).is_none());
    Err(first.map_or_else(String::new, |(cell, _)| (*cell).to_owned()))
}
