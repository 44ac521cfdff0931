//! Single cells: whole numbers, weights, percentages. Dates and times have their own file.

use std::str::FromStr;

use crate::units::{Decimal, Head, Percent, TransactionNo, Unit, Weight};

/// No weight, price or percentage has more digits before its decimal mark: sums then stay exact.
const MOST_WHOLE_DIGITS: usize = 12;
/// Nor more behind it.
const MOST_DECIMALS: usize = 6;

/// A transaction number: digits, perhaps after a short prefix that is not a figure, such as `T0041` or `#41`.
#[must_use]
pub fn transaction(cell: &str) -> Option<TransactionNo> {
    let digits = cell.trim_start_matches(|letter: char| !letter.is_ascii_digit());
    let prefix_length = cell.len() - digits.len();
    let prefix_ok = prefix_length <= 4 && !cell.starts_with(['-', '+']);
    let all_digits = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    (prefix_ok && all_digits).then(|| digits.parse().ok().map(TransactionNo)).flatten()
}

/// Whether a cell is filled with a mark that stands for nothing.
#[must_use]
pub fn stands_for_nothing(cell: &str) -> bool {
    matches!(cell.to_ascii_lowercase().as_str(), "-" | "--" | "---" | "n/a" | "na" | ".")
}

/// A count of animals. `10.0` is the whole number 10; `10.000` could be ten thousand and is neither.
#[must_use]
pub fn head(cell: &str) -> Option<Head> {
    let digits = cell.trim_end_matches(|letter: char| letter.is_alphabetic() || letter == ' ' || letter == '.');
    let digits = if digits.is_empty() { cell } else { digits };
    let digits = digits.strip_suffix(".00").or_else(|| digits.strip_suffix(".0")).unwrap_or(digits);
    digits.bytes().all(|byte| byte.is_ascii_digit()).then(|| digits.parse().ok().map(Head)).flatten()
}

/// A weight, with the unit where the cell carries one.
#[must_use]
pub fn weight(cell: &str, decimal_mark: char) -> Option<Weight> {
    let figure_end = cell.rfind(|letter: char| letter.is_ascii_digit()).map(|at| at + 1)?;
    let (figure, suffix) = cell.split_at_checked(figure_end)?;
    let suffix = suffix.trim();
    let (unit, sign) = match suffix {
        "" => (None, ""),
        "-" => (None, "-"),
        word => (Some(unit(word)?), ""),
    };
    let amount = decimal(&format!("{sign}{figure}"), decimal_mark)?;
    Some(Weight::new(amount, unit))
}

/// Whether a cell is a figure under either decimal mark, with or without a unit.
#[must_use]
pub fn figure(cell: &str) -> bool {
    weight(cell, '.').or_else(|| weight(cell, ',')).is_some()
}

/// A unit of weight, as printed.
#[must_use]
pub fn unit(cell: &str) -> Option<Unit> {
    match cell.trim().trim_end_matches('.').to_ascii_lowercase().as_str() {
        "lb" | "lbs" | "pound" | "pounds" | "#" => Some(Unit::Pound),
        "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" => Some(Unit::Kilogram),
        _ => None,
    }
}

/// A percentage, with or without its sign.
#[must_use]
pub fn percent(cell: &str, decimal_mark: char) -> Option<Percent> {
    decimal(cell.trim_end_matches('%').trim_end(), decimal_mark)
        .filter(|amount| !amount.is_sign_negative() && *amount <= Decimal::ONE_HUNDRED)
        .map(Percent)
}

/// An exact figure: a sign, digits in groups of three or ungrouped, a decimal mark and decimals.
#[must_use]
pub fn decimal(cell: &str, decimal_mark: char) -> Option<Decimal> {
    let cell = cell.trim();
    let (negative, figure) = match cell.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, cell.strip_prefix('+').unwrap_or(cell)),
    };
    let (whole, decimals) = figure.split_once(decimal_mark).unwrap_or((figure, ""));
    let whole = ungrouped(whole, if decimal_mark == ',' { '.' } else { ',' })?;
    let sound = |digits: &str, most: usize| digits.len() <= most && digits.bytes().all(|byte| byte.is_ascii_digit());
    if !sound(&whole, MOST_WHOLE_DIGITS) || !sound(decimals, MOST_DECIMALS) || (whole.is_empty() && decimals.is_empty())
    {
        return None;
    }
    let amount = Decimal::from_str(&format!("{}.{}", zero_if_empty(&whole), zero_if_empty(decimals))).ok()?;
    Some(if negative { -amount } else { amount })
}

fn zero_if_empty(digits: &str) -> &str {
    if digits.is_empty() { "0" } else { digits }
}

/// Takes the marks between groups of three out; `None` where the groups are not of three.
fn ungrouped(whole: &str, mark: char) -> Option<String> {
    if !whole.contains([mark, ' ', '\u{a0}']) {
        return Some(whole.to_owned());
    }
    let mut groups = whole.split([mark, ' ', '\u{a0}']);
    let first = groups.next()?;
    let mut out = first.to_owned();
    for group in groups {
        (group.len() == 3).then_some(())?;
        out.push_str(group);
    }
    (!first.is_empty() && first.len() <= 3).then_some(out)
}
