//! Dates and times of day as patterns: `%m/%d/%Y`, `%I:%M:%S %p` (the strptime patterns that the Table Schema names).

use super::super::dates::{DateParts, split_datetime, time};
use super::super::layout::{Clock, DateOrder};

/// The pattern of a date; `None` where no pattern says it.
pub fn of_date(cell: &str, order: DateOrder) -> Option<String> {
    let order = DateParts::read(cell)?.order().unwrap_or(order);
    let parts = match order {
        DateOrder::Mdy => ['m', 'd', 'y'],
        DateOrder::Dmy => ['d', 'm', 'y'],
        DateOrder::Ymd => ['y', 'm', 'd'],
    };
    let mut parts = parts.into_iter();
    let mut pattern = String::new();
    let mut rest = cell;
    while let Some(first) = rest.chars().next() {
        let same = |letter: char| match first {
            _ if first.is_ascii_digit() => letter.is_ascii_digit(),
            _ if first.is_alphabetic() => letter.is_alphabetic(),
            _ => !letter.is_alphanumeric(),
        };
        let end = rest.find(|letter| !same(letter)).unwrap_or(rest.len());
        let (piece, after) = rest.split_at_checked(end)?;
        pattern.push_str(if first.is_alphanumeric() { directive(parts.next()?, piece)? } else { piece });
        rest = after;
    }
    parts.next().is_none().then_some(pattern).filter(|pattern| !pattern.contains("%%"))
}

fn directive(part: char, piece: &str) -> Option<&'static str> {
    let named = !piece.starts_with(|letter: char| letter.is_ascii_digit());
    match (part, piece.len()) {
        ('m', 3) if named => Some("%b"),
        ('m', 5..) if named && piece != "sept" => Some("%B"),
        ('m', 4) if named && !piece.eq_ignore_ascii_case("sept") => Some("%B"),
        ('m', 1 | 2) => Some("%m"),
        ('d', 1 | 2) => Some("%d"),
        ('y', 4) => Some("%Y"),
        ('y', 2) => Some("%y"),
        _ => None,
    }
}

/// The pattern of a time of day; `None` where no pattern says it, such as for a lone `p`.
pub fn of_time(cell: &str) -> Option<String> {
    let (_, _, clock) = time(cell)?;
    let end = cell.find(|letter: char| !letter.is_ascii_digit() && letter != ':').unwrap_or(cell.len());
    let (figures, mark) = cell.split_at_checked(end)?;
    let hour = if clock == Clock::Twelve { "%I" } else { "%H" };
    let seconds = if figures.matches(':').count() == 2 { ":%S" } else { "" };
    let word = mark.trim();
    let mark = match word.len() {
        0 => String::new(),
        2 => format!("{}%p", mark.get(..mark.len() - mark.trim_start().len())?),
        _ => return None,
    };
    Some(format!("{hour}:%M{seconds}{mark}"))
}

/// The pattern of a day with a time of day.
pub fn of_datetime(cell: &str, order: DateOrder) -> Option<String> {
    let (date, at) = split_datetime(cell);
    let at = at?;
    let between = cell.get(date.len()..cell.len().checked_sub(at.len())?)?;
    Some(format!("{}{between}{}", of_date(date, order)?, of_time(at)?))
}

/// The order of day, month and year in a pattern; `None` where it names none, such as `any`.
pub fn order_in(pattern: &str) -> Option<DateOrder> {
    if pattern == "default" {
        return Some(DateOrder::Ymd);
    }
    let at = |directives: [&str; 2]| directives.into_iter().find_map(|directive| pattern.find(directive));
    let month = at(["%m", "%b"]).or_else(|| pattern.find("%B"))?;
    let (day, year) = (at(["%d", "%e"])?, at(["%Y", "%y"])?);
    match (month < day, day < year, month < year) {
        (true, true, _) => Some(DateOrder::Mdy),
        (false, _, true) => Some(DateOrder::Dmy),
        (true, false, false) => Some(DateOrder::Ymd),
        _ => None,
    }
}
