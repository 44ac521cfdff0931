//! The JSON document of `layout`: how one export is laid out, and why it was read so.

use serde::Serialize;

use super::document::export::{LayoutEntry, layout};
use crate::day::LaidOut;
use crate::export::{
    DescribedFile, Descriptor, Export, Fields, Reason, RowContent, RowCounts, column_reason, describe,
};
use crate::finding::{Finding, NotChecked};
use crate::units::{Head, LineNo, LocalTime, TransactionNo, Weight};

/// So many rows are shown.
const FIRST_ROWS: usize = 5;

#[derive(Serialize)]
struct LayoutDocument<'a> {
    format: &'static str,
    program_version: &'a str,
    path: &'a str,
    size_bytes: Option<u64>,
    sha256: Option<&'a str>,
    layout: Option<LayoutEntry<'a>>,
    encoding_same: Vec<&'static str>,
    encoding_doubt: Option<&'static str>,
    column_reasons: Option<Vec<&'static str>>,
    why: &'a [Reason],
    rows: Option<RowCounts>,
    first_rows: Vec<FirstRow<'a>>,
    resource: Option<Descriptor>,
    looks_like: Option<&'a str>,
    saved: Option<&'a str>,
    findings: &'a [Finding],
    not_checked: &'a [NotChecked],
}

/// A row as it was read.
#[derive(Serialize)]
struct FirstRow<'a> {
    line: LineNo,
    transaction: Option<TransactionNo>,
    at: Option<LocalTime>,
    ticket: Option<&'a str>,
    lot: Option<&'a str>,
    head: Option<Head>,
    gross: Option<Weight>,
    net: Option<Weight>,
    unit: Option<crate::units::Unit>,
}

/// The first drafts of an export, with their lines.
pub fn first_rows(export: &Export) -> impl Iterator<Item = (LineNo, &Fields)> {
    let drafts = export.rows.iter().filter_map(|row| match &row.content {
        RowContent::Draft(fields) => Some((row.line, &**fields)),
        _ => None,
    });
    drafts.take(FIRST_ROWS)
}

fn first_row((line, fields): (LineNo, &Fields)) -> FirstRow<'_> {
    FirstRow {
        line,
        transaction: fields.transaction,
        at: fields.at,
        ticket: fields.ticket.as_deref(),
        lot: fields.lot.as_deref(),
        head: fields.head,
        gross: fields.gross,
        net: fields.net,
        unit: fields.gross.and_then(Weight::unit),
    }
}

/// The layout of the one export as a Data Resource; `None` where there is no export.
#[must_use]
pub fn resource(laid_out: &LaidOut) -> Option<Descriptor> {
    let (known, export) = laid_out.known.as_ref().zip(laid_out.day.exports.first())?;
    let name = export.name().rsplit('/').next().unwrap_or_default();
    Some(describe(known, DescribedFile { name, bytes: export.size_bytes, sha256: &export.sha256 }))
}

/// How a file is laid out; `saved` is where the layout was kept.
///
/// # Errors
/// Only when memory for the text cannot be had.
pub fn layout_json(laid_out: &LaidOut, path: &str, saved: Option<&str>, version: &str) -> serde_json::Result<String> {
    let day = &laid_out.day;
    let export = day.exports.first();
    let document = LayoutDocument {
        format: "counterfoil-layout/1",
        program_version: version,
        path,
        size_bytes: day.sources.first().map(|source| source.size_bytes),
        sha256: day.sources.first().and_then(|source| source.sha256.as_deref()),
        layout: export.map(|export| layout(&export.layout)),
        encoding_same: export.map(|export| export.text.encoding_same.clone()).unwrap_or_default(),
        encoding_doubt: export.and_then(|export| export.text.encoding_doubt),
        column_reasons: export.map(|export| export.layout.columns.iter().map(column_reason).collect()),
        why: &laid_out.why,
        rows: export.map(|export| export.counts),
        first_rows: export.map(|export| first_rows(export).map(first_row).collect()).unwrap_or_default(),
        resource: resource(laid_out),
        looks_like: laid_out.looks_like.as_deref(),
        saved,
        findings: &day.findings,
        not_checked: &day.not_checked,
    };
    serde_json::to_string_pretty(&document).map(|text| text + "\n")
}
