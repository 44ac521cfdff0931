//! Bytes to lines of text. The only file that knows encodings.
//!
//! A file is cut into lines before it is decoded, so that every line keeps the byte it begins at and can be pointed at
//! on the stick.

use std::borrow::Cow;

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

use crate::units::LineNo;

/// A decoded file, line by line.
#[derive(Debug, Clone, Default)]
pub struct Text {
    /// All lines, one after the other, without their line ends.
    text: String,
    lines: Vec<Line>,
    /// WHATWG name in lower case.
    pub encoding: &'static str,
    /// Whether the file began with a byte order mark.
    pub byte_order_mark: bool,
    /// Whether the last line ended with a line end.
    pub ends_with_newline: bool,
}

#[derive(Debug, Clone, Copy)]
struct Line {
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
        let (encoding, mark_length) = encoding_of(bytes);
        let body = bytes.get(mark_length..).unwrap_or_default();
        let mut text = Self {
            encoding: name(encoding),
            byte_order_mark: mark_length > 0,
            ends_with_newline: true,
            text: String::with_capacity(body.len()),
            lines: Vec::new(),
        };
        let mut rest = body;
        let mut byte = mark_length as u64;
        while !rest.is_empty() {
            let cut = next_line(rest, encoding);
            text.push(byte, &decode_line(cut.line, encoding));
            text.ends_with_newline = cut.ended;
            byte += cut.taken as u64;
            rest = rest.get(cut.taken..).unwrap_or_default();
        }
        text
    }

    fn push(&mut self, byte: u64, line: &str) {
        self.text.push_str(line);
        self.lines.push(Line { end: self.text.len(), byte });
    }

    /// How many lines there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.lines.len()
    }

    /// Whether there is no line.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// The line with this number.
    #[must_use]
    pub fn line(&self, number: LineNo) -> Option<TextLine<'_>> {
        let index = usize::try_from(number.0.checked_sub(1)?).ok()?;
        let line = self.lines.get(index)?;
        let start = match index.checked_sub(1) {
            Some(previous) => self.lines.get(previous)?.end,
            None => 0,
        };
        Some(TextLine { number, byte: line.byte, text: self.text.get(start..line.end)? })
    }

    /// All lines, from the first.
    pub fn lines(&self) -> impl Iterator<Item = TextLine<'_>> {
        (1..=self.lines.len() as u64).filter_map(|number| self.line(LineNo(number)))
    }
}

/// The encoding, and the length of the byte order mark that says so.
fn encoding_of(bytes: &[u8]) -> (&'static Encoding, usize) {
    if let Some((encoding, length)) = Encoding::for_bom(bytes) {
        return (encoding, length);
    }
    let encoding = if std::str::from_utf8(bytes).is_ok() { UTF_8 } else { WINDOWS_1252 };
    (encoding, 0)
}

fn name(encoding: &'static Encoding) -> &'static str {
    [(UTF_8, "utf-8"), (UTF_16LE, "utf-16le"), (UTF_16BE, "utf-16be")]
        .into_iter()
        .find(|(known, _)| *known == encoding)
        .map_or("windows-1252", |(_, name)| name)
}

struct Cut<'a> {
    line: &'a [u8],
    /// Bytes of the line and its end together.
    taken: usize,
    ended: bool,
}

/// Cuts off one line, ended by CR, LF or CRLF, in units of the encoding.
fn next_line<'a>(rest: &'a [u8], encoding: &'static Encoding) -> Cut<'a> {
    let width = if encoding == UTF_16LE || encoding == UTF_16BE { 2 } else { 1 };
    let unit = |at: usize| -> Option<u16> {
        match (width, rest.get(at..at + width)?) {
            (1, [byte]) => Some(u16::from(*byte)),
            (_, [a, b]) if encoding == UTF_16BE => Some(u16::from_be_bytes([*a, *b])),
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

fn decode_line<'a>(line: &'a [u8], encoding: &'static Encoding) -> Cow<'a, str> {
    encoding.decode_without_bom_handling(line).0
}
