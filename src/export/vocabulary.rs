//! Words that stand in cells and show what their column holds: kinds of livestock, marks, initials.

use super::meaning::Meaning;
use super::profile::Column;
use super::words::normalised;

/// Kinds of livestock, single and several, as the trade writes them.
const KINDS: [&str; 44] = [
    "steer",
    "steers",
    "heifer",
    "heifers",
    "cow",
    "cows",
    "bull",
    "bulls",
    "calf",
    "calves",
    "cattle",
    "feeder",
    "feeders",
    "fed",
    "stocker",
    "stockers",
    "yearling",
    "yearlings",
    "pair",
    "pairs",
    "lamb",
    "lambs",
    "ewe",
    "ewes",
    "ram",
    "rams",
    "sheep",
    "goat",
    "goats",
    "kid",
    "kids",
    "hog",
    "hogs",
    "pig",
    "pigs",
    "sow",
    "sows",
    "boar",
    "boars",
    "barrow",
    "barrows",
    "gilt",
    "gilts",
    "mixed",
];

/// Marks of a draft's state.
const MARKS: [&str; 16] = [
    "ok",
    "void",
    "voided",
    "valid",
    "manual",
    "man",
    "man wt",
    "manual wt",
    "manual weight",
    "reprint",
    "copy",
    "dup",
    "duplicate",
    "test",
    "stable",
    "motion",
];

/// What a column of words holds, where its words show it.
pub fn of_cells(column: &Column<'_>) -> Option<Meaning> {
    let different = column.different();
    let all = |is_so: &dyn Fn(&str) -> bool| !different.is_empty() && different.keys().all(|cell| is_so(cell));
    if all(&|cell| normalised(cell).split(' ').any(|word| KINDS.contains(&word))) {
        return Some(Meaning::Kind);
    }
    if all(&|cell| MARKS.contains(&normalised(cell).as_str())) {
        return Some(Meaning::Status);
    }
    let initials = |cell: &str| {
        (2..=4).contains(&cell.chars().count()) && cell.chars().all(|letter| letter.is_uppercase() || letter == '.')
    };
    (all(&initials) && column.mostly(|_| true)).then_some(Meaning::Weigher)
}
