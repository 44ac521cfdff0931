//! What columns mean by their values, where no header says it.

use std::collections::{BTreeMap, BTreeSet};

use super::cells;
use super::dates::{self, DateParts};
use super::meaning::Meaning;
use super::profile::Column;
use super::relations::{self, Averaged, Summed};
use super::table::Cells;
use super::vocabulary;
use super::words::{HeaderWord, says_total};
use crate::units::Confidence;

/// How sure values alone make a meaning, in hundredths: that one column follows from others; that nothing else looks like it;
/// that it is the likeliest.
const PROVED: u8 = 95;
const SEEN: u8 = 85;
const LIKELY: u8 = 60;

/// So many rows are weighed against each other; more would only take longer.
const MOST_ROWS: usize = 500;

/// Nothing is inferred from fewer rows.
const LEAST_ROWS: usize = 3;

/// Fills in what the header leaves open. Where there is a header, only what the values prove or show plainly is filled in:
/// a column with a title nobody knows may hold anything.
pub fn complete(words: &mut [Option<HeaderWord>], rows: &[Cells]) {
    let headless = words.iter().all(Option::is_none);
    let usual = usual_width(rows.iter());
    let mut seen = BTreeSet::new();
    let rows: Vec<Cells> = rows
        .iter()
        .filter(|row| is_row(row) && usual.is_none_or(|usual| row.count() >= usual))
        .filter(|row| !row.filled().any(|(_, cell)| says_total(cell)))
        // A row that stands twice, as a reprint does, shows nothing new.
        .filter(|row| seen.insert((*row).clone()))
        .take(MOST_ROWS)
        .cloned()
        .collect();
    if rows.len() < LEAST_ROWS {
        return;
    }
    let mark = decimal_mark(&rows);
    let columns = (0..words.len()).map(|index| Column::of(&rows, index, mark)).collect();
    let mut inference = Inference { columns, words };
    inference.times();
    inference.counters();
    inference.weights();
    if headless {
        inference.codes();
        inference.names();
    }
}

/// Takes the meaning of columns back in which nothing can be read as that; whether there were any.
pub fn drop_contradicted(words: &mut [Option<HeaderWord>], rows: &[Cells]) -> bool {
    let mut any = false;
    for (index, word) in words.iter_mut().enumerate() {
        let Some(meaning) = word.map(|word| word.meaning) else { continue };
        let cells = || rows.iter().filter(|row| is_row(row)).take(MOST_ROWS).filter_map(|row| row.get(index));
        if cells().count() >= LEAST_ROWS && !cells().any(|cell| can_be(meaning, cell)) {
            *word = None;
            any = true;
        }
    }
    any
}

/// Whether a cell can be read as this; what is no figure and no time can be anything.
fn can_be(meaning: Meaning, cell: &str) -> bool {
    match meaning {
        Meaning::Transaction => cells::transaction(cell).is_some(),
        Meaning::Head => cells::head(cell).is_some(),
        Meaning::Gross | Meaning::Net | Meaning::Tare | Meaning::Average | Meaning::PayWeight => cells::figure(cell),
        Meaning::Time => dates::time_in_column(cell).is_some(),
        Meaning::Date | Meaning::Datetime => DateParts::read(dates::split_datetime(cell).0).is_some(),
        _ => true,
    }
}

/// Whether a line is made of figures as a row is.
#[must_use]
pub fn is_row(cells: &Cells) -> bool {
    cells.filled().filter(|(_, cell)| cell.bytes().any(|byte| byte.is_ascii_digit())).count() >= 3
}

fn digits(cell: &str) -> usize {
    cell.bytes().filter(u8::is_ascii_digit).count()
}

/// The number of cells that most rows have.
pub fn usual_width<'a>(rows: impl Iterator<Item = &'a Cells>) -> Option<usize> {
    let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
    for row in rows.filter(|row| is_row(row)) {
        *widths.entry(row.count()).or_default() += 1;
    }
    widths.into_iter().max_by_key(|(_, count)| *count).map(|(width, _)| width)
}

/// A comma is the decimal mark where more figures end in a comma and one or two digits than in a point and such.
fn decimal_mark(rows: &[Cells]) -> char {
    let ends = |cell: &str, mark: char| {
        let figure = cell.trim_end_matches(|letter: char| !letter.is_ascii_digit());
        let digits = figure.rsplit_once(mark).map_or(0, |(_, digits)| digits.len());
        let only = figure.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b',' | b'.' | b'-' | b' '));
        (1..=2).contains(&digits) && only && figure.matches(mark).count() == 1
    };
    let count = |mark| rows.iter().flat_map(Cells::filled).filter(|(_, cell)| ends(cell, mark)).count();
    if count(',') > count('.') { ',' } else { '.' }
}

struct Inference<'a, 'w> {
    columns: Vec<Column<'a>>,
    words: &'w mut [Option<HeaderWord>],
}

impl<'a> Inference<'a, '_> {
    fn has(&self, meaning: Meaning) -> bool {
        self.column(meaning).is_some()
    }

    fn column(&self, meaning: Meaning) -> Option<usize> {
        self.words.iter().position(|word| word.is_some_and(|word| word.meaning == meaning))
    }

    fn set(&mut self, index: usize, meaning: Meaning, hundredths: u8) {
        if let Some(word) = self.words.get_mut(index).filter(|word| word.is_none()) {
            *word = Some(HeaderWord { meaning, unit: None, confidence: Confidence::percent(hundredths) });
        }
    }

    /// The columns that still mean nothing and are so.
    fn free(&self, is_so: impl Fn(&Column<'a>) -> bool) -> Vec<usize> {
        let open = self.columns.iter().zip(self.words.iter()).enumerate();
        open.filter(|(_, (column, word))| word.is_none() && is_so(column)).map(|(index, _)| index).collect()
    }

    fn times(&mut self) {
        let dated = self.has(Meaning::Date) || self.has(Meaning::Datetime);
        if !dated && let Some(index) = self.free(Column::is_date).first() {
            self.set(*index, Meaning::Date, SEEN);
        } else if !dated && let Some(index) = self.free(Column::is_datetime).first() {
            self.set(*index, Meaning::Datetime, SEEN);
        }
        let timed = self.has(Meaning::Time) || self.has(Meaning::Datetime);
        if !timed && let Some(index) = self.free(Column::is_time).first() {
            self.set(*index, Meaning::Time, SEEN);
        }
        if !self.has(Meaning::Unit)
            && let Some(index) = self.free(Column::is_unit).first()
        {
            self.set(*index, Meaning::Unit, SEEN);
        }
    }

    /// Of several columns that count, the one that numbers the lines of the file is not the indicator's.
    fn counters(&mut self) {
        if self.has(Meaning::Transaction) {
            return;
        }
        let counting = self.free(Column::counts);
        let numbers_lines = |index: &usize| self.columns.get(*index).is_some_and(Column::numbers_lines);
        let (lines, others): (Vec<usize>, Vec<usize>) = counting.iter().partition(|index| numbers_lines(index));
        if let (Some(line), false) = (lines.first(), others.is_empty()) {
            self.set(*line, Meaning::LineNumber, SEEN);
        }
        if let Some(index) = others.first().or(lines.first()) {
            self.set(*index, Meaning::Transaction, SEEN);
        }
    }

    fn weights(&mut self) {
        let numeric = self.open_or_weights();
        let averaged = relations::averaged(&self.columns, &numeric);
        let summed = relations::summed(&self.columns, &numeric);
        if let Some(Averaged { head, weight, average }) = averaged {
            self.set_missing(head, Meaning::Head, PROVED);
            self.set_missing(average, Meaning::Average, PROVED);
            if summed.is_none_or(|summed| summed.net != weight) {
                self.set_missing(weight, Meaning::Gross, PROVED);
            }
        }
        if let Some(Summed { gross, tare, net }) = summed {
            self.set_missing(gross, Meaning::Gross, PROVED);
            self.set_missing(tare, Meaning::Tare, PROVED);
            self.set_missing(net, Meaning::Net, PROVED);
        }
        self.head_and_gross();
        self.running_totals();
        self.shrink();
    }

    /// Columns of figures that are still open, and those a header already takes for weights, for they prove the others.
    fn open_or_weights(&self) -> Vec<usize> {
        use Meaning::{Average, Gross, Head, Net, Tare};
        let open = self.columns.iter().zip(self.words.iter()).enumerate();
        let weighs = |word: &Option<HeaderWord>| {
            word.is_none_or(|word| matches!(word.meaning, Head | Gross | Net | Tare | Average))
        };
        open.filter(|(_, (column, word))| weighs(word) && column.is_numeric()).map(|(index, _)| index).collect()
    }

    fn set_missing(&mut self, index: usize, meaning: Meaning, hundredths: u8) {
        if !self.has(meaning) {
            self.set(index, meaning, hundredths);
        }
    }

    /// Where nothing proves them: the heaviest column that can be weights of the smallest whole numbers.
    fn head_and_gross(&mut self) {
        let heads = match self.column(Meaning::Head) {
            Some(head) => vec![head],
            None => self.free(|column| relations::could_be_head(column) && !column.counts() && column.median() > 0),
        };
        let weights = match self.column(Meaning::Gross).or(self.column(Meaning::Net)) {
            Some(weight) => vec![weight],
            None => self.free(|column| column.is_numeric() && !column.counts()),
        };
        let pairs = heads.iter().flat_map(|head| weights.iter().map(move |weight| (*head, *weight)));
        let plausible = pairs.filter(|(head, weight)| match (self.columns.get(*head), self.columns.get(*weight)) {
            (Some(head), Some(weight)) => relations::plausible_weight(head, weight),
            _ => false,
        });
        // The one whose cells change most: lots and pens stay the same for a while.
        let changes = |head: &usize| self.columns.get(*head).map_or(0, Column::changes);
        let best =
            plausible.max_by_key(|(head, weight)| (changes(head), self.columns.get(*weight).map(Column::median)));
        if let Some((head, weight)) = best {
            self.set_missing(head, Meaning::Head, SEEN);
            if !self.has(Meaning::Net) {
                self.set_missing(weight, Meaning::Gross, SEEN);
            }
        }
    }

    fn running_totals(&mut self) {
        let of: Vec<usize> =
            [Meaning::Gross, Meaning::Net, Meaning::Head].into_iter().filter_map(|of| self.column(of)).collect();
        let adds_up = |total: &Column<'_>| {
            of.iter().any(|of| self.columns.get(*of).is_some_and(|of| relations::runs_up(total, of)))
        };
        for index in self.free(|column| column.is_numeric() && adds_up(column)) {
            self.set(index, Meaning::RunningTotal, PROVED);
        }
    }

    /// Percentages up to ten, beside a weight they explain or with their sign.
    fn shrink(&mut self) {
        let small = |column: &Column<'_>| {
            column.is_numeric() && column.figures.iter().flatten().all(|figure| (0..=10_000).contains(figure))
        };
        let weight = self.column(Meaning::Net).or(self.column(Meaning::Gross));
        let open = self.free(Column::is_numeric);
        for index in self.free(small) {
            let signed = self.columns.get(index).is_some_and(|column| column.mostly(|cell| cell.ends_with('%')));
            let paid = weight.and_then(|weight| relations::paid(&self.columns, weight, index, &open));
            if let Some(paid) = paid.filter(|paid| *paid != index) {
                self.set_missing(index, Meaning::ShrinkPercent, PROVED);
                self.set_missing(paid, Meaning::PayWeight, PROVED);
            } else if signed {
                self.set_missing(index, Meaning::ShrinkPercent, SEEN);
            }
        }
    }

    /// Tickets and lots stay the same for some rows; a ticket changes at least as often as its lot. The number of a scale
    /// hardly changes at all.
    fn codes(&mut self) {
        let coded = |column: &Column<'_>| {
            let different = column.different().len();
            column.mostly(|cell| cell.bytes().any(|byte| byte.is_ascii_digit()) && !cell.contains([' ', ':']))
                && different >= 2
                && column.changes() < 3 * different
        };
        let mut codes = self.free(coded);
        codes.sort_by_key(|index| {
            std::cmp::Reverse(self.columns.get(*index).map_or(0, |column| column.different().len()))
        });
        match codes.as_slice() {
            [] => {}
            [only] => {
                // Tickets are numbered through for years, lots within a sale.
                let long = self.columns.get(*only).is_some_and(|column| column.mostly(|cell| digits(cell) >= 4));
                self.set_missing(*only, if long { Meaning::Ticket } else { Meaning::Lot }, LIKELY);
            }
            [finer, coarser, ..] => {
                self.set_missing(*finer, Meaning::Ticket, LIKELY);
                self.set_missing(*coarser, Meaning::Lot, LIKELY);
            }
        }
        let constant = |column: &Column<'_>| column.different().len() == 1 && column.mostly(|cell| cell.len() <= 4);
        if let Some(index) = self.free(|column| column.is_whole() && constant(column)).first() {
            self.set_missing(*index, Meaning::Scale, LIKELY);
        }
    }

    fn names(&mut self) {
        for index in self.free(Column::is_text) {
            let Some(column) = self.columns.get(index) else { continue };
            let meaning = vocabulary::of_cells(column);
            let meaning = meaning.filter(|meaning| !self.has(*meaning)).or_else(|| {
                let names = column.mostly(|cell| cell.chars().count() > 4);
                let people = [Meaning::Consignor, Meaning::Buyer];
                people.into_iter().find(|meaning| names && !self.has(*meaning))
            });
            if let Some(meaning) = meaning {
                self.set(index, meaning, LIKELY);
            }
        }
    }
}
