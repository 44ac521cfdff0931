//! The column tables: from them every format's header, rows and description are made.

mod blank;
mod drafts;
mod tickets;

pub use blank::blank_columns;
pub use drafts::draft_columns;
pub use tickets::ticket_columns;

use std::borrow::Cow;

use chrono::{NaiveDate, NaiveDateTime};

use crate::units::{Decimal, Unit, Weight};

/// What the cells of a column hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CellType {
    /// Text, also numbers that are names, such as ticket numbers.
    Text,
    /// A whole number.
    Whole,
    /// An exact decimal.
    Decimal,
    /// A day.
    Date,
    /// A local time without zone.
    Time,
    /// Yes or no.
    YesNo,
}

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell<'a> {
    /// Not stated.
    Empty,
    /// Text.
    Text(Cow<'a, str>),
    /// A whole number.
    Whole(i128),
    /// An exact decimal.
    Decimal(Decimal),
    /// A day.
    Date(NaiveDate),
    /// A local time.
    Time(NaiveDateTime),
    /// Yes or no.
    YesNo(bool),
}

impl<'a> Cell<'a> {
    fn text(text: Option<&'a str>) -> Self {
        text.map_or(Self::Empty, |text| Self::Text(Cow::Borrowed(text)))
    }

    fn own(text: &'a Option<String>) -> Self {
        Self::text(text.as_deref())
    }

    fn whole(number: Option<impl Into<i128>>) -> Self {
        number.map_or(Self::Empty, |number| Self::Whole(number.into()))
    }

    fn decimal(number: Option<Decimal>) -> Self {
        number.map_or(Self::Empty, |number| Self::Decimal(number.normalize()))
    }

    fn weight(weight: Option<Weight>, unit: Option<Unit>) -> Self {
        Self::decimal(weight.and_then(|weight| super::rows::in_unit(weight, unit)).map(Weight::amount))
    }

    fn unit(unit: Option<Unit>) -> Self {
        Self::text(unit.map(Unit::symbol))
    }
}

/// One column of a list: what it is called, what it means, and how its cell is made from a row.
#[derive(Debug)]
pub struct Column<R> {
    /// The name in the header.
    pub name: &'static str,
    /// What it means, in one sentence.
    pub meaning: &'static str,
    /// What its cells hold.
    pub cell_type: CellType,
    /// The unit of its figures, or where the row says it; `None` where there is none.
    pub unit: Option<&'static str>,
    /// Makes the cell.
    pub cell: fn(&R) -> Cell<'_>,
}

/// Where a row says the unit of its weights.
const ROW_UNIT: Option<&str> = Some("in column unit");
const HEAD: Option<&str> = Some("head");
const PERCENT: Option<&str> = Some("percent");
const MONEY: Option<&str> = Some("currency of the sale");

const fn column<R>(
    name: &'static str,
    meaning: &'static str,
    cell_type: CellType,
    unit: Option<&'static str>,
    cell: fn(&R) -> Cell<'_>,
) -> Column<R> {
    Column { name, meaning, cell_type, unit, cell }
}

/// The word a type of this program is written with in the report document.
fn word<T: serde::Serialize>(value: T) -> Cell<'static> {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => Cell::Text(Cow::Owned(word)),
        _ => Cell::Empty,
    }
}
