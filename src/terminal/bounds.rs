//! Texts and lists of a length that a person reads; what is left out is said.

use counterfoil::units::grouped;

use super::visible;

/// How many of one sort of thing are listed on a screen.
pub const MOST: usize = 100;

/// The longest single text on a screen, in characters. The program's own texts are shorter; what comes from a stick may
/// be of any length.
const LONGEST: usize = 500;

/// A text from a stick, safe for a screen and cut where it would fill it.
pub fn shown(text: &str) -> String {
    let cut = text.char_indices().nth(LONGEST).and_then(|(at, _)| text.get(..at));
    cut.map_or_else(|| visible(text), |beginning| visible(beginning) + "\u{2026}")
}

/// Every item as its line; of a longer list the first, and how many more there are.
pub fn listed<T>(items: &[T], most: usize, line: impl Fn(usize, &T) -> String) -> String {
    let lines = items.iter().take(most).enumerate().map(|(n, item)| line(n, item));
    lines.chain(more(items.len(), most)).collect()
}

fn more(all: usize, most: usize) -> Option<String> {
    let left = all.checked_sub(most).filter(|left| *left > 0)?;
    Some(format!("... and {} more; --json has all of them\n", grouped(left as u64)))
}
