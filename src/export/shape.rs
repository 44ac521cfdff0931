//! How cells stand on a line: apart by a mark, or in columns of a fixed width.

use super::text::TextLine;

/// How cells stand on a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shape {
    /// This character stands between them.
    Delimited(char),
    /// Each begins at its place, counted in letters from 0.
    Columns(Vec<usize>),
    /// Runs of at least so many blanks stand between them.
    Blanks(usize),
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
            Self::Columns(_) | Self::Blanks(_) => ' ',
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
            Self::Blanks(_) => "apart by runs of blanks",
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
        shapes.extend([2, 1].into_iter().filter_map(|gap| columns(&spaced, gap)));
        shapes.extend([Shape::Blanks(2), Shape::Blanks(1)]);
    }
    shapes
}

/// A line of several words and figures with blanks between.
fn is_spaced_row(text: &str) -> bool {
    let mut words = text.split_whitespace();
    let figures = words.clone().filter(|word| word.bytes().any(|byte| byte.is_ascii_digit())).count();
    figures >= 3 && words.nth(LEAST_COLUMNS - 1).is_some()
}

/// Columns of a fixed width: places that are blank on nearly every line, so many side by side, stand between them.
fn columns(lines: &[&str], gap: usize) -> Option<Shape> {
    let sample: Vec<&&str> = lines.iter().take(SAMPLE_LINES).collect();
    let mut filled = vec![0_usize; WIDEST];
    for line in &sample {
        for (place, letter) in filled.iter_mut().zip(line.chars()) {
            *place += usize::from(!letter.is_whitespace());
        }
    }
    let blank = |count: &usize| count * ONE_IN <= sample.len();
    let mut starts = Vec::new();
    let mut blanks = gap;
    for (place, count) in filled.iter().enumerate() {
        if !blank(count) && blanks >= gap {
            starts.push(place);
        }
        blanks = if blank(count) { blanks + 1 } else { 0 };
    }
    (starts.len() >= LEAST_COLUMNS).then_some(Shape::Columns(starts))
}

/// The pieces of a line under a shape without a mark, as ranges of its bytes.
pub fn pieces(shape: &Shape, line: &str) -> Vec<std::ops::Range<usize>> {
    match shape {
        Shape::Columns(starts) => in_columns(starts, line),
        Shape::Blanks(least) => between_blanks(line, *least),
        Shape::Delimited(_) => std::iter::once(0..line.len()).collect(),
    }
}

/// Digits, and the marks that stand between the digits of one figure.
pub const fn is_of_figure(letter: char) -> bool {
    letter.is_ascii_digit() || matches!(letter, '.' | ',')
}

/// The titles of a header under a shape without a mark. In columns of a fixed width a title may be wider than what stands
/// under it, and begin before it or end behind it: it belongs to the column it shares most places with, and rather to one
/// that has no title yet.
pub fn titles(shape: &Shape, line: &str) -> Vec<String> {
    let text = |piece: &std::ops::Range<usize>| line.get(piece.clone()).unwrap_or_default().trim().to_owned();
    let Shape::Columns(starts) = shape else { return pieces(shape, line).iter().map(text).collect() };
    let letters = |byte: usize| line.get(..byte).map_or(0, |before| before.chars().count());
    let mut titles = vec![String::new(); starts.len()];
    for piece in between_blanks(line, 2) {
        let (begin, end) = (letters(piece.start), letters(piece.end));
        let shared = |(index, start): (usize, &usize)| {
            let next = starts.get(index + 1).copied().unwrap_or(WIDEST);
            (end.min(next).saturating_sub(begin.max(*start)), index)
        };
        let touched = starts.iter().enumerate().map(shared).filter(|(places, _)| *places > 0);
        let is_free = |index: usize| titles.get(index).is_some_and(String::is_empty);
        let column = touched.max_by_key(|(places, index)| (is_free(*index), *places));
        if let Some(title) = column.and_then(|(_, index)| titles.get_mut(index)) {
            *title = if title.is_empty() { text(&piece) } else { format!("{title} {}", text(&piece)) };
        }
    }
    titles
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

/// The pieces between runs of at least so many blanks.
fn between_blanks(line: &str, least: usize) -> Vec<std::ops::Range<usize>> {
    let mut pieces: Vec<std::ops::Range<usize>> = Vec::new();
    let mut blanks = least;
    for (byte, letter) in line.char_indices() {
        if letter.is_whitespace() {
            blanks += 1;
            continue;
        }
        let end = byte + letter.len_utf8();
        match pieces.last_mut().filter(|_| blanks < least) {
            Some(piece) => piece.end = end,
            None => pieces.push(byte..end),
        }
        blanks = 0;
    }
    pieces
}
