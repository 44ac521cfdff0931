//! Cells as an invented indicator prints them.

use chrono::NaiveDateTime;

use super::layout::{Layout, UnitPlace};
use super::sale::Weighing;

/// Columns that hold text, which may be quoted.
pub fn is_text(meaning: &str) -> bool {
    matches!(meaning, "kind" | "consignor" | "buyer" | "weigher" | "remark")
}

/// Columns that hold figures, which stand to the right.
pub fn is_figure(meaning: &str) -> bool {
    is_weight(meaning) || matches!(meaning, "head" | "shrink_percent" | "line_number")
}

pub fn is_weight(meaning: &str) -> bool {
    matches!(meaning, "gross" | "tare" | "net" | "average" | "pay_weight" | "running_total")
}

/// Where a row stands in its table.
#[derive(Clone, Copy)]
pub struct Place {
    pub line: usize,
    /// The sum of the gross weights so far.
    pub running: i64,
}

/// The cells of a draft.
pub fn row(layout: &Layout, weighing: &Weighing, place: Place) -> Vec<String> {
    layout.columns.iter().map(|column| cell(layout, column.meaning, weighing, place)).collect()
}

fn cell(layout: &Layout, meaning: &str, row: &Weighing, place: Place) -> String {
    match meaning {
        "transaction" => format!("{:01$}", row.number, layout.number_digits),
        "date" => stamp(layout, layout.date, row.at),
        "time" => stamp(layout, layout.time, row.at),
        "datetime" => stamp(layout, layout.datetime, row.at),
        "ticket" => filled(layout.ticket, row.ticket),
        "lot" => filled(layout.lot, row.lot),
        "head" => row.head.to_string(),
        "gross" => weight(layout, row.gross, layout.decimals),
        "tare" => weight(layout, row.tare, layout.decimals),
        "net" => weight(layout, row.net(), layout.decimals),
        "average" => average(layout, row),
        "pay_weight" => weight(layout, row.pay(pay_base(layout, row), layout.pay_decimals), layout.pay_decimals),
        "running_total" => weight(layout, place.running, layout.decimals),
        "shrink_percent" => figure(layout, row.shrink * 10, 1),
        "line_number" => place.line.to_string(),
        _ => text_cell(layout, meaning, row).to_owned(),
    }
}

fn text_cell<'r>(layout: &'r Layout, meaning: &str, row: &'r Weighing) -> &'r str {
    let by_number = |choices: [&'static str; 4]| choices[(row.number % 4) as usize];
    match meaning {
        "unit" => layout.unit,
        "kind" => row.kind,
        "consignor" => row.consignor,
        "buyer" => row.buyer,
        "weigher" => row.weigher,
        "remark" => &row.remark,
        "scale" => "S1",
        "status" => "OK",
        "row_kind" => "Draft",
        "level" => by_number(["0.2", "0.4", "1.1", "0.0"]),
        "ignored" => by_number(["7F3A", "C01E", "19B4", "E6D2"]),
        other => panic!("nothing is printed under {other}"),
    }
}

/// What a pay weight is taken of: net, where tare or net is printed, else gross.
pub fn pay_base(layout: &Layout, row: &Weighing) -> i64 {
    if layout.has("tare") || layout.has("net") { row.net() } else { row.gross }
}

pub fn average(layout: &Layout, row: &Weighing) -> String {
    row.average(layout.average_decimals)
        .map(|average| weight(layout, average, layout.average_decimals))
        .unwrap_or_default()
}

/// A weight with the unit behind it, where the layout prints it so.
pub fn weight(layout: &Layout, thousandths: i64, decimals: usize) -> String {
    let figure = figure(layout, thousandths, decimals);
    if layout.unit_place == UnitPlace::Suffix { format!("{figure} {}", layout.unit) } else { figure }
}

/// Thousandths with so many decimals, under the layout's marks.
pub fn figure(layout: &Layout, thousandths: i64, decimals: usize) -> String {
    let sign = if thousandths < 0 { "-" } else { "" };
    let whole = grouped((thousandths.abs() / 1000).to_string(), layout.group);
    if decimals == 0 {
        return format!("{sign}{whole}");
    }
    let fraction = format!("{:03}", thousandths.abs() % 1000);
    format!("{sign}{whole}{}{}", layout.mark, &fraction[..decimals])
}

fn grouped(digits: String, group: Option<char>) -> String {
    let Some(group) = group else { return digits };
    let mut out = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            out.push(group);
        }
        out.push(digit);
    }
    out
}

/// A date or time by its pattern.
pub fn stamp(layout: &Layout, pattern: Option<&str>, at: NaiveDateTime) -> String {
    let written = pattern.map(|pattern| at.format(pattern).to_string()).unwrap_or_default();
    if layout.dotted_marks { written.replace("AM", "a.m.").replace("PM", "p.m.") } else { written }
}

/// A number in a pattern whose zeros are digits: `T-0000` makes 17 `T-0017`.
pub fn filled(pattern: &str, number: u64) -> String {
    let prefix = pattern.trim_end_matches('0');
    let digits = pattern.len() - prefix.len();
    format!("{prefix}{number:0digits$}")
}

/// What stands in a row of sums: the word for it, and the figures of these weighings.
pub fn sums(layout: &Layout, word: &str, rows: &[&Weighing], ticket: bool, place: usize) -> Vec<String> {
    let sum = |of: fn(&Weighing) -> i64| rows.iter().map(|row| of(row)).sum::<i64>();
    let (head, gross, net) = (sum(|row| row.head), sum(|row| row.gross), sum(Weighing::net));
    let all = Weighing { head, gross, tare: gross - net, ..rows[0].clone() };
    let cells = layout.columns.iter().enumerate().map(|(index, column)| match column.meaning {
        "row_kind" => word.to_owned(),
        _ if index == place && !layout.has("row_kind") => word.to_owned(),
        "ticket" | "lot" if !ticket => String::new(),
        "ticket" => filled(layout.ticket, all.ticket),
        "lot" if layout.has("ticket") => String::new(),
        "lot" => filled(layout.lot, all.lot),
        "head" => head.to_string(),
        "gross" => weight(layout, gross, layout.decimals),
        "net" => weight(layout, net, layout.decimals),
        "average" => average(layout, &all),
        "unit" => layout.unit.to_owned(),
        _ => String::new(),
    });
    cells.collect()
}
