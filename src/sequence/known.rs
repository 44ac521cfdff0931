//! What is known about the numbers from outside the exports: plain values, no reader.

use chrono::NaiveDate;

use crate::units::{Head, TransactionNo};

/// A ticket as far as the numbers are concerned.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PaperTicket {
    /// Its number, as written.
    pub number: String,
    /// Its day, where stated.
    pub date: Option<NaiveDate>,
    /// The animals it states.
    pub head: Option<Head>,
    /// The first transaction it states.
    pub first_transaction: Option<TransactionNo>,
    /// The last transaction it states.
    pub last_transaction: Option<TransactionNo>,
}

/// What is known besides the rows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Known {
    /// Tickets on paper that expect drafts.
    pub tickets: Vec<PaperTicket>,
    /// Numbers still legible on rows that could not be read whole, by indicator: they are not missing.
    pub legible: Vec<(String, TransactionNo)>,
}
