//! What an export holds, known before any reader sees it: rows, meanings, encoding, order of dates.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

use chrono::{Datelike, NaiveDate, NaiveDateTime};
use serde_json::{Value, json};

use super::ends::Written;
use super::layout::{Layout, Order};
use super::print;
use super::sale::Weighing;
use super::sheet::{Kind, Sheet};

/// The fields of a draft that are compared.
pub const FIELDS: [&str; 19] = [
    "transaction",
    "transaction_text",
    "at",
    "at_precision",
    "ticket",
    "lot",
    "head",
    "gross",
    "tare",
    "net",
    "unit",
    "average",
    "shrink_percent",
    "pay_weight",
    "kind",
    "consignor",
    "buyer",
    "weigher",
    "remark",
];

/// A draft as the document should give it.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    pub fields: BTreeMap<&'static str, Value>,
    /// `at` under each order of dates that the file allows; the true one first.
    pub readings: Vec<(Order, String)>,
}

/// What can be known of the order of the dates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateTruth {
    /// No date is printed.
    NoDate,
    /// The dates allow one order only.
    Decided(Order),
    /// They allow several, and only what surrounds them speaks for one.
    Leaning(Order),
    /// Nothing in the file tells.
    Undecidable,
}

/// A column and whether its meaning can be known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColumnTruth {
    pub meaning: &'static str,
    pub titled: bool,
    pub judged: bool,
}

#[derive(Clone, Debug)]
pub struct Truth {
    pub rows: Vec<Row>,
    /// How many rows of sums; some are written so that they may be taken for text.
    pub totals: RangeInclusive<usize>,
    /// Rows cut or overwritten.
    pub torn: usize,
    /// Lines of the file; a tail of zeros may be taken for one more, lines that end in CR alone for none.
    pub lines: RangeInclusive<usize>,
    pub encoding: &'static str,
    /// The text of the file, without a byte order mark.
    pub text: String,
    pub delimiter: char,
    /// Nothing where no figure has one.
    pub decimal_mark: Option<char>,
    pub dates: DateTruth,
    pub clock: Option<&'static str>,
    pub columns: Vec<ColumnTruth>,
    /// Fields that may be left `null`: no title says what their column means.
    pub optional: BTreeSet<&'static str>,
    /// Whether a quote more or less in a text is no difference.
    pub quotes_free: bool,
}

/// Meanings that the cells themselves tell, by form or arithmetic.
const TOLD_BY_CELLS: [&str; 11] =
    ["transaction", "date", "time", "datetime", "head", "gross", "tare", "net", "average", "unit", "shrink_percent"];

/// The truth of a sheet as written; `coded` is its encoding.
pub fn truth(sheet: &Sheet, lines: &[Written], encoding: &'static str, zero_tail: bool) -> Truth {
    let count = |kind: Kind| lines.iter().filter(|line| line.kind == kind).count();
    let kept: Vec<&Weighing> = lines
        .iter()
        .filter_map(|line| match line.kind {
            Kind::Draft(index) => Some(&sheet.sale[index]),
            _ => None,
        })
        .collect();
    let (dates, orders) = dates(&sheet.layout, &kept);
    let (sums, in_words) = (count(Kind::Total), count(Kind::FreeTotal));
    let cr = lines.iter().filter(|line| line.end == "\r").count();
    Truth {
        rows: kept.iter().map(|weighing| row(&sheet.layout, weighing, &orders)).collect(),
        totals: sums..=sums + in_words,
        torn: count(Kind::Torn),
        lines: lines.len() - cr.min(lines.len() - 1)..=lines.len() + usize::from(zero_tail),
        encoding,
        text: lines.iter().map(|line| format!("{}{}", line.text, line.end)).collect(),
        delimiter: sheet.layout.delimiter(),
        decimal_mark: decimal_mark(&sheet.layout),
        dates,
        clock: sheet.layout.clock(),
        columns: columns(sheet),
        optional: optional(sheet),
        quotes_free: sheet.lone_quote,
    }
}

fn columns(sheet: &Sheet) -> Vec<ColumnTruth> {
    let column = |shown: &super::sheet::Shown| ColumnTruth {
        meaning: shown.meaning,
        titled: shown.titled,
        judged: !shown.meaning.is_empty() && (shown.titled || TOLD_BY_CELLS.contains(&shown.meaning)),
    };
    sheet.columns.iter().map(column).collect()
}

fn optional(sheet: &Sheet) -> BTreeSet<&'static str> {
    let untold = |shown: &&super::sheet::Shown| !shown.titled && !TOLD_BY_CELLS.contains(&shown.meaning);
    sheet.columns.iter().filter(untold).map(|shown| shown.meaning).collect()
}

/// A sign that stands in the figures: as decimal mark, or as the one that groups their digits.
fn decimal_mark(layout: &Layout) -> Option<char> {
    let printed = layout.decimals > 0
        || layout.group.is_some()
        || layout.has("average") && layout.average_decimals > 0
        || layout.has("pay_weight") && layout.pay_decimals > 0
        || layout.has("shrink_percent");
    printed.then_some(layout.mark)
}

fn row(layout: &Layout, weighing: &Weighing, orders: &[Order]) -> Row {
    let fields = FIELDS.iter().map(|field| (*field, value(layout, weighing, field))).collect();
    let readings = orders.iter().filter_map(|order| {
        let date = reading(layout, weighing.at.date(), *order)?;
        Some((*order, at(layout, date.and_time(weighing.at.time()))?))
    });
    Row { fields, readings: readings.collect() }
}

fn value(layout: &Layout, row: &Weighing, field: &str) -> Value {
    let text = |text: &str| if text.is_empty() { Value::Null } else { json!(text) };
    match field {
        "transaction" => json!(row.number),
        "transaction_text" => json!(format!("{:01$}", row.number, layout.number_digits)),
        "at" => json!(at(layout, row.at)),
        "at_precision" => json!(layout.precision()),
        "unit" => json!(layout.stated_unit()),
        "pay_weight" => pay_weight(layout, row),
        _ if !layout.has(field) => Value::Null,
        "ticket" => json!(print::filled(layout.ticket, row.ticket)),
        "lot" => json!(print::filled(layout.lot, row.lot)),
        "head" => json!(row.head),
        "gross" => exact(row.gross),
        "tare" => exact(row.tare),
        "net" => exact(row.net()),
        "average" => row.average(layout.average_decimals).map_or(Value::Null, exact),
        "shrink_percent" => exact(row.shrink * 10),
        "kind" => text(row.kind),
        "consignor" => text(row.consignor),
        "buyer" => text(row.buyer),
        "weigher" => text(row.weigher),
        _ => text(&row.remark),
    }
}

/// As stated, else to 0.01 where a shrink is stated.
fn pay_weight(layout: &Layout, row: &Weighing) -> Value {
    let base = print::pay_base(layout, row);
    match (layout.has("pay_weight"), layout.has("shrink_percent")) {
        (true, _) => exact(row.pay(base, layout.pay_decimals)),
        (false, true) => exact(row.pay(base, 2)),
        (false, false) => Value::Null,
    }
}

/// Thousandths as an exact decimal without idle zeros.
pub fn exact(thousandths: i64) -> Value {
    let sign = if thousandths < 0 { "-" } else { "" };
    let all = format!("{sign}{}.{:03}", thousandths.abs() / 1000, thousandths.abs() % 1000);
    json!(all.trim_end_matches('0').trim_end_matches('.'))
}

/// The time of a weighing as its export shows it.
fn at(layout: &Layout, at: NaiveDateTime) -> Option<String> {
    let pattern = match layout.precision()? {
        "second" => "%Y-%m-%dT%H:%M:%S",
        "minute" => "%Y-%m-%dT%H:%M:00",
        _ => "%Y-%m-%dT00:00:00",
    };
    Some(at.format(pattern).to_string())
}

/// What a date of the layout says if it is read in another order; nothing where it cannot be.
fn reading(layout: &Layout, date: NaiveDate, order: Order) -> Option<NaiveDate> {
    let own = layout.order()?;
    match (own, order) {
        _ if own == order => Some(date),
        (Order::Mdy, Order::Dmy) | (Order::Dmy, Order::Mdy) => {
            NaiveDate::from_ymd_opt(date.year(), date.day(), date.month())
        }
        (Order::Ymd, Order::Dmy) if layout.two_digit_year() => {
            NaiveDate::from_ymd_opt(2000 + date.day() as i32, date.month(), date.year().rem_euclid(100) as u32)
        }
        // Nobody takes a leading pair of digits for a year unless it is proven.
        _ => None,
    }
}

/// What the dates tell, and the orders in which all of them can be read; the true one first.
fn dates(layout: &Layout, rows: &[&Weighing]) -> (DateTruth, Vec<Order>) {
    let Some(own) = layout.order() else { return (DateTruth::NoDate, Vec::new()) };
    let days: BTreeSet<NaiveDate> = rows.iter().map(|row| row.at.date()).collect();
    let mut orders = vec![own];
    orders.extend(
        [Order::Mdy, Order::Dmy, Order::Ymd]
            .into_iter()
            .filter(|order| *order != own && days.iter().all(|day| reading(layout, *day, *order).is_some())),
    );
    let same = |order: &Order| days.iter().all(|day| reading(layout, *day, *order) == Some(*day));
    let truth = match (orders.len(), days.len()) {
        (1, _) => DateTruth::Decided(own),
        (_, 0 | 1) if !orders.iter().all(same) => DateTruth::Undecidable,
        _ => DateTruth::Leaning(own),
    };
    (truth, orders)
}
