//! Words that every stage's texts need.

use crate::units::grouped;

/// "1 draft", "1,200 drafts".
#[must_use]
pub fn count_of(count: u64, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{} {many}", grouped(count)) }
}

/// "1 draft", "12 drafts".
#[must_use]
pub fn drafts(count: u64) -> String {
    count_of(count, "draft", "drafts")
}

/// "1 byte", "1,474,560 bytes".
#[must_use]
pub fn bytes(count: u64) -> String {
    count_of(count, "byte", "bytes")
}

/// "number 12", "numbers 12 to 14".
#[must_use]
pub fn numbers(first: impl ToString, last: impl ToString) -> String {
    let (first, last) = (first.to_string(), last.to_string());
    if first == last { format!("number {first}") } else { format!("numbers {first} to {last}") }
}

/// The first letter as a capital.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
