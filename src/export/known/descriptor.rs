//! A layout as a Data Resource (Data Package, version 2): what is written, property by property.
//!
//! Whatever the standard has no word for stands under properties that begin with `counterfoil:`.

use serde::Serialize;

use super::super::layout::{Clock, DateOrder};
use super::super::meaning::Meaning;
use super::UnitStated;
use crate::units::Unit;

/// The version of what stands under `counterfoil:layout`.
pub const VERSION: u32 = 1;

/// The whole file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Descriptor {
    /// The profile it follows.
    #[serde(rename = "$schema")]
    pub profile: &'static str,
    /// A short name made from the file's.
    pub name: String,
    /// The file it was made from, beside the descriptor.
    pub path: String,
    /// That it is a table.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// How such files commonly end.
    pub format: &'static str,
    /// Its media type.
    pub mediatype: &'static str,
    /// Its encoding.
    pub encoding: &'static str,
    /// The size of the file it was made from.
    pub bytes: u64,
    /// Its checksum.
    pub hash: String,
    /// How cells stand on a line.
    pub dialect: Dialect,
    /// The columns.
    pub schema: Schema,
    /// What the standard has no word for.
    #[serde(rename = "counterfoil:layout")]
    pub own: Own,
}

/// A Table Dialect.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Dialect {
    /// What stands between cells; missing for fixed widths, which the standard does not know.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub delimiter: Option<char>,
    /// How lines end.
    pub line_terminator: &'static str,
    /// What cells are quoted with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quote_char: Option<char>,
    /// Whether a quote inside a quoted cell is doubled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub double_quote: Option<bool>,
    /// Whether blanks behind a delimiter count for nothing.
    pub skip_initial_space: bool,
    /// Whether there are titles.
    pub header: bool,
    /// The lines of the titles, counted from 1.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub header_rows: Vec<u64>,
    /// What titles of several lines are joined with.
    pub header_join: &'static str,
    /// Lines that are neither titles nor rows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub comment_rows: Vec<u64>,
}

/// A Table Schema.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Schema {
    /// The columns, from left to right.
    pub fields: Vec<Field>,
    /// Cells that stand for nothing.
    pub missing_values: Vec<String>,
}

/// One column.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Field {
    /// Its title where that is unlike all others, else a name made up.
    pub name: String,
    /// What its cells are.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The pattern of its dates or times.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub format: Option<String>,
    /// What it means, in a few words.
    pub title: String,
    /// What it means, in a sentence.
    pub description: String,
    /// What stands between a figure's whole and its fraction.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decimal_char: Option<char>,
    /// What stands between groups of three digits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub group_char: Option<char>,
    /// False where something stands beside the figure, such as a unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bare_number: Option<bool>,
    /// What it means to this program.
    #[serde(rename = "counterfoil:meaning")]
    pub meaning: Meaning,
    /// The unit that titles or a row of units state for it.
    #[serde(rename = "counterfoil:unit", skip_serializing_if = "Option::is_none")]
    pub unit: Option<Unit>,
    /// Its title as written, where its name is another; empty where the header leaves it blank.
    #[serde(rename = "counterfoil:title", skip_serializing_if = "Option::is_none")]
    pub written: Option<String>,
}

/// How cells can stand on a line, by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShapeName {
    /// A mark stands between them.
    Delimited,
    /// Each begins at its place.
    FixedWidth,
    /// Runs of blanks stand between them.
    Blanks,
}

/// What the standard has no word for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Own {
    /// Of these properties.
    pub version: u32,
    /// How cells stand on a line.
    pub shape: ShapeName,
    /// Where columns of a fixed width begin, counted in letters from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub starts: Option<Vec<usize>>,
    /// So many blanks at least stand between cells, where runs of blanks do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub blanks: Option<usize>,
    /// Whether files begin with a byte order mark.
    pub byte_order_mark: bool,
    /// The order of dates; `null` where it is open or there are none.
    pub date_order: Option<DateOrder>,
    /// How times are written.
    pub clock: Option<Clock>,
    /// The unit of the weights.
    pub unit: Option<Unit>,
    /// Where that is stated.
    pub unit_stated: UnitStated,
}

impl Descriptor {
    /// The text of the file, with indentation and a line end.
    ///
    /// # Errors
    /// Only when memory for the text cannot be had.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(self).map(|text| text + "\n")
    }
}
