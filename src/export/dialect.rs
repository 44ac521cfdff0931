//! What stands between cells, and where the header is: decided on header words, never on the number of commas alone.

use std::collections::BTreeSet;

use super::meaning::Meaning;
use super::table::{Cells, Splitter};
use super::text::{Text, TextLine};
use super::words::{HeaderWord, header_word};
use crate::units::LineNo;

/// Delimiters an export may use. Where two do equally well, the earlier one wins.
const DELIMITERS: [char; 4] = [',', ';', '\t', '|'];

/// The header is looked for in so many lines from the top: what stands above it is a preamble.
const HEADER_WITHIN_LINES: usize = 60;

/// A table found in a text.
#[derive(Debug, Clone)]
pub struct Table {
    /// What stands between its cells.
    pub delimiter: char,
    /// The line of its header.
    pub header_line: LineNo,
    /// The header's cells.
    pub header: Cells,
    /// What each column means, as far as the header says.
    pub words: Vec<Option<HeaderWord>>,
}

impl Table {
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

    /// Whether the header names a column of this meaning.
    #[must_use]
    pub fn has(&self, meaning: Meaning) -> bool {
        self.column(meaning).is_some()
    }

    /// How many different meanings the header names.
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
}

/// Finds the header line and the delimiter under which most columns are understood.
///
/// `None` where no line of the top names at least two columns in words this program knows.
#[must_use]
pub fn find_table(text: &Text) -> Option<Table> {
    let mut finder = HeaderFinder::default();
    let mut best: Option<(usize, Table)> = None;
    for line in text.lines().take(HEADER_WITHIN_LINES) {
        let Some(table) = finder.header(line) else { continue };
        let known = table.known();
        if best.as_ref().is_none_or(|(most, _)| known > *most) {
            best = Some((known, table));
        }
    }
    best.map(|(_, table)| table)
}

/// Reads lines as headers.
pub struct HeaderFinder {
    splitters: [(char, Splitter); 4],
}

impl Default for HeaderFinder {
    fn default() -> Self {
        Self { splitters: DELIMITERS.map(|delimiter| (delimiter, Splitter::new(delimiter))) }
    }
}

impl HeaderFinder {
    /// The table a line opens as a header, under the delimiter that makes most of it; `None` where it names less than
    /// two columns in words this program knows.
    pub fn header(&mut self, line: TextLine<'_>) -> Option<Table> {
        let mut best: Option<(usize, Table)> = None;
        for (delimiter, splitter) in &mut self.splitters {
            if !line.text.contains(*delimiter) {
                continue;
            }
            let header = splitter.split(line.text);
            let words = (0..header.count()).map(|index| header.get(index).and_then(header_word)).collect();
            let table = Table { delimiter: *delimiter, header_line: line.number, header, words };
            let known = table.known();
            if known >= 2 && best.as_ref().is_none_or(|(most, _)| known > *most) {
                best = Some((known, table));
            }
        }
        best.map(|(_, table)| table)
    }
}
