//! One document held against the truth of its export.

use serde_json::Value;

use super::Case;
use super::encode::decode;
use super::layout::Order;
use super::truth::{ColumnTruth, DateTruth, FIELDS, Row, Truth};

/// What was said of the order of the dates.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DateVerdict {
    NoDate,
    Right,
    RightlyUndecidable,
    /// Called undecidable though the dates allow one order only.
    NeedlesslyUndecidable,
    /// An order was named though nothing tells.
    SilentlyDecided,
    Wrong,
    /// No export was listed.
    Unread,
}

/// What came of one export.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    /// Exactly one export is listed.
    pub listed: bool,
    /// All rows, each with every field, and no other row.
    pub exact: bool,
    /// The first difference, in words, where it is not.
    pub difference: Option<String>,
    /// Columns whose meaning can be known and is told: with a title, and without.
    pub titled: (usize, usize),
    pub untitled: (usize, usize),
    pub dates: DateVerdict,
    /// The encoding named gives the true text.
    pub encoding: bool,
    pub delimiter: bool,
    /// Nothing where no figure has a mark.
    pub decimal_mark: Option<bool>,
    pub clock: Option<bool>,
    /// The lines of all kinds add up to the lines of the file.
    pub lines: bool,
    /// As many rows of sums as there are.
    pub totals: bool,
    /// Rows that were cut are set aside; nothing where none was.
    pub torn: Option<bool>,
}

impl Judged {
    /// What else is wrong than the rows, in words.
    pub fn faults(&self) -> String {
        let good = [DateVerdict::NoDate, DateVerdict::Right, DateVerdict::RightlyUndecidable];
        let checked = [
            ("encoding", self.encoding),
            ("delimiter", self.delimiter),
            ("decimal mark", self.decimal_mark != Some(false)),
            ("clock", self.clock != Some(false)),
            ("date order", good.contains(&self.dates)),
            ("meanings", self.titled.0 == self.titled.1 && self.untitled.0 == self.untitled.1),
            ("lines", self.lines),
            ("sums", self.totals),
            ("torn rows", self.torn != Some(false)),
        ];
        checked.iter().filter(|(_, right)| !right).map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
    }
}

/// Holds a document against what its export holds.
pub fn judge(document: &Value, case: &Case) -> Judged {
    let truth = &case.truth;
    let exports = document["exports"].as_array().map(Vec::as_slice).unwrap_or_default();
    let export = exports.first().unwrap_or(&Value::Null);
    let (layout, rows) = (&export["layout"], &export["rows"]);
    let listed = exports.len() == 1;
    let difference = if listed { difference(document, truth) } else { Some(format!("{} exports", exports.len())) };
    Judged {
        listed,
        exact: difference.is_none(),
        difference,
        titled: meanings(layout, truth, |column| column.titled),
        untitled: meanings(layout, truth, |column| !column.titled),
        dates: if listed { date_verdict(&layout["date_order"], truth.dates) } else { DateVerdict::Unread },
        encoding: layout["encoding"].as_str().is_some_and(|name| same_text(name, case)),
        delimiter: layout["delimiter"] == truth.delimiter.to_string(),
        decimal_mark: truth.decimal_mark.map(|mark| layout["decimal_mark"] == mark.to_string()),
        clock: truth.clock.map(|clock| layout["clock"] == clock),
        lines: listed && lines_told(rows).is_some_and(|told| truth.lines.contains(&told)),
        totals: count(rows, "totals").is_some_and(|told| truth.totals.contains(&told)),
        torn: (truth.torn > 0).then(|| count(rows, "unreadable").is_some_and(|told| told >= truth.torn)),
    }
}

fn count(rows: &Value, kind: &str) -> Option<usize> {
    rows[kind].as_u64().map(|count| count as usize)
}

/// The lines of an export by its own account.
fn lines_told(rows: &Value) -> Option<usize> {
    ["drafts", "totals", "headers", "banners", "blank", "unreadable"].iter().map(|kind| count(rows, kind)).sum()
}

/// Whether bytes decoded by this encoding are the same text as by the true one.
fn same_text(name: &str, case: &Case) -> bool {
    name == case.truth.encoding || decode(&case.bytes, name) == decode(&case.bytes, case.truth.encoding)
}

/// Columns of a sort whose meaning can be known: how many are told rightly, and how many there are.
fn meanings(layout: &Value, truth: &Truth, of: impl Fn(&ColumnTruth) -> bool) -> (usize, usize) {
    let told = |index: usize| {
        let columns = layout["columns"].as_array().map(Vec::as_slice).unwrap_or_default();
        columns.iter().find(|column| column["index"] == index).map(|column| &column["meaning"])
    };
    let judged = truth.columns.iter().enumerate().filter(|(_, column)| column.judged && of(column));
    judged.fold((0, 0), |(right, all), (index, column)| {
        (right + usize::from(told(index).is_some_and(|meaning| meaning == column.meaning)), all + 1)
    })
}

fn date_verdict(told: &Value, truth: DateTruth) -> DateVerdict {
    let right = |order: Order| told == order.word();
    match truth {
        DateTruth::NoDate => DateVerdict::NoDate,
        DateTruth::Decided(_) if told.is_null() => DateVerdict::NeedlesslyUndecidable,
        DateTruth::Leaning(_) | DateTruth::Undecidable if told.is_null() => DateVerdict::RightlyUndecidable,
        DateTruth::Undecidable => DateVerdict::SilentlyDecided,
        DateTruth::Decided(order) | DateTruth::Leaning(order) if right(order) => DateVerdict::Right,
        DateTruth::Decided(_) | DateTruth::Leaning(_) => DateVerdict::Wrong,
    }
}

/// The drafts of a document as they stand in the file.
pub fn drafts(document: &Value) -> Vec<&Value> {
    let mut drafts: Vec<_> = document["drafts"].as_array().into_iter().flatten().collect();
    drafts.sort_by_key(|draft| draft["origin"]["byte"].as_u64());
    drafts
}

/// The first difference between the drafts of a document and the true rows, in words.
fn difference(document: &Value, truth: &Truth) -> Option<String> {
    let drafts = drafts(document);
    let order = order_read(&drafts, truth);
    for (index, row) in truth.rows.iter().enumerate() {
        let Some(draft) = drafts.get(index) else {
            return Some(format!("row {} of {} is lost: {}", index + 1, truth.rows.len(), row.fields["transaction"]));
        };
        if let Some(field) = FIELDS.iter().find(|field| !field_right(draft, row, field, order, truth)) {
            return Some(format!("row {}, {field}: {} instead of {}", index + 1, draft[*field], row.fields[*field]));
        }
    }
    drafts.get(truth.rows.len()).map(|extra| format!("a row too many: {}, {}", extra["transaction"], extra["at"]))
}

/// Under which of the orders that the dates allow all drafts were read; the true one where under none.
fn order_read(drafts: &[&Value], truth: &Truth) -> usize {
    let orders = truth.rows.first().map_or(0, |row| row.readings.len());
    let fits = |order: &usize| {
        truth
            .rows
            .iter()
            .zip(drafts)
            .all(|(row, draft)| row.readings.get(*order).is_some_and(|(_, at)| draft["at"] == *at))
    };
    (0..orders).find(fits).unwrap_or(0)
}

fn field_right(draft: &Value, row: &Row, field: &str, order: usize, truth: &Truth) -> bool {
    let (told, true_value) = (&draft[field], &row.fields[field]);
    match field {
        "at" => row.readings.get(order).map_or(told.is_null(), |(_, at)| told == at),
        _ if told.is_null() && truth.optional.contains(field) => true,
        "gross" | "tare" | "net" | "average" | "shrink_percent" | "pay_weight" => decimal(told) == decimal(true_value),
        "consignor" | "buyer" | "remark" if truth.quotes_free => without_quotes(told) == without_quotes(true_value),
        _ => told == true_value,
    }
}

/// A decimal without idle zeros and plus sign.
fn decimal(value: &Value) -> Option<String> {
    let text = value.as_str()?.trim_start_matches('+');
    let short = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text };
    Some(short.to_owned())
}

fn without_quotes(value: &Value) -> Option<String> {
    Some(value.as_str().unwrap_or_default().replace('"', ""))
}
