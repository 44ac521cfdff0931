//! Writes a list as delimited text by RFC 4180, so that no spreadsheet takes a text for a formula.

use std::borrow::Cow;

use super::columns::{Cell, Column};

/// A list as RFC 4180 text: commas, lines ended by CR LF, the names of the columns on the first line, UTF-8.
///
/// # Errors
/// In plain words; only when memory for the text cannot be had.
pub fn table<R>(columns: &[Column<R>], rows: &[R]) -> Result<Vec<u8>, String> {
    let mut writer = ::csv::WriterBuilder::new().terminator(::csv::Terminator::CRLF).from_writer(Vec::new());
    let header = columns.iter().map(|column| column.name);
    writer.write_record(header).map_err(|error| error.to_string())?;
    for row in rows {
        let cells = columns.iter().map(|column| shown((column.cell)(row)));
        for cell in cells {
            writer.write_field(cell.as_bytes()).map_err(|error| error.to_string())?;
        }
        writer.write_record(None::<&[u8]>).map_err(|error| error.to_string())?;
    }
    writer.into_inner().map_err(|error| error.to_string())
}

/// A text that no spreadsheet takes for a formula: an apostrophe is put before one that begins like it.
///
/// Source: OWASP, "CSV Injection" (`=` `+` `-` `@` TAB CR LF and their full-width forms), and OWASP ASVS, which adds
/// NUL. Numbers, dates and times are not texts and are never guarded: a guarded -5 would be no number any more.
#[must_use]
pub fn guarded(text: &str) -> Cow<'_, str> {
    let begins_a_formula = text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '\0', '＝', '＋', '－', '＠']);
    if begins_a_formula { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

fn shown(cell: Cell<'_>) -> Cow<'_, str> {
    match cell {
        Cell::Empty => Cow::Borrowed(""),
        Cell::Text(Cow::Borrowed(text)) => guarded(text),
        Cell::Text(Cow::Owned(text)) => Cow::Owned(guarded(&text).into_owned()),
        Cell::Whole(number) => Cow::Owned(number.to_string()),
        Cell::Decimal(number) => Cow::Owned(number.to_string()),
        Cell::Date(day) => Cow::Owned(day.format("%Y-%m-%d").to_string()),
        Cell::Time(at) => Cow::Owned(at.format("%Y-%m-%dT%H:%M:%S").to_string()),
        Cell::YesNo(true) => Cow::Borrowed("yes"),
        Cell::YesNo(false) => Cow::Borrowed("no"),
    }
}
