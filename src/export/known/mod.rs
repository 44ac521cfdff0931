//! A layout that is kept as a file and given back, so that exports of one indicator are read alike every time.
//!
//! `observe` makes one of an export that was read, `describe` and `parse` carry it into a Data Resource and back
//! (`descriptor`), `fit` tells whether it fits another export.

mod describe;
mod descriptor;
mod fields;
mod fit;
mod observe;
mod parse;
mod pattern;

use serde::{Deserialize, Serialize};

use super::layout::{Clock, DateOrder};
use super::meaning::Meaning;
use super::shape::Shape;
use crate::units::Unit;

pub use describe::{DescribedFile, describe};
pub use descriptor::Descriptor;
pub use fields::FieldError;
pub(super) use fit::{Fitted, fitted, impose};
pub use observe::{RowSample, observe};
pub use parse::known_layout;

/// How the lines of a file end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LineEnd {
    /// Line feed.
    Lf,
    /// Carriage return and line feed, as RFC 4180 has it.
    #[default]
    CrLf,
    /// Carriage return alone.
    Cr,
}

impl LineEnd {
    /// How the first line of these bytes ends; zero bytes between are those of letters of two bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let mut marks = bytes.iter().filter(|byte| **byte != 0).skip_while(|byte| !matches!(byte, b'\n' | b'\r'));
        match (marks.next(), marks.next()) {
            (Some(b'\r'), Some(b'\n')) => Self::CrLf,
            (Some(b'\r'), _) => Self::Cr,
            (Some(_), _) => Self::Lf,
            (None, _) => Self::default(),
        }
    }

    /// The characters themselves.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Lf => "\n",
            Self::CrLf => "\r\n",
            Self::Cr => "\r",
        }
    }
}

/// Where the unit of the weights is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum UnitStated {
    /// In the titles.
    Titles,
    /// In a row of units under the titles.
    UnitsRow,
    /// In a column of its own.
    Column,
    /// Beside the figure, in its cell.
    Cells,
    /// Nowhere in the file.
    Nowhere,
}

/// What the cells of a column are, as a table schema has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CellType {
    /// Text.
    Text,
    /// Whole numbers.
    Whole,
    /// Figures that may have decimals.
    Figure,
    /// Days, with their pattern.
    Date(String),
    /// Times of day, with their pattern.
    Time(String),
    /// Days with times of day, with their pattern.
    Datetime(String),
}

/// One column of a kept layout.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownColumn {
    /// Its title as written, where the export has a header and something stands there.
    pub title: Option<String>,
    /// What it means.
    pub meaning: Meaning,
    /// The unit of its weights, where titles or a row of units state it.
    pub unit: Option<Unit>,
    /// What its cells are.
    pub cells: CellType,
    /// What stands between groups of three digits.
    pub group_mark: Option<char>,
    /// Whether nothing stands beside its figures, such as a unit.
    pub bare: bool,
}

/// A layout as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownLayout {
    /// WHATWG name in lower case, or a DOS code page such as `cp850`.
    pub encoding: &'static str,
    /// Whether files begin with a byte order mark.
    pub byte_order_mark: bool,
    /// How cells stand on a line.
    pub shape: Shape,
    /// How lines end.
    pub line_end: LineEnd,
    /// The lines of its titles, counted from 1; none without a header.
    pub title_lines: Vec<u64>,
    /// Lines that are neither titles nor rows: a row of units, or what stands above rows without a header.
    pub comment_lines: Vec<u64>,
    /// What stands between a figure's whole and its fraction.
    pub decimal_mark: char,
    /// The order of dates; `None` where it is open or there are none.
    pub date_order: Option<DateOrder>,
    /// How times are written; `None` where there are none.
    pub clock: Option<Clock>,
    /// The unit of the weights, where one holds for all of them.
    pub unit: Option<Unit>,
    /// Where that is stated.
    pub unit_stated: UnitStated,
    /// Cells that stand for nothing, the empty one among them.
    pub missing: Vec<String>,
    /// The columns, from left to right.
    pub columns: Vec<KnownColumn>,
}

impl KnownLayout {
    /// The first column of a meaning.
    #[must_use]
    pub fn column(&self, meaning: Meaning) -> Option<usize> {
        self.columns.iter().position(|column| column.meaning == meaning)
    }
}
