//! The exports and how they are laid out.

use chrono::NaiveDateTime;
use serde::Serialize;

use super::local_time;
use crate::export::{Clock, Column, DateOrder, Export, Layout, Meaning, RowCounts};
use crate::units::{Confidence, Unit};
use crate::volume::FileState;

#[derive(Debug, Serialize)]
pub(super) struct ExportEntry<'a> {
    id: &'a str,
    source: &'a str,
    volume: Option<usize>,
    path: Option<&'a str>,
    state: FileState,
    duplicate_of: Option<&'a str>,
    size_bytes: u64,
    sha256: &'a str,
    #[serde(serialize_with = "local_time")]
    modified: Option<NaiveDateTime>,
    layout: LayoutEntry<'a>,
    rows: RowCounts,
}

#[derive(Debug, Serialize)]
pub(in crate::report) struct LayoutEntry<'a> {
    encoding: &'static str,
    byte_order_mark: bool,
    delimiter: char,
    quote: Option<char>,
    decimal_mark: char,
    date_order: Option<DateOrder>,
    clock: Option<Clock>,
    header_lines: u32,
    unit: Option<Unit>,
    columns: Vec<ColumnEntry<'a>>,
}

#[derive(Debug, Serialize)]
struct ColumnEntry<'a> {
    index: usize,
    title: Option<&'a str>,
    meaning: Meaning,
    confidence: Confidence,
}

pub(super) fn entry(export: &Export) -> ExportEntry<'_> {
    ExportEntry {
        id: &export.id,
        source: &export.source,
        volume: export.volume,
        path: export.path.as_deref(),
        state: export.state,
        duplicate_of: export.duplicate_of.as_deref(),
        size_bytes: export.size_bytes,
        sha256: &export.sha256,
        modified: export.modified,
        layout: layout(&export.layout),
        rows: export.counts,
    }
}

pub(in crate::report) fn layout(layout: &Layout) -> LayoutEntry<'_> {
    LayoutEntry {
        encoding: layout.encoding,
        byte_order_mark: layout.byte_order_mark,
        delimiter: layout.shape.delimiter(),
        quote: layout.quote,
        decimal_mark: layout.decimal_mark,
        date_order: layout.date_order,
        clock: layout.clock,
        header_lines: layout.header_lines,
        unit: layout.unit,
        columns: layout.columns.iter().map(column).collect(),
    }
}

fn column(column: &Column) -> ColumnEntry<'_> {
    ColumnEntry {
        index: column.index,
        title: column.title.as_deref(),
        meaning: of_exports(column.meaning),
        confidence: column.confidence,
    }
}

/// Meanings only a ticket list can have are no words of this document: in an export nothing uses such a column.
const fn of_exports(meaning: Meaning) -> Meaning {
    match meaning {
        Meaning::Price
        | Meaning::PricePer
        | Meaning::Value
        | Meaning::FirstTransaction
        | Meaning::LastTransaction
        | Meaning::Replaces => Meaning::Ignored,
        other => other,
    }
}
