//! What a column of an export can mean.

use serde::{Deserialize, Serialize};

/// The meaning of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Meaning {
    /// The number the indicator gave the weighing.
    Transaction,
    /// The day.
    Date,
    /// The time of day.
    Time,
    /// Day and time in one cell.
    Datetime,
    /// The lot.
    Lot,
    /// The scale ticket.
    Ticket,
    /// Animals on the scale.
    Head,
    /// Weight as weighed.
    Gross,
    /// Weight of what is not animal.
    Tare,
    /// Gross less tare.
    Net,
    /// The unit of the weights.
    Unit,
    /// Weight per head.
    Average,
    /// Percentage taken off by agreement.
    ShrinkPercent,
    /// Weight that is paid for.
    PayWeight,
    /// Who sends the animals.
    Consignor,
    /// Who buys them.
    Buyer,
    /// What animals they are.
    Kind,
    /// Who weighed.
    Weigher,
    /// The number of the scale or indicator.
    Scale,
    /// A mark such as void, error or manual.
    Status,
    /// How far the scale is out of level.
    Level,
    /// Free text.
    Remark,
    /// A word that tells drafts from totals.
    RowKind,
    /// The line's own number in the file.
    LineNumber,
    /// A total that grows from row to row.
    RunningTotal,
    /// Price (ticket lists).
    #[serde(skip)]
    Price,
    /// What the price is for (ticket lists).
    #[serde(skip)]
    PricePer,
    /// Money (ticket lists).
    #[serde(skip)]
    Value,
    /// First transaction on the ticket (ticket lists).
    #[serde(skip)]
    FirstTransaction,
    /// Last transaction on the ticket (ticket lists).
    #[serde(skip)]
    LastTransaction,
    /// The ticket this one stands for (ticket lists).
    #[serde(skip)]
    Replaces,
    /// Nothing this program uses.
    Ignored,
}

impl Meaning {
    /// Whether a draft or ticket is nothing without this cell, so that a mark for "none" in it is a fault.
    #[must_use]
    pub const fn is_needed(self) -> bool {
        matches!(self, Self::Transaction | Self::Ticket | Self::Gross)
    }

    /// Whether only a ticket list has such a column.
    #[must_use]
    pub const fn of_tickets_only(self) -> bool {
        use Meaning::{FirstTransaction, LastTransaction, Price, PricePer, Replaces, Value};
        matches!(self, Price | PricePer | Value | FirstTransaction | LastTransaction | Replaces)
    }

    /// The meaning in a sentence without its full stop.
    #[must_use]
    pub const fn described(self) -> &'static str {
        match self {
            Self::Transaction => "The number the indicator gave the weighing",
            Self::Date => "The day of the weighing",
            Self::Time => "The time of day of the weighing",
            Self::Datetime => "Day and time of day of the weighing",
            Self::Lot => "The animals sold in one transaction",
            Self::Ticket => "The number of the scale ticket",
            Self::Head => "Animals on the scale",
            Self::Gross => "Weight as weighed",
            Self::Tare => "Weight of what is not animal",
            Self::Net => "Gross less tare",
            Self::Unit => "The unit of the weights of the row",
            Self::Average => "Weight per head",
            Self::ShrinkPercent => "Percentage taken off by agreement",
            Self::PayWeight => "Weight that is paid for",
            Self::Consignor => "Who sends the animals",
            Self::Buyer => "Who buys the animals",
            Self::Kind => "What animals they are",
            Self::Weigher => "Who weighed",
            Self::Scale => "The number of the scale or indicator",
            Self::Status => "A mark such as void, error or manual",
            Self::Level => "How far the scale is out of level",
            Self::Remark => "Free text",
            Self::RowKind => "A word that tells weighings from totals",
            Self::LineNumber => "The number of the line in the file",
            Self::RunningTotal => "A total that grows from row to row",
            _ => "Nothing this program uses",
        }
    }

    /// The meaning in words for people.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Transaction => "transaction number",
            Self::Date => "date",
            Self::Time => "time of day",
            Self::Datetime => "date and time",
            Self::Lot => "lot",
            Self::Ticket => "ticket",
            Self::Head => "head",
            Self::Gross => "gross weight",
            Self::Tare => "tare",
            Self::Net => "net weight",
            Self::Unit => "unit of the weights",
            Self::Average => "average weight per head",
            Self::ShrinkPercent => "shrink in percent",
            Self::PayWeight => "pay weight",
            Self::Consignor => "consignor",
            Self::Buyer => "buyer",
            Self::Kind => "kind of livestock",
            Self::Weigher => "weigher",
            Self::Scale => "number of the scale",
            Self::Status => "mark of its state",
            Self::Level => "level of the scale",
            Self::Remark => "remark",
            Self::RowKind => "what the row is",
            Self::LineNumber => "number of the line",
            Self::RunningTotal => "running total",
            Self::Price => "price",
            Self::PricePer => "what the price is for",
            Self::Value => "value",
            Self::FirstTransaction => "first transaction number",
            Self::LastTransaction => "last transaction number",
            Self::Replaces => "ticket it stands for",
            Self::Ignored => "not used",
        }
    }
}
