//! What the cells of one column show, row by row: figures, dates, words.

use std::collections::{BTreeMap, BTreeSet};

use super::cells;
use super::dates::{self, DateParts};
use super::table::Cells;
use crate::units::Decimal;

/// Figures are compared in whole thousandths, so that sums of them are exact.
const THOUSANDTHS: i64 = 1_000;

/// One column of a sample of rows.
pub struct Column<'a> {
    /// Its cell on each row; `None` where that is empty.
    pub cells: Vec<Option<&'a str>>,
    /// Its figure on each row, in thousandths; `None` where there is none.
    pub figures: Vec<Option<i64>>,
}

impl<'a> Column<'a> {
    /// The column at `index` of these rows, its figures read with this decimal mark.
    pub fn of(rows: &'a [Cells], index: usize, decimal_mark: char) -> Self {
        let cells: Vec<Option<&str>> = rows.iter().map(|row| row.get(index)).collect();
        let figures = cells.iter().map(|cell| thousandths((*cell)?, decimal_mark)).collect();
        Self { cells, figures }
    }

    /// The cells that are not empty.
    pub fn filled(&self) -> impl Iterator<Item = &'a str> {
        self.cells.iter().flatten().copied()
    }

    /// Whether nearly all cells that are not empty are so, and most rows have one.
    pub fn mostly(&self, is_so: impl Fn(&str) -> bool) -> bool {
        let (all, so) = self.filled().fold((0, 0), |(all, so), cell| (all + 1, so + usize::from(is_so(cell))));
        all * 2 > self.cells.len() && nearly_all(so, all)
    }

    /// The different texts in it, with how often each stands there.
    pub fn different(&self) -> BTreeMap<&'a str, usize> {
        let mut counts = BTreeMap::new();
        for cell in self.filled() {
            *counts.entry(cell).or_default() += 1;
        }
        counts
    }

    /// Whether it holds figures, with or without a unit.
    pub fn is_numeric(&self) -> bool {
        let figures = self.figures.iter().flatten().count();
        figures * 2 > self.cells.len() && nearly_all(figures, self.filled().count())
    }

    /// Whether all its figures are whole.
    pub fn is_whole(&self) -> bool {
        self.is_numeric() && self.figures.iter().flatten().all(|figure| figure % THOUSANDTHS == 0)
    }

    /// Whether it counts: whole numbers, each once, next to each other but for some that are missing. The order of the
    /// rows does not matter.
    pub fn counts(&self) -> bool {
        let numbers: BTreeSet<u64> = self.numbers().collect();
        let all = self.numbers().count();
        let (Some(first), Some(last)) = (numbers.first(), numbers.last()) else { return false };
        let steps = numbers.iter().zip(numbers.iter().skip(1)).filter(|(one, next)| *next - *one == 1).count();
        let dense = steps * 10 >= (numbers.len() - 1) * 6;
        self.mostly(|cell| cells::transaction(cell).is_some())
            && numbers.len() >= 3
            && numbers.len() * 10 >= all * 8
            && last > first
            && dense
    }

    /// The counting numbers in it.
    pub fn numbers(&self) -> impl Iterator<Item = u64> {
        self.filled().filter_map(|cell| cells::transaction(cell).map(|number| number.0))
    }

    /// Whether it numbers the lines of the file: from 1, by one, in their order.
    pub fn numbers_lines(&self) -> bool {
        self.numbers().next() == Some(1) && self.numbers().zip(1..).all(|(number, expected)| number == expected)
    }

    /// Whether it holds dates alone.
    pub fn is_date(&self) -> bool {
        self.mostly(|cell| DateParts::read(cell).is_some())
    }

    /// Whether it holds times of day alone.
    pub fn is_time(&self) -> bool {
        self.mostly(|cell| dates::time(cell).is_some())
    }

    /// Whether it holds day and time of day together.
    pub fn is_datetime(&self) -> bool {
        self.mostly(|cell| {
            let (date, time) = dates::split_datetime(cell);
            DateParts::read(date).is_some() && time.and_then(dates::time).is_some()
        })
    }

    /// Whether it holds units of weight alone.
    pub fn is_unit(&self) -> bool {
        self.mostly(|cell| cells::unit(cell).is_some())
    }

    /// Whether it holds words.
    pub fn is_text(&self) -> bool {
        !self.is_numeric() && self.filled().any(|cell| cell.chars().any(char::is_alphabetic))
    }

    /// The figure in the middle, in thousandths.
    pub fn median(&self) -> i64 {
        let mut figures: Vec<i64> = self.figures.iter().flatten().copied().collect();
        figures.sort_unstable();
        figures.get(figures.len() / 2).copied().unwrap_or(0)
    }

    /// How often the cell differs from that of the row before.
    pub fn changes(&self) -> usize {
        let filled: Vec<&str> = self.filled().collect();
        filled.windows(2).filter(|pair| pair.first() != pair.last()).count()
    }
}

/// All but one in twenty.
pub fn nearly_all(so: usize, all: usize) -> bool {
    all > 0 && so * 20 >= all * 19
}

fn thousandths(cell: &str, decimal_mark: char) -> Option<i64> {
    let amount = cells::weight(cell.trim_end_matches('%').trim_end(), decimal_mark)?.amount();
    let scaled = amount.checked_mul(Decimal::from(THOUSANDTHS))?;
    scaled.fract().is_zero().then(|| scaled.try_into().ok()).flatten()
}
