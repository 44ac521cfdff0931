//! Lines to cells. The only file that knows how cells are quoted.
//!
//! An indicator writes one weighing on one line, so a quote never joins lines: a lone quote spoils at most its own line,
//! and that line is then split as if it were not quoted (the rules are those of RFC 4180 otherwise).

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

/// More cells than this on a line are not split any further: no export is so wide.
const MOST_CELLS: usize = 512;

/// Splits lines at one delimiter.
pub struct Splitter {
    quoted: Reader,
    unquoted: Reader,
    scratch: Vec<u8>,
    ends: Vec<usize>,
}

/// The cells of one line, outer blanks taken off.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cells {
    cells: Vec<String>,
    /// Whether any cell was quoted.
    pub quoted: bool,
}

impl Cells {
    /// The cell at `index`, or `None` where there is none or it is empty.
    #[must_use]
    pub fn get(&self, index: usize) -> Option<&str> {
        self.cells.get(index).map(String::as_str).filter(|cell| !cell.is_empty())
    }

    /// How many cells there are, empty ones included.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.cells.len()
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
    /// A splitter for one ASCII delimiter; any other character never splits.
    #[must_use]
    pub fn new(delimiter: char) -> Self {
        let byte = u8::try_from(delimiter).unwrap_or(0);
        let build = |quoting| ReaderBuilder::new().delimiter(byte).quoting(quoting).build();
        Self { quoted: build(true), unquoted: build(false), scratch: Vec::new(), ends: vec![0; MOST_CELLS] }
    }

    /// The cells of one line, which holds no line end.
    pub fn split(&mut self, line: &str) -> Cells {
        let quoted = line.contains('"');
        let cells = quoted.then(|| split_with(&mut self.quoted, line, &mut self.scratch, &mut self.ends)).flatten();
        let cells = cells.or_else(|| split_with(&mut self.unquoted, line, &mut self.scratch, &mut self.ends));
        Cells { cells: cells.unwrap_or_default(), quoted }
    }
}

/// `None` when a quote is still open at the end of the line, or the line has too many cells.
fn split_with(reader: &mut Reader, line: &str, scratch: &mut Vec<u8>, ends: &mut [usize]) -> Option<Vec<String>> {
    reader.reset();
    scratch.clear();
    scratch.resize(line.len() + 1, 0);
    let (result, read, written, cells) = reader.read_record(line.as_bytes(), scratch, ends);
    if !matches!(result, ReadRecordResult::InputEmpty) || read < line.len() {
        return None;
    }
    let rest = scratch.get_mut(written..)?;
    let rest_ends = ends.get_mut(cells..)?;
    let (result, read, more, more_cells) = reader.read_record(b"\n", rest, rest_ends);
    if !matches!(result, ReadRecordResult::Record) || read == 0 {
        return None;
    }
    let text = std::str::from_utf8(scratch.get(..written + more)?).ok()?;
    let mut start = 0;
    let mut out = Vec::with_capacity(cells + more_cells);
    for end in ends.get(..cells + more_cells)? {
        out.push(text.get(start..*end)?.trim().to_owned());
        start = *end;
    }
    Some(out)
}

/// Where cell `index` stands on its line, as a range of bytes of the line; for pointing at it.
#[must_use]
pub fn cell_span(line: &str, delimiter: char, index: usize) -> Option<std::ops::Range<usize>> {
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
