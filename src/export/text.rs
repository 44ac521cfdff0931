//! Bytes to lines of text.
//!
//! A file is cut into lines before it is decoded, so that every line keeps the byte it begins at and can be pointed at
//! on the stick.

use std::borrow::Cow;

use super::encoding::{Decided, Encoding, decide};
use crate::units::LineNo;

/// DOS programs end a text with this byte.
const END_OF_TEXT: u8 = 0x1A;

/// A decoded file, line by line.
#[derive(Debug, Clone, Default)]
pub struct Text {
    /// All lines, one after the other, without their line ends.
    text: String,
    /// The lines with something on them: a damaged file may hold millions of empty ones.
    lines: Vec<Line>,
    /// How many lines there are, empty ones included.
    count: u64,
    /// WHATWG name in lower case, or a DOS code page such as `cp850`.
    pub encoding: &'static str,
    /// Encodings that give the same text.
    pub encoding_same: Vec<&'static str>,
    /// An encoding that would do as well and gives another text.
    pub encoding_doubt: Option<&'static str>,
    /// Whether the file began with a byte order mark.
    pub byte_order_mark: bool,
    /// Whether the last line ended with a line end.
    pub ends_with_newline: bool,
}

#[derive(Debug, Clone, Copy)]
struct Line {
    /// Counted from 1, empty lines included.
    number: u64,
    /// Where it ends in `text`; it begins where the one before ends.
    end: usize,
    /// The byte of the file it begins at.
    byte: u64,
}

/// One line and where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TextLine<'a> {
    /// Counted from 1.
    pub number: LineNo,
    /// The byte of the file it begins at.
    pub byte: u64,
    /// Its text, without line end.
    pub text: &'a str,
}

impl Text {
    /// Decodes a whole file. Bytes that the encoding does not know become U+FFFD.
    #[must_use]
    pub fn decode(bytes: &[u8]) -> Self {
        Self::decoded(bytes, decide(bytes))
    }

    /// Decodes a whole file without a byte order mark by an encoding that is known beforehand.
    #[must_use]
    pub(super) fn decode_as(bytes: &[u8], encoding: Encoding) -> Self {
        Self::decoded(bytes, Decided { encoding, mark_bytes: 0, same: Vec::new(), doubt: None })
    }

    fn decoded(bytes: &[u8], decided: Decided) -> Self {
        let (encoding, mark_length) = (decided.encoding, decided.mark_bytes);
        let body = bytes.get(mark_length..).unwrap_or_default();
        let mut text = Self {
            encoding: encoding.name(),
            encoding_same: decided.same,
            encoding_doubt: decided.doubt,
            byte_order_mark: mark_length > 0,
            ends_with_newline: true,
            text: String::with_capacity(body.len()),
            ..Self::default()
        };
        let mut rest = without_end_mark(body);
        let mut byte = mark_length as u64;
        while !rest.is_empty() {
            let empty = empty_lines(rest, encoding);
            text.count += empty as u64;
            byte += empty as u64;
            rest = rest.get(empty..).unwrap_or_default();
            if rest.is_empty() {
                text.ends_with_newline = true;
                break;
            }
            let cut = next_line(rest, encoding);
            text.push(byte, &decode_line(cut.line, encoding));
            text.ends_with_newline = cut.ended;
            byte += cut.taken as u64;
            rest = rest.get(cut.taken..).unwrap_or_default();
        }
        text
    }

    fn push(&mut self, byte: u64, line: &str) {
        self.count += 1;
        if !line.trim().is_empty() {
            self.text.push_str(line);
            self.lines.push(Line { number: self.count, end: self.text.len(), byte });
        }
    }

    /// How many lines there are, empty ones included.
    #[must_use]
    pub const fn len(&self) -> u64 {
        self.count
    }

    /// Whether there is no line.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// How many lines hold nothing but blanks.
    #[must_use]
    pub const fn blank(&self) -> u64 {
        self.count - self.lines.len() as u64
    }

    /// The line with this number; `None` where it holds nothing but blanks, and where there is no such line.
    #[must_use]
    pub fn line(&self, number: LineNo) -> Option<TextLine<'_>> {
        let index = self.lines.binary_search_by_key(&number.0, |line| line.number).ok()?;
        self.nth(index)
    }

    fn nth(&self, index: usize) -> Option<TextLine<'_>> {
        let line = self.lines.get(index)?;
        let start = match index.checked_sub(1) {
            Some(previous) => self.lines.get(previous)?.end,
            None => 0,
        };
        Some(TextLine { number: LineNo(line.number), byte: line.byte, text: self.text.get(start..line.end)? })
    }

    /// All lines that are not blank, from the first.
    pub fn lines(&self) -> impl Iterator<Item = TextLine<'_>> {
        (0..self.lines.len()).filter_map(|index| self.nth(index))
    }
}

/// The bytes without the mark some programs end a text with.
fn without_end_mark(body: &[u8]) -> &[u8] {
    let mut rest = body;
    while let Some(shorter) = rest.strip_suffix(&[END_OF_TEXT]) {
        rest = shorter;
    }
    rest
}

struct Cut<'a> {
    line: &'a [u8],
    /// Bytes of the line and its end together.
    taken: usize,
    ended: bool,
}

/// How many lines at the start are nothing but a line feed; a damaged file may hold millions.
fn empty_lines(rest: &[u8], encoding: Encoding) -> usize {
    if encoding.width() == 2 { 0 } else { rest.iter().take_while(|byte| **byte == b'\n').count() }
}

/// Cuts off one line, ended by CR, LF or CRLF, in units of the encoding.
fn next_line(rest: &[u8], encoding: Encoding) -> Cut<'_> {
    let width = encoding.width();
    let unit = |at: usize| -> Option<u16> {
        match (width, rest.get(at..at + width)?) {
            (1, [byte]) => Some(u16::from(*byte)),
            (_, [a, b]) if encoding.is_big_endian() => Some(u16::from_be_bytes([*a, *b])),
            (_, [a, b]) => Some(u16::from_le_bytes([*a, *b])),
            _ => None,
        }
    };
    let is = |at: usize, letter: u8| unit(at) == Some(u16::from(letter));
    let ends_here = |at: &usize| is(*at, b'\n') || is(*at, b'\r');
    let at = match width {
        1 => rest.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len()),
        _ => (0..rest.len()).step_by(width).find(ends_here).unwrap_or(rest.len()),
    };
    let Some(_) = unit(at) else {
        return Cut { line: rest, taken: rest.len(), ended: false };
    };
    let end_units = if is(at, b'\r') && is(at + width, b'\n') { 2 } else { 1 };
    Cut { line: rest.get(..at).unwrap_or_default(), taken: at + end_units * width, ended: true }
}

fn decode_line(line: &[u8], encoding: Encoding) -> Cow<'_, str> {
    encoding.decode(line)
}
