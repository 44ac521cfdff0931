//! A scale ticket as its paper states it.

use chrono::NaiveDate;
use serde::Serialize;

use crate::units::{Head, LineNo, Money, Percent, Price, TransactionNo, Weight};

/// Who states the ticket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TicketSource {
    /// The typed list.
    Stated,
    /// A total row of the export.
    ExportTotal,
}

/// What became of a ticket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum TicketStatus {
    /// It stands.
    #[default]
    Valid,
    /// It keeps its number and expects nothing.
    Void,
    /// Weighed, not sold.
    Unsold,
}

/// A scale ticket that adds up one or several drafts, as stated by whoever holds the paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatedTicket {
    /// Its number, as written.
    pub number: String,
    /// Who states it.
    pub source: TicketSource,
    /// The line of the ticket list, or of the export for its own totals.
    pub line: Option<LineNo>,
    /// The export that states it, for its own totals.
    pub export: Option<String>,
    /// The day.
    pub date: Option<NaiveDate>,
    /// The lot.
    pub lot: Option<String>,
    /// What animals.
    pub kind: Option<String>,
    /// Who sends them.
    pub consignor: Option<String>,
    /// Who buys them.
    pub buyer: Option<String>,
    /// Who weighed.
    pub weigher: Option<String>,
    /// What became of it.
    pub status: TicketStatus,
    /// The ticket it stands for.
    pub replaces: Option<String>,
    /// Animals stated.
    pub head: Option<Head>,
    /// Gross weight stated.
    pub gross: Option<Weight>,
    /// Weight per head stated.
    pub average: Option<Weight>,
    /// Shrink stated.
    pub shrink_percent: Option<Percent>,
    /// Pay weight stated.
    pub pay_weight: Option<Weight>,
    /// Price stated.
    pub price: Option<Price>,
    /// Value stated.
    pub value: Option<Money>,
    /// The first transaction stated.
    pub first_transaction: Option<TransactionNo>,
    /// The last transaction stated.
    pub last_transaction: Option<TransactionNo>,
}

impl StatedTicket {
    /// A valid ticket that states nothing yet but its number.
    #[must_use]
    pub const fn numbered(number: String, source: TicketSource) -> Self {
        Self {
            number,
            source,
            line: None,
            export: None,
            date: None,
            lot: None,
            kind: None,
            consignor: None,
            buyer: None,
            weigher: None,
            status: TicketStatus::Valid,
            replaces: None,
            head: None,
            gross: None,
            average: None,
            shrink_percent: None,
            pay_weight: None,
            price: None,
            value: None,
            first_transaction: None,
            last_transaction: None,
        }
    }
}
