//! How an export is laid out: what was decided once for the whole file.

use serde::{Deserialize, Serialize};

use super::meaning::Meaning;
use super::shape::Shape;
use crate::units::{Confidence, Unit};

/// The order of day, month and year in a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DateOrder {
    /// Month, day, year: the common order in the United States.
    Mdy,
    /// Day, month, year.
    Dmy,
    /// Year, month, day.
    Ymd,
}

impl DateOrder {
    /// The order in words for people.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mdy => "month, day, year",
            Self::Dmy => "day, month, year",
            Self::Ymd => "year, month, day",
        }
    }
}

/// How times of day are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Clock {
    /// With a mark for morning and afternoon.
    #[serde(rename = "12h")]
    Twelve,
    /// From 0 to 23 hours.
    #[serde(rename = "24h")]
    TwentyFour,
}

/// A column and what it means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Counted from 0.
    pub index: usize,
    /// Its header as written.
    pub title: Option<String>,
    /// What it means.
    pub meaning: Meaning,
    /// How sure that is.
    pub confidence: Confidence,
}

/// The layout of an export.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Layout {
    /// WHATWG name in lower case; plain ASCII is `utf-8`.
    pub encoding: &'static str,
    /// Whether the file began with a byte order mark.
    pub byte_order_mark: bool,
    /// How cells stand on a line.
    #[serde(skip)]
    pub shape: Shape,
    /// What cells are quoted with; `None` where no cell is quoted.
    pub quote: Option<char>,
    /// What stands between a figure's whole and its fraction.
    pub decimal_mark: char,
    /// The order of dates; `None` where the file cannot decide it or has none.
    pub date_order: Option<DateOrder>,
    /// The likelier of several orders, in which the dates were read because nothing decides.
    #[serde(skip)]
    pub dates_open: Option<DateOrder>,
    /// How times are written; `None` where there are none.
    pub clock: Option<Clock>,
    /// Lines of the header.
    pub header_lines: u32,
    /// The unit of the file's weights, where one is stated for all of them.
    pub unit: Option<Unit>,
    /// The columns, from left to right.
    pub columns: Vec<Column>,
    /// Whether a layout given for the export said all this.
    #[serde(skip)]
    pub given: bool,
}

impl Layout {
    /// The first column of a meaning.
    #[must_use]
    pub fn column(&self, meaning: Meaning) -> Option<usize> {
        self.columns.iter().find(|column| column.meaning == meaning).map(|column| column.index)
    }
}
