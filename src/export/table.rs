//! Lines to cells. The only file that knows how cells are quoted.
//!
//! An indicator writes one weighing on one line, so a quote never joins lines: a lone quote spoils at most its own line,
//! and that line is then split as if it were not quoted (the rules are those of RFC 4180 otherwise).

use std::borrow::Cow;

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

use super::shape::{self, Shape};

/// More cells than this on a line are not split off: no export is so wide.
pub const MOST_CELLS: usize = 512;

/// Splits lines of one shape.
pub struct Splitter {
    shape: Shape,
    quoted: Reader,
    unquoted: Reader,
    scratch: Vec<u8>,
    ends: Vec<usize>,
}

/// The cells of one line, outer blanks taken off.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Cells {
    cells: Vec<String>,
    /// Whether any cell was quoted.
    pub quoted: bool,
    /// Whether something stands on the line behind its first 512 cells, which alone are kept.
    pub beyond: bool,
}

impl Cells {
    /// The cell at `index`, or `None` where there is none or it is empty.
    #[must_use]
    pub fn get(&self, index: usize) -> Option<&str> {
        self.cells.get(index).map(String::as_str).filter(|cell| !cell.is_empty())
    }

    /// So many empty cells.
    #[must_use]
    pub fn empty(count: usize) -> Self {
        Self { cells: vec![String::new(); count], ..Self::default() }
    }

    /// These cells with those of the line below joined on, as titles over two lines are read.
    #[must_use]
    pub fn over(&self, below: &Self) -> Self {
        let count = self.count().max(below.count());
        let join = |index| [self.get(index), below.get(index)].into_iter().flatten().collect::<Vec<_>>().join(" ");
        Self { cells: (0..count).map(join).collect(), quoted: self.quoted, beyond: self.beyond }
    }

    /// How many cells there are, empty ones included.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.cells.len()
    }

    /// How many cells there are up to the last one that is not empty.
    #[must_use]
    pub fn filled_width(&self) -> usize {
        self.cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1)
    }

    /// Whether every cell is empty.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(String::is_empty)
    }

    /// The cells that are not empty, with their index.
    pub fn filled(&self) -> impl Iterator<Item = (usize, &str)> {
        self.cells.iter().enumerate().map(|(index, cell)| (index, cell.as_str())).filter(|(_, cell)| !cell.is_empty())
    }
}

impl Splitter {
    /// A splitter for lines of this shape; a delimiter outside ASCII never splits.
    #[must_use]
    pub fn new(shape: &Shape) -> Self {
        let byte = u8::try_from(shape.delimiter()).unwrap_or(0);
        let build = |quoting| ReaderBuilder::new().delimiter(byte).quoting(quoting).build();
        Self {
            shape: shape.clone(),
            quoted: build(true),
            unquoted: build(false),
            scratch: Vec::new(),
            ends: vec![0; MOST_CELLS],
        }
    }

    /// The cells of one line, which holds no line end.
    pub fn split(&mut self, line: &str) -> Cells {
        let Shape::Delimited(delimiter) = self.shape else { return self.spaced(line) };
        if !line.contains([delimiter, '"']) {
            return Cells { cells: vec![line.trim().to_owned()], ..Cells::default() };
        }
        let quoted = line.contains('"');
        let tight = if quoted { tightened(line, delimiter) } else { Cow::Borrowed(line) };
        let line = tight.as_ref();
        let cells = quoted.then(|| split_with(&mut self.quoted, line, &mut self.scratch, &mut self.ends)).flatten();
        let cells = cells.or_else(|| {
            // A quote that is never closed is none: the line is split again without it.
            let mended = quoted.then(|| without_lone_quote(line, delimiter)).flatten();
            split_with(&mut self.quoted, mended.as_deref()?, &mut self.scratch, &mut self.ends)
        });
        let cells = cells.or_else(|| split_with(&mut self.unquoted, line, &mut self.scratch, &mut self.ends));
        let (cells, beyond) = cells.unwrap_or_default();
        Cells { cells, quoted, beyond }
    }

    /// The titles of a header line.
    pub fn titles(&mut self, line: &str) -> Cells {
        match self.shape {
            Shape::Delimited(_) => self.split(line),
            _ => Cells { cells: shape::titles(&self.shape, line), ..Cells::default() },
        }
    }

    fn spaced(&self, line: &str) -> Cells {
        let pieces = shape::pieces(&self.shape, line);
        let beyond = pieces.len() > MOST_CELLS;
        let cell = |piece: std::ops::Range<usize>| line.get(piece).unwrap_or_default().trim().to_owned();
        Cells { cells: pieces.into_iter().take(MOST_CELLS).map(cell).collect(), quoted: false, beyond }
    }
}

/// A line without the quote that opens its last quoted cell, where that is never closed.
fn without_lone_quote(line: &str, delimiter: char) -> Option<String> {
    let opens = |at: usize| line.get(..at).is_some_and(|before| before.is_empty() || before.ends_with(delimiter));
    let (at, _) = line.rmatch_indices('"').find(|(at, _)| opens(*at))?;
    Some(format!("{}{}", line.get(..at)?, line.get(at + 1..)?))
}

/// A line without the blanks between a delimiter and the quote that opens or closes a cell: some writers fill cells up
/// outside their quotes.
fn tightened(line: &str, delimiter: char) -> Cow<'_, str> {
    if !line.contains(" \"") && !line.contains("\" ") {
        return Cow::Borrowed(line);
    }
    let mut out = String::with_capacity(line.len());
    let mut rest = line;
    while let Some(at) = rest.find('"') {
        let (before, after) = rest.split_at(at);
        let opens = before.trim_end_matches(' ').ends_with(delimiter) || out.is_empty() && before.trim().is_empty();
        out.push_str(if opens { before.trim_end_matches(' ') } else { before });
        out.push('"');
        let after = after.get(1..).unwrap_or_default();
        let behind = after.trim_start_matches(' ');
        rest = if behind.starts_with(delimiter) || behind.is_empty() { behind } else { after };
    }
    out.push_str(rest);
    Cow::Owned(out)
}

/// The cells, and whether more follow than there is room for; `None` when a quote is still open at the end of the line.
fn split_with(
    reader: &mut Reader,
    line: &str,
    scratch: &mut Vec<u8>,
    ends: &mut [usize],
) -> Option<(Vec<String>, bool)> {
    reader.reset();
    scratch.clear();
    scratch.resize(line.len() + 1, 0);
    let (result, read, written, cells) = reader.read_record(line.as_bytes(), scratch, ends);
    match result {
        ReadRecordResult::OutputEndsFull => {
            let rest = line.as_bytes().get(read..)?;
            let beyond = rest.iter().any(|byte| byte.is_ascii_alphanumeric() || !byte.is_ascii());
            return Some((pieces(scratch, ends.get(..cells)?)?, beyond));
        }
        ReadRecordResult::InputEmpty if read == line.len() => {}
        _ => return None,
    }
    let rest = scratch.get_mut(written..)?;
    let rest_ends = ends.get_mut(cells..)?;
    let (result, read, _, more_cells) = reader.read_record(b"\n", rest, rest_ends);
    let ended = match result {
        ReadRecordResult::Record => read > 0,
        // The line ends where the room for cells does.
        ReadRecordResult::OutputEndsFull => true,
        _ => false,
    };
    ended.then(|| Some((pieces(scratch, ends.get(..cells + more_cells)?)?, false))).flatten()
}

/// The cells that end at these bytes of `text`.
fn pieces(text: &[u8], ends: &[usize]) -> Option<Vec<String>> {
    let text = std::str::from_utf8(text.get(..ends.last().copied().unwrap_or(0))?).ok()?;
    let mut start = 0;
    let mut out = Vec::with_capacity(ends.len());
    for end in ends {
        out.push(text.get(start..*end)?.trim().to_owned());
        start = *end;
    }
    Some(out)
}

/// Where cell `index` stands on its line, as a range of bytes of the line; for pointing at it.
#[must_use]
pub fn cell_span(line: &str, shape: &Shape, index: usize) -> Option<std::ops::Range<usize>> {
    let Shape::Delimited(delimiter) = *shape else { return shape::pieces(shape, line).get(index).cloned() };
    let mut start = 0;
    let mut inside_quotes = false;
    let mut seen = 0;
    for (at, letter) in line.char_indices() {
        if letter == '"' {
            inside_quotes = !inside_quotes;
        } else if letter == delimiter && !inside_quotes {
            if seen == index {
                return Some(start..at);
            }
            seen += 1;
            start = at + letter.len_utf8();
        }
    }
    (seen == index).then_some(start..line.len())
}
