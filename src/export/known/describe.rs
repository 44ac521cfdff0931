//! A kept layout to a Data Resource.

use std::collections::BTreeSet;

use super::super::meaning::Meaning;
use super::super::shape::Shape;
use super::descriptor::{Descriptor, Dialect, Field, Own, Schema, ShapeName, VERSION};
use super::{CellType, KnownColumn, KnownLayout};
use crate::finding::words::capital;

/// The profile of a Data Resource, version 2.
const PROFILE: &str = "https://datapackage.org/profiles/2.0/dataresource.json";

/// The file a layout was made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DescribedFile<'a> {
    /// Its name, without folders.
    pub name: &'a str,
    /// Its size in bytes.
    pub bytes: u64,
    /// Its SHA-256, in lower-case hexadecimal.
    pub sha256: &'a str,
}

/// Describes a layout as a Data Resource of the file it was made from.
#[must_use]
pub fn describe(known: &KnownLayout, file: DescribedFile<'_>) -> Descriptor {
    let (format, mediatype) = match known.shape {
        Shape::Delimited('\t') => ("tsv", "text/tab-separated-values"),
        Shape::Delimited(_) => ("csv", "text/csv"),
        Shape::Columns(_) | Shape::Blanks(_) => ("txt", "text/plain"),
    };
    Descriptor {
        profile: PROFILE,
        name: short_name(file.name),
        path: file.name.to_owned(),
        kind: "table",
        format,
        mediatype,
        encoding: known.encoding,
        bytes: file.bytes,
        hash: format!("sha256:{}", file.sha256),
        dialect: dialect(known),
        schema: Schema { fields: fields(known), missing_values: known.missing.clone() },
        own: own(known),
    }
}

/// Lower case letters and figures, others as a hyphen, without the ending.
fn short_name(file: &str) -> String {
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| if stem.is_empty() { file } else { stem });
    let plain = |letter: char| if letter.is_ascii_alphanumeric() { letter.to_ascii_lowercase() } else { '-' };
    let name: String = stem.chars().map(plain).collect();
    let name = name.trim_matches('-');
    if name.is_empty() { "export".to_owned() } else { name.to_owned() }
}

fn dialect(known: &KnownLayout) -> Dialect {
    let marked = matches!(known.shape, Shape::Delimited(_));
    Dialect {
        delimiter: (!matches!(known.shape, Shape::Columns(_))).then(|| known.shape.delimiter()),
        line_terminator: known.line_end.text(),
        quote_char: marked.then_some('"'),
        double_quote: marked.then_some(true),
        skip_initial_space: true,
        header: !known.title_lines.is_empty(),
        header_rows: known.title_lines.clone(),
        header_join: " ",
        comment_rows: known.comment_lines.clone(),
    }
}

fn own(known: &KnownLayout) -> Own {
    let (shape, starts, blanks) = match &known.shape {
        Shape::Delimited(_) => (ShapeName::Delimited, None, None),
        Shape::Columns(starts) => (ShapeName::FixedWidth, Some(starts.clone()), None),
        Shape::Blanks(least) => (ShapeName::Blanks, None, Some(*least)),
    };
    Own {
        version: VERSION,
        shape,
        starts,
        blanks,
        byte_order_mark: known.byte_order_mark,
        date_order: known.date_order,
        clock: known.clock,
        unit: known.unit,
        unit_stated: known.unit_stated,
    }
}

fn fields(known: &KnownLayout) -> Vec<Field> {
    let mut taken: BTreeSet<String> = known.columns.iter().filter_map(|column| column.title.clone()).collect();
    let mut used = BTreeSet::new();
    let named = known.columns.iter().enumerate().map(|(index, column)| {
        let name = match &column.title {
            Some(title) if used.insert(title.clone()) => title.clone(),
            _ => free_name(column, index, &mut taken),
        };
        field(known, column, name)
    });
    named.collect()
}

/// A name that no other column has, made from what the column means.
fn free_name(column: &KnownColumn, index: usize, taken: &mut BTreeSet<String>) -> String {
    let plain = match column.meaning {
        Meaning::Ignored => format!("column {}", index + 1),
        meaning => meaning.words().to_owned(),
    };
    let numbered = (2_usize..).map(|number| format!("{plain} {number}"));
    let free = std::iter::once(plain.clone()).chain(numbered).find(|name| !taken.contains(name));
    let name = free.unwrap_or(plain);
    taken.insert(name.clone());
    name
}

fn field(known: &KnownLayout, column: &KnownColumn, name: String) -> Field {
    let (kind, format) = match &column.cells {
        CellType::Text => ("string", None),
        CellType::Whole => ("integer", None),
        CellType::Figure => ("number", None),
        CellType::Date(format) => ("date", Some(format)),
        CellType::Time(format) => ("time", Some(format)),
        CellType::Datetime(format) => ("datetime", Some(format)),
    };
    let figure = matches!(column.cells, CellType::Figure);
    let headed = !known.title_lines.is_empty();
    let written = column.title.clone().unwrap_or_default();
    Field {
        kind,
        format: format.cloned(),
        title: capital(column.meaning.words()),
        description: sentence(column),
        decimal_char: figure.then_some(known.decimal_mark),
        group_char: column.group_mark,
        bare_number: (!column.bare).then_some(false),
        meaning: column.meaning,
        unit: column.unit,
        written: (headed && written != name).then_some(written),
        name,
    }
}

fn sentence(column: &KnownColumn) -> String {
    let unit = column.unit.map(|unit| format!(", in {unit}")).unwrap_or_default();
    format!("{}{unit}.", column.meaning.described())
}
