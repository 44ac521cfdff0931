//! Slips of the fingers: digits swapped, wrong, dropped or added.
//!
//! Exchanged digits make a difference that nine divides; that alone proves nothing (R. B. Kester, Accounting Theory and
//! Practice, vol. 1, 1917), so each slip is tried on the figure itself.

use crate::reconcile::model::ExplanationKind;
use crate::units::Decimal;

/// How digits that are exchanged over a distance are told.
pub const APART: &str = "two digits apart";

/// Neighbours are exchanged far more often than others.
pub const APART_COSTS: u32 = 10;

/// The slips that turn what is right into what is written, in words.
#[must_use]
pub fn stories(right: Decimal, written: Decimal) -> Vec<(ExplanationKind, &'static str)> {
    slips(&right.normalize().to_string(), &written.normalize().to_string())
}

fn slips(right: &str, written: &str) -> Vec<(ExplanationKind, &'static str)> {
    let (right, written) = (right.as_bytes(), written.as_bytes());
    if right.len() == written.len() {
        return of_same_length(right, written).into_iter().collect();
    }
    let dropped = is_without_one(right, written).then_some((ExplanationKind::DigitDropped, "a digit is missing"));
    let added = is_without_one(written, right).then_some((ExplanationKind::DigitAdded, "there is a digit too many"));
    dropped.into_iter().chain(added).collect()
}

fn of_same_length(right: &[u8], written: &[u8]) -> Option<(ExplanationKind, &'static str)> {
    let pairs: Vec<(usize, u8, u8)> = right
        .iter()
        .zip(written)
        .enumerate()
        .map(|(place, (a, b))| (place, *a, *b))
        .filter(|(_, a, b)| a != b)
        .collect();
    let has_point = pairs.iter().any(|(_, a, b)| *a == b'.' || *b == b'.');
    match pairs.as_slice() {
        [_] if !has_point => Some((ExplanationKind::DigitWrong, "one digit is wrong")),
        [(first, a, b), (second, c, d)] if !has_point && a == d && b == c => {
            let what = if second - first == 1 { "two digits are exchanged" } else { "two digits apart are exchanged" };
            Some((ExplanationKind::DigitsSwapped, what))
        }
        _ => None,
    }
}

/// Whether the shorter text is the longer without one of its digits.
fn is_without_one(longer: &[u8], shorter: &[u8]) -> bool {
    if longer.len() != shorter.len() + 1 {
        return false;
    }
    let same = longer.iter().zip(shorter).take_while(|(a, b)| a == b).count();
    longer.get(same).is_some_and(u8::is_ascii_digit) && longer.get(same + 1..) == shorter.get(same..)
}

/// Everything that one slip of the fingers could have made this figure out of, with the kind of slip.
#[must_use]
pub fn before(written: Decimal) -> Vec<(ExplanationKind, Decimal)> {
    let text = written.normalize().to_string().into_bytes();
    let mut meant = Vec::new();
    let mut add = |kind, bytes: Vec<u8>| {
        let figure = String::from_utf8(bytes).ok().filter(|text| !text.starts_with('0') && !text.starts_with('.'));
        let figure = figure.and_then(|text| Some((text.parse::<Decimal>().ok()?, text)));
        meant.extend(
            figure.filter(|(figure, text)| figure.normalize().to_string() == *text).map(|(figure, _)| (kind, figure)),
        );
    };
    for place in 0..=text.len() {
        let (before, after) = text.split_at(place);
        for digit in b'0'..=b'9' {
            add(ExplanationKind::DigitDropped, [before, &[digit], after].concat());
            if let Some((_, rest)) = after.split_first().filter(|(old, _)| **old != b'.' && **old != digit) {
                add(ExplanationKind::DigitWrong, [before, &[digit], rest].concat());
            }
        }
        match after {
            [first, second, rest @ ..] if first != second && *first != b'.' && *second != b'.' => {
                add(ExplanationKind::DigitsSwapped, [before, &[*second, *first], rest].concat());
            }
            _ => {}
        }
        if let Some((_, rest)) = after.split_first().filter(|(digit, _)| **digit != b'.') {
            add(ExplanationKind::DigitAdded, [before, rest].concat());
        }
    }
    meant.sort_by_key(|(kind, figure)| (*figure, *kind));
    meant.dedup();
    meant
}
