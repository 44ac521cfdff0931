//! Finds the table of a text: its shape and its header, decided together with what the columns mean, never on the number of
//! commas alone.

use std::collections::BTreeSet;

use super::cells;
use super::dates;
use super::infer;
use super::meaning::Meaning;
use super::rows::titles;
use super::shape::{self, DELIMITERS, Shape};
use super::table::{Cells, Splitter};
use super::text::{Text, TextLine};
use super::words::{HeaderWord, header_word, likely_word, unit_in_row, unit_title};
use crate::units::LineNo;

/// The header is looked for in so many lines from the top: what stands above it is a preamble.
pub(super) const HEADER_WITHIN_LINES: usize = 60;

/// So many lines decide on the shape and on what the columns mean.
const SAMPLE_LINES: usize = 2_000;

/// A table found in a text.
#[derive(Debug, Clone)]
pub struct Table {
    /// How its cells stand on a line.
    pub shape: Shape,
    /// The lines of its header, a row of units among them; none where it has no header.
    pub header_lines: Vec<LineNo>,
    /// Its rows stand behind this line.
    pub rows_after: LineNo,
    /// The header's cells, those of two lines joined; empty ones where there is no header.
    pub header: Cells,
    /// The titles of each line of the header, to know them again.
    pub titles: Vec<Vec<String>>,
    /// What each column means, as far as header and values say.
    pub words: Vec<Option<HeaderWord>>,
}

impl Table {
    fn headed(splitter: &mut Splitter, shape: &Shape, lines: &[TextLine<'_>]) -> Option<Self> {
        let titled = lines.iter().map(|line| splitter.titles(line.text));
        let header = titled.reduce(|above, below| above.over(&below))?;
        let words = (0..header.count()).map(|index| header.get(index).and_then(header_word)).collect();
        Some(Self {
            shape: shape.clone(),
            header_lines: lines.iter().map(|line| line.number).collect(),
            rows_after: lines.last()?.number,
            header,
            titles: lines.iter().map(|line| titles(&splitter.split(line.text))).collect(),
            words,
        })
    }

    /// A table of so many columns without a header.
    fn bare(shape: &Shape, columns: usize, rows_after: LineNo) -> Self {
        Self {
            shape: shape.clone(),
            header_lines: Vec::new(),
            rows_after,
            header: Cells::empty(columns),
            titles: Vec::new(),
            words: vec![None; columns],
        }
    }

    /// The first column of a meaning.
    #[must_use]
    pub fn column(&self, meaning: Meaning) -> Option<usize> {
        self.words.iter().position(|word| word.is_some_and(|word| word.meaning == meaning))
    }

    /// Takes a column for another meaning, where no column has that one.
    pub fn take_for(&mut self, meaning: Meaning, instead: Meaning) {
        if !self.has(instead)
            && let Some(word) = self.words.iter_mut().flatten().find(|word| word.meaning == meaning)
        {
            word.meaning = instead;
        }
    }

    /// Whether a column has this meaning.
    #[must_use]
    pub fn has(&self, meaning: Meaning) -> bool {
        self.column(meaning).is_some()
    }

    /// How many different meanings there are.
    #[must_use]
    pub fn known(&self) -> usize {
        let meanings: BTreeSet<_> = self.words.iter().flatten().map(|word| word.meaning).collect();
        meanings.len()
    }

    /// Whether it is the table of an export: it numbers weighings, states their weights, and head or date.
    #[must_use]
    pub fn is_export(&self) -> bool {
        let weighs = self.has(Meaning::Gross) || self.has(Meaning::Net);
        let places = self.has(Meaning::Head) || self.has(Meaning::Date) || self.has(Meaning::Datetime);
        weighs && places && self.has(Meaning::Transaction)
    }

    /// The columns of a meaning, where there are several.
    pub fn columns(&self, meaning: Meaning) -> impl Iterator<Item = usize> {
        let words = self.words.iter().enumerate();
        words.filter(move |(_, word)| word.is_some_and(|word| word.meaning == meaning)).map(|(index, _)| index)
    }

    /// Gives columns whose titles are not known the meaning that a column of the same title, or with none in the same turn,
    /// has in an earlier table of the file.
    pub fn take_over(&mut self, earlier: &Self) {
        for index in 0..self.words.len() {
            let title = self.header.get(index);
            let before = (0..index).filter(|other| self.header.get(*other).is_none()).count();
            let mut same = (0..earlier.words.len()).filter(|other| earlier.header.get(*other) == title);
            // Of columns without a title, the first is the first again, wherever it stands.
            let other = if title.is_some() { same.next() } else { same.nth(before) };
            let word = other.and_then(|other| *earlier.words.get(other)?);
            if let Some(word) = word.filter(|word| !self.has(word.meaning))
                && let Some(open) = self.words.get_mut(index).filter(|own| own.is_none())
            {
                *open = Some(word);
            }
        }
    }

    /// Takes what titles that are no known words say by `read`, where no other column has that meaning.
    fn take_titles(&mut self, read: impl Fn(&str) -> Option<HeaderWord>) {
        for index in 0..self.words.len() {
            let open = self.words.get(index).is_some_and(Option::is_none);
            let likely = self.header.get(index).filter(|_| open).and_then(&read);
            if let Some(likely) = likely.filter(|likely| !self.has(likely.meaning))
                && let Some(word) = self.words.get_mut(index)
            {
                *word = Some(likely);
            }
        }
    }

    /// Whether the table begins on this line: with its header, or without one with its first row.
    #[must_use]
    pub fn begins_at(&self, line: LineNo) -> bool {
        self.header_lines.first().map_or(line > self.rows_after, |first| *first == line)
    }

    /// Takes the units of a row of units under the header; whether it was one.
    pub fn takes_units(&mut self, line: LineNo, cells: &Cells) -> bool {
        let Some(units) = unit_in_row(cells) else { return false };
        for (word, unit) in self.words.iter_mut().zip(units) {
            if let (Some(word), Some(unit)) = (word, unit) {
                word.unit = Some(unit);
            }
        }
        self.header_lines.push(line);
        self.rows_after = line;
        self.titles.push(titles(cells));
        true
    }
}

/// Finds the table of an export: by its header, else by what its columns hold. Columns that the header leaves open are
/// filled in from their values.
#[must_use]
pub fn find_table(text: &Text) -> Option<Table> {
    let lines = sample(text);
    let shapes = shapes(&lines);
    // Titles and names have blanks in them, so that a mark between cells is believed first.
    let (marked, spaced): (Vec<Shape>, Vec<Shape>) =
        shapes.into_iter().partition(|shape| matches!(shape, Shape::Delimited(_)));
    let headed = |shapes: &[Shape]| headed(shapes, &lines).map(|table| completed(table, &lines));
    let export = |table: &Table| table.is_export();
    let by_header = headed(&marked);
    if let Some(found) = by_header.clone().filter(export).or_else(|| headed(&spaced).filter(export)) {
        return Some(found);
    }
    // A header that is understood and is not that of an export, such as of a list of tickets, settles what it is.
    match by_header {
        Some(table) if table.known() >= UNDERSTOOD => Some(table),
        other => without_header(&marked, &lines).or_else(|| without_header(&spaced, &lines)).or(other),
    }
}

/// A header that names so many different columns in known words is one.
const UNDERSTOOD: usize = 3;

/// Finds the table of a typed list, whose header must be there.
#[must_use]
pub fn find_headed_table(text: &Text) -> Option<Table> {
    let lines = sample(text);
    let (marked, spaced): (Vec<Shape>, Vec<Shape>) =
        shapes(&lines).into_iter().partition(|shape| matches!(shape, Shape::Delimited(_)));
    headed(&marked, &lines).or_else(|| headed(&spaced, &lines))
}

/// The lines that decide.
pub(super) fn sample(text: &Text) -> Vec<TextLine<'_>> {
    text.lines().take(SAMPLE_LINES).collect()
}

/// A first line such as `sep=;` settles the delimiter (a habit of spreadsheets; common practice, no source).
fn shapes(lines: &[TextLine<'_>]) -> Vec<Shape> {
    let stated = lines.first().and_then(|line| line.text.trim().strip_prefix("sep=")?.chars().next());
    match stated.filter(|delimiter| DELIMITERS.contains(delimiter)) {
        Some(delimiter) => vec![Shape::Delimited(delimiter)],
        None => shape::possible(lines),
    }
}

/// The header line, or the two of them, under which most columns are understood.
fn headed(shapes: &[Shape], lines: &[TextLine<'_>]) -> Option<Table> {
    let mut best: Option<((usize, usize), Table)> = None;
    for shape in shapes {
        let mut splitter = Splitter::new(shape);
        for at in 0..lines.len().min(HEADER_WITHIN_LINES) {
            for height in [1, 2] {
                let Some(table) = header_at(&mut splitter, shape, lines, at, height) else { continue };
                let known = table.known();
                if known < 2 {
                    continue;
                }
                let worth = (fitting(&table, lines), known);
                if best.as_ref().is_none_or(|(most, _)| worth > *most) {
                    best = Some((worth, table));
                }
            }
        }
    }
    best.map(|(_, table)| with_units(table, lines))
}

/// How many rows under a header have a number, a weight and a time where it says. Where no mark stands between cells this
/// decides before the words: titles have blanks in them too. With a mark, words decide alone.
fn fitting(table: &Table, lines: &[TextLine<'_>]) -> usize {
    if matches!(table.shape, Shape::Delimited(_)) {
        return 0;
    }
    let mut table = table.clone();
    table.take_titles(unit_title);
    let fits = |row: &Cells| {
        let cell = |meaning| table.column(meaning).map(|column| row.get(column));
        let number = cell(Meaning::Transaction).flatten().is_some_and(|cell| cells::transaction(cell).is_some());
        let weight = cell(Meaning::Gross).or(cell(Meaning::Net)).flatten().is_some_and(cells::figure);
        let time =
            cell(Meaning::Time).is_none_or(|cell| cell.is_some_and(|cell| dates::time_in_column(cell).is_some()));
        let head = cell(Meaning::Head).is_none_or(|cell| cell.is_some_and(|cell| cells::head(cell).is_some()));
        number && weight && time && head && row.count() <= table.header.count()
    };
    rows(&table, lines).iter().filter(|row| fits(row)).count()
}

/// The table that begins at line `at` with a header of so many lines.
fn header_at(
    splitter: &mut Splitter,
    shape: &Shape,
    lines: &[TextLine<'_>],
    at: usize,
    height: usize,
) -> Option<Table> {
    let lines = lines.get(at..at + height)?;
    if lines.iter().any(|line| is_of_figures(line.text)) {
        return None;
    }
    let words_only = |line: &TextLine<'_>| !line.text.bytes().any(|byte| byte.is_ascii_digit());
    if height > 1 && !lines.iter().all(words_only) {
        return None;
    }
    Table::headed(splitter, shape, lines).filter(|table| matches!(shape, Shape::Delimited(_)) || is_no_prose(table))
}

/// Whether so much of a line is digits that it heads nothing.
fn is_of_figures(text: &str) -> bool {
    text.bytes().filter(u8::is_ascii_digit).count() * 4 > text.len()
}

/// A sentence holds some words that head columns too; of a header without marks at least every other word is one.
fn is_no_prose(table: &Table) -> bool {
    let known = table.words.iter().flatten().count();
    known * 2 >= table.header.filled().count()
}

/// The line under the header may name the units.
pub(super) fn with_units(mut table: Table, lines: &[TextLine<'_>]) -> Table {
    if let Some(line) = lines.iter().find(|line| line.number > table.rows_after) {
        let mut splitter = Splitter::new(&table.shape);
        if table.takes_units(line.number, &splitter.titles(line.text)) {
            // Known again as its cells are split where it stands again.
            table.titles.push(titles(&splitter.split(line.text)));
        }
    }
    table
}

/// The rows of a table within the sample, up to the next header with other titles.
fn rows(table: &Table, lines: &[TextLine<'_>]) -> Vec<Cells> {
    let mut splitter = Splitter::new(&table.shape);
    let below = lines.iter().filter(|line| line.number > table.rows_after);
    let cells = below.map(|line| splitter.split(line.text)).filter(|cells| !titles_again(table, cells));
    cells.take_while(|cells| !opens_another(cells)).collect()
}

/// Titles without a figure among them, at least three of them known.
fn opens_another(cells: &Cells) -> bool {
    let wordy = cells.filled().all(|(_, cell)| !cell.bytes().any(|byte| byte.is_ascii_digit()));
    wordy && cells.filled().filter(|(_, cell)| header_word(cell).is_some()).count() >= UNDERSTOOD
}

fn titles_again(table: &Table, cells: &Cells) -> bool {
    table.titles.contains(&titles(cells))
}

/// What the header leaves open is filled in from the values.
fn completed(mut table: Table, lines: &[TextLine<'_>]) -> Table {
    table.take_titles(unit_title);
    let rows = rows(&table, lines);
    // A title that nothing in its column bears out is not believed, if the table is one of an export without it.
    let mut doubted = table.clone();
    if infer::drop_contradicted(&mut doubted.words, &rows) {
        infer::complete(&mut doubted.words, &rows);
        if doubted.is_export() {
            table = doubted;
        }
    }
    if table.words.iter().any(Option::is_none) {
        infer::complete(&mut table.words, &rows);
        table.take_titles(likely_word);
    }
    table
}

/// A table without a header: the shape under which the values show most.
fn without_header(shapes: &[Shape], lines: &[TextLine<'_>]) -> Option<Table> {
    let mut best: Option<(usize, Table)> = None;
    for shape in shapes {
        let Some(table) = bare(shape, lines) else { continue };
        let known = table.known();
        if table.is_export() && best.as_ref().is_none_or(|(most, _)| known > *most) {
            best = Some((known, table));
        }
    }
    best.map(|(_, table)| table)
}

/// Its rows are the lines with the commonest number of cells; the first of them begins it.
fn bare(shape: &Shape, lines: &[TextLine<'_>]) -> Option<Table> {
    let mut splitter = Splitter::new(shape);
    let all: Vec<(LineNo, Cells)> = lines.iter().map(|line| (line.number, splitter.split(line.text))).collect();
    let columns = infer::usual_width(all.iter().map(|(_, cells)| cells))?;
    let shaped = |cells: &Cells| cells.count() == columns && infer::is_row(cells);
    let first = all.iter().find(|(_, cells)| shaped(cells))?.0;
    let rows: Vec<Cells> = all.into_iter().map(|(_, cells)| cells).filter(shaped).collect();
    let mut table = Table::bare(shape, columns, LineNo(first.0.saturating_sub(1)));
    infer::complete(&mut table.words, &rows);
    Some(table)
}

/// Reads lines as headers.
pub struct HeaderFinder {
    splitters: Vec<(Shape, Splitter)>,
}

impl HeaderFinder {
    /// A finder for further headers of a text whose first table has this shape.
    #[must_use]
    pub fn new(first: &Shape) -> Self {
        let marked = DELIMITERS.map(Shape::Delimited).into_iter().filter(|shape| shape != first);
        let shapes = std::iter::once(first.clone()).chain(marked);
        Self { splitters: shapes.map(|shape| (shape.clone(), Splitter::new(&shape))).collect() }
    }

    /// The table that lines open as a header together, under the shape that makes most of them; `None` where they name less
    /// than two columns in words this program knows.
    pub fn header(&mut self, lines: &[TextLine<'_>]) -> Option<Table> {
        let mut best: Option<(usize, Table)> = None;
        for (shape, splitter) in &mut self.splitters {
            if matches!(shape, Shape::Delimited(delimiter) if !lines.iter().all(|line| line.text.contains(*delimiter)))
            {
                continue;
            }
            let Some(table) = Table::headed(splitter, shape, lines) else { continue };
            let known = table.known();
            if known >= 2 && best.as_ref().is_none_or(|(most, _)| known > *most) {
                best = Some((known, table));
            }
        }
        best.map(|(_, table)| table)
    }
}
