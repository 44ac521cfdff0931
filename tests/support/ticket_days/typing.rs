//! Every single story in which the stick is right and the list was typed or reckoned wrongly.

use super::MISCOUNT;
use super::faults::rounds_to;
use super::figures::{Figures, divided, hundredths, in_other_unit, shrunk, typed};
use super::model::{Fault, Line};
use super::print::expected_pay;
use super::stories::{Seen, Story, View};

/// The sum that was to be typed, and what is known beside it.
#[derive(Clone, Copy, Debug)]
pub struct Sum {
    pub figures: Figures,
    pub tare: i64,
    pub drafts: i64,
}

impl Sum {
    pub fn of(seen: &Seen) -> Self {
        let tare = seen.own.iter().map(|draft| draft.tare).sum();
        Self { figures: seen.sum(), tare, drafts: i64::try_from(seen.own.len()).unwrap() }
    }
}

/// The single stories by which the sum became what was typed.
pub fn stories(view: &View, sum: Sum, typed: Figures, shrink: Option<i64>) -> Vec<Story> {
    let difference = typed - sum.figures;
    match (difference.head, difference.gross) {
        (0, 0) => Vec::new(),
        (_, 0) => of_head(sum.figures.head, typed.head),
        (0, _) => of_weight(view, sum, typed, shrink),
        _ => Vec::new(),
    }
    .into_iter()
    .map(|story| Fault { figures: difference, ..story })
    .collect()
}

fn named(kind: &'static str, also: Vec<&'static str>) -> Story {
    Fault { also, ..Fault::new(kind) }
}

fn of_head(right: i64, wrong: i64) -> Vec<Story> {
    let slips = slips(&right.to_string(), &wrong.to_string());
    match (right - wrong).abs() {
        1..=MISCOUNT => vec![named("head-miscounted", slips)],
        _ => slips.into_iter().map(Fault::new).collect(),
    }
}

fn of_weight(view: &View, sum: Sum, written: Figures, shrink: Option<i64>) -> Vec<Story> {
    let (right, wrong) = (sum.figures.gross, written.gross);
    let mut stories = Vec::new();
    let slips = slips(&typed(right), &typed(wrong));
    if 2 * (right - wrong).abs() <= sum.drafts * view.division {
        stories.push(named("rounding", slips));
    } else if [10, 100].iter().any(|factor| right * factor == wrong || wrong * factor == right) {
        stories.push(named("decimal-slide", slips));
    } else {
        stories.extend(slips.into_iter().map(Fault::new));
    }
    let mut add = |fits: bool, kind, also: &[&'static str]| {
        if fits {
            stories.push(named(kind, also.to_vec()));
        }
    };
    let in_other = |kilograms| rounds_to(wrong, |step| in_other_unit(right, kilograms, step));
    add(in_other(!view.kilograms), "unit-mistaken", &[]);
    let head = i128::from(sum.figures.head.max(1));
    add(rounds_to(wrong, |step| divided(i128::from(right), head, step)), "average-for-gross", &[]);
    add(sum.tare > 0 && right - sum.tare == wrong, "tare-omitted", &[]);
    let off = |percent: i64| rounds_to(wrong, |step| shrunk(right, percent, step));
    let stated = shrink.filter(|percent| off(*percent));
    add(stated.is_some(), "shrink-twice", &["shrink-omitted", "shrink-rate"]);
    let other = (2..=12).any(|half| Some(half * 50) != shrink && off(half * 50));
    add(other, "shrink-rate", &["shrink-omitted", "shrink-twice"]);
    stories
}

/// The slips of the fingers that turn one text into the other.
pub fn slips(right: &str, wrong: &str) -> Vec<&'static str> {
    let (right, wrong) = (right.as_bytes(), wrong.as_bytes());
    let mut slips = Vec::new();
    if right.len() == wrong.len() {
        let differ: Vec<usize> = (0..right.len()).filter(|at| right[*at] != wrong[*at]).collect();
        match differ[..] {
            [at] if right[at] != b'.' && wrong[at] != b'.' => slips.push("digit-wrong"),
            [at, next] if next == at + 1 && right[at] == wrong[next] && right[next] == wrong[at] => {
                slips.push("digits-swapped");
            }
            _ => {}
        }
    }
    if is_without_one(right, wrong) {
        slips.push("digit-dropped");
    }
    if is_without_one(wrong, right) {
        slips.push("digit-added");
    }
    slips
}

/// Whether the shorter text is the longer without one of its digits.
fn is_without_one(longer: &[u8], shorter: &[u8]) -> bool {
    longer.len() == shorter.len() + 1
        && (0..longer.len()).any(|at| {
            let rest = [&longer[..at], &longer[at + 1..]].concat();
            longer[at] != b'.' && rest == shorter
        })
}

/// Everything that one slip could have made this text out of.
pub fn before_a_slip(text: &str) -> Vec<String> {
    let bytes = text.as_bytes();
    let mut before = Vec::new();
    for at in 0..bytes.len() {
        let mut swapped = bytes.to_vec();
        if at + 1 < bytes.len() {
            swapped.swap(at, at + 1);
            before.push(swapped);
        }
        before.push([&bytes[..at], &bytes[at + 1..]].concat());
    }
    for digit in b'0'..=b'9' {
        for at in 0..=bytes.len() {
            before.push([&bytes[..at], &[digit], &bytes[at..]].concat());
            if at < bytes.len() {
                before.push([&bytes[..at], &[digit], &bytes[at + 1..]].concat());
            }
        }
    }
    let mut before: Vec<String> = before.into_iter().map(|bytes| String::from_utf8(bytes).unwrap()).collect();
    before.retain(|other| !slips(other, text).is_empty() && !other.starts_with('0') && hundredths(other).is_some());
    before.sort();
    before.dedup();
    before
}

/// The stories by which the pay weight of a ticket became what was typed.
pub fn of_pay(line: &Line) -> Vec<Story> {
    let Some(pay) = line.pay.filter(|pay| *pay != expected_pay(line)) else { return Vec::new() };
    let net = line.paper.gross - line.paper_tare;
    let percent = line.shrink.unwrap_or(0);
    let other = (1..=12).map(|half| half * 50).any(|other| other != percent && pay == shrunk(net, other, 1));
    let kinds = [
        ("shrink-omitted", percent > 0 && pay == net),
        ("shrink-twice", percent > 0 && pay == shrunk(shrunk(net, percent, 1), percent, 1)),
        ("shrink-rate", percent > 0 && other),
        ("tare-omitted", line.paper_tare > 0 && pay == shrunk(line.paper.gross, percent, 1)),
    ];
    let fits = kinds.into_iter().filter(|(_, fits)| *fits);
    fits.map(|(kind, _)| Fault { pay: true, ..Fault::new(kind) }).collect()
}
