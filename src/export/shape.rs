//! How cells stand on a line: apart by a mark, or in columns of a fixed width.

use super::text::TextLine;

/// How cells stand on a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shape {
    /// This character stands between them.
    Delimited(char),
    /// Each begins at its place, counted in letters from 0.
    Columns(Vec<usize>),
    /// Runs of blanks stand between them.
    Blanks,
}

/// Delimiters an export may use. Where two do equally well, the earlier one wins.
pub const DELIMITERS: [char; 4] = [',', ';', '\t', '|'];

/// So many lines show where the columns of a fixed width are.
const SAMPLE_LINES: usize = 400;

/// Nor are lines looked at beyond so many letters.
const WIDEST: usize = 512;

/// A place is between columns if it is blank on all but one line in so many.
const ONE_IN: usize = 25;

/// A table has at least so many columns.
const LEAST_COLUMNS: usize = 4;

impl Shape {
    /// What stands between cells, a blank for fixed widths.
    #[must_use]
    pub const fn delimiter(&self) -> char {
        match self {
            Self::Delimited(delimiter) => *delimiter,
            Self::Columns(_) | Self::Blanks => ' ',
        }
    }

    /// How cells stand, in words that follow "cells stand".
    #[must_use]
    pub const fn in_words(&self) -> &'static str {
        match self {
            Self::Delimited(',') => "apart by commas",
            Self::Delimited(';') => "apart by semicolons",
            Self::Delimited('\t') => "apart by tabs",
            Self::Delimited('|') => "apart by upright bars",
            Self::Delimited(_) => "apart by a mark",
            Self::Columns(_) => "in columns of a fixed width",
            Self::Blanks => "apart by runs of blanks",
        }
    }
}

/// Every shape these lines could have; those that only need a character first.
pub fn possible(lines: &[TextLine<'_>]) -> Vec<Shape> {
    let some = |delimiter: &char| lines.iter().any(|line| line.text.contains(*delimiter));
    let marked = DELIMITERS.into_iter().filter(some).map(Shape::Delimited);
    let mut shapes: Vec<Shape> = marked.collect();
    let spaced: Vec<&str> = lines.iter().map(|line| line.text).filter(|text| is_spaced_row(text)).collect();
    if spaced.len() >= 2 {
        shapes.extend(columns(&spaced));
        shapes.push(Shape::Blanks);
    }
    shapes
}

/// A line of several words and figures with blanks between.
fn is_spaced_row(text: &str) -> bool {
    let mut words = text.split_whitespace();
    let figures = words.clone().filter(|word| word.bytes().any(|byte| byte.is_ascii_digit())).count();
    figures >= 3 && words.nth(LEAST_COLUMNS - 1).is_some()
}

/// Columns of a fixed width: runs of places that are not blank on nearly every line begin one.
fn columns(lines: &[&str]) -> Option<Shape> {
    let sample: Vec<&&str> = lines.iter().take(SAMPLE_LINES).collect();
    let mut filled = vec![0_usize; WIDEST];
    for line in &sample {
        for (place, letter) in filled.iter_mut().zip(line.chars()) {
            *place += usize::from(!letter.is_whitespace());
        }
    }
    let blank = |count: &usize| count * ONE_IN <= sample.len();
    let mut starts = Vec::new();
    let mut before_blank = true;
    for (place, count) in filled.iter().enumerate() {
        if !blank(count) && before_blank {
            starts.push(place);
        }
        before_blank = blank(count);
    }
    (starts.len() >= LEAST_COLUMNS).then_some(Shape::Columns(starts))
}

/// The pieces of a line under a shape without a mark, as ranges of its bytes.
pub fn pieces(shape: &Shape, line: &str) -> Vec<std::ops::Range<usize>> {
    match shape {
        Shape::Columns(starts) => in_columns(starts, line),
        Shape::Delimited(_) | Shape::Blanks => between_blanks(line),
    }
}

/// Digits, and the marks that stand between the digits of one figure.
pub const fn is_of_figure(letter: char) -> bool {
    letter.is_ascii_digit() || matches!(letter, '.' | ',')
}

/// A figure that is wider than its column reaches into the gap before it and is kept whole.
fn in_columns(starts: &[usize], line: &str) -> Vec<std::ops::Range<usize>> {
    let letters: Vec<(usize, char)> = line.char_indices().collect();
    let byte = |place: usize| letters.get(place).map_or(line.len(), |(byte, _)| *byte);
    let is_digit = |place: usize| letters.get(place).is_some_and(|(_, letter)| letter.is_ascii_digit());
    let of_figure = |place: usize| letters.get(place).is_some_and(|(_, letter)| is_of_figure(*letter));
    let cut = |start: usize| (0..=start).rev().find(|place| *place == 0 || !of_figure(place - 1)).unwrap_or(start);
    let begin = |start: &usize| match *start {
        0 => 0,
        start if is_digit(start) => byte(cut(start)),
        start => byte(start),
    };
    let used = starts.iter().filter(|start| **start < letters.len()).count();
    let begins: Vec<usize> = starts.iter().take(used).map(begin).collect();
    let ends = begins.iter().skip(1).copied().chain([line.len()]);
    begins.iter().copied().zip(ends).map(|(begin, end)| begin..end.max(begin)).collect()
}

fn between_blanks(line: &str) -> Vec<std::ops::Range<usize>> {
    let start = |word: &str| word.as_ptr() as usize - line.as_ptr() as usize;
    line.split_whitespace().map(|word| start(word)..start(word) + word.len()).collect()
}
