//! Text from outside as it may stand on the page.

use std::fmt::Write;

use maud::{Escaper, Render};

use crate::units::{Head, Weight, grouped};

/// A text from outside. Besides being escaped it cannot turn the reading direction of its neighbours round, and
/// control characters are made visible. An option of the program or a date in it is never broken at the end of a line.
pub(super) struct Shown<'a>(pub(super) &'a str);

/// What stands for a character that cannot be shown.
const UNSEEN: char = '\u{FFFD}';

impl Render for Shown<'_> {
    fn render_to(&self, buffer: &mut String) {
        let text: String = self.0.chars().map(visible).collect();
        for piece in text.split_inclusive(' ') {
            let word = piece.trim_end_matches(|letter: char| !letter.is_ascii_alphanumeric());
            if is_option(word) || is_date(word) {
                buffer.push_str("<span class=\"whole\">");
                escape(word, buffer);
                buffer.push_str("</span>");
                escape(piece.strip_prefix(word).unwrap_or_default(), buffer);
            } else {
                escape(piece, buffer);
            }
        }
    }
}

fn escape(text: &str, buffer: &mut String) {
    // Writing into a String does not fail.
    let _ = Escaper::new(buffer).write_str(text);
}

fn visible(letter: char) -> char {
    let turns = matches!(letter, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}');
    let control = letter.is_control() && !matches!(letter, '\n' | '\t');
    if turns || control { UNSEEN } else { letter }
}

/// Longer words are none of the program's options, and must be free to break.
const LONGEST_OPTION: usize = 24;

fn is_option(word: &str) -> bool {
    let named = word.strip_prefix("--").filter(|name| name.starts_with(|letter: char| letter.is_ascii_lowercase()));
    named.is_some_and(|name| name.len() <= LONGEST_OPTION && name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'))
}

/// Whether it reads like 2026-10-17.
fn is_date(word: &str) -> bool {
    let fits = |(at, byte): (usize, u8)| if matches!(at, 4 | 7) { byte == b'-' } else { byte.is_ascii_digit() };
    word.len() == 10 && word.bytes().enumerate().all(fits)
}

/// The longest ticket number, lot or other name that stands on one line of a table, in characters.
const ONE_LINE: usize = 16;

/// The style of a cell by what it holds: names as people give them stay whole, longer ones may break anywhere.
pub(super) fn width(text: &str) -> &'static str {
    if text.chars().nth(ONE_LINE).is_none() { "w" } else { "t" }
}

/// A text from outside that may be missing.
pub(super) fn maybe(text: Option<&str>) -> Shown<'_> {
    Shown(text.unwrap_or_default())
}

/// A value that may be missing: nothing is shown for it.
pub(super) fn value(value: Option<impl ToString>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// A count, with a comma between thousands.
pub(super) fn amount(count: usize) -> String {
    grouped(count as u64)
}

/// Animals, without the word.
pub(super) fn heads(head: Option<Head>) -> String {
    head.map(|head| grouped(u64::from(head.0))).unwrap_or_default()
}

/// A weight that is paid for.
pub(super) fn pay(weight: Option<Weight>) -> String {
    weight.map(Weight::in_hundredths).unwrap_or_default()
}

/// A figure that may be below zero, with a comma between thousands.
pub(super) fn figure(count: i64) -> String {
    let sign = if count < 0 { "-" } else { "" };
    format!("{sign}{}", grouped(count.unsigned_abs()))
}
