//! A run's result: everything later stages write and print.

use chrono::NaiveDate;
use serde::Serialize;

use crate::draft::Draft;
use crate::export::Export;
use crate::finding::{Finding, NotChecked};
use crate::reconcile::{Balance, TicketResult};
use crate::sequence::{Event, Session};
use crate::stick::SourceKind;
use crate::volume::{Suitability, Survey};

/// What chose the period.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum ChosenBy {
    /// The command line.
    Option,
    /// The dates of the ticket list.
    Tickets,
    /// All there is.
    All,
}

/// The days that tickets, sums and ledger cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Period {
    /// The first day; `None` where it has no bound.
    pub from: Option<NaiveDate>,
    /// The last day; `None` where it has no bound.
    pub to: Option<NaiveDate>,
    /// What chose it.
    pub chosen_by: ChosenBy,
}

/// One source and what was found out about it.
#[derive(Debug)]
pub struct SourceState {
    /// Its id in the report.
    pub id: String,
    /// Its path as named.
    pub path: String,
    /// What it is.
    pub kind: SourceKind,
    /// Its size in bytes, unpacked.
    pub size_bytes: u64,
    /// SHA-256 of its unpacked bytes, where that was computed.
    pub sha256: Option<String>,
    /// What is on it.
    pub survey: Survey,
    /// Whether the indicator could write to it; `None` for folders and files, whose stick was not seen.
    pub suitability: Option<Suitability>,
}

/// A run's result.
#[derive(Debug, Default)]
pub struct Day {
    /// What was read.
    pub sources: Vec<SourceState>,
    /// The days covered; `None` when only the stick was examined.
    pub period: Option<Period>,
    /// Counted drafts outside the period.
    pub outside_period: u64,
    /// The exports found.
    pub exports: Vec<Export>,
    /// Every draft, of all days, in the order of the weighings.
    pub drafts: Vec<Draft>,
    /// Ids of the drafts inside the period, whatever their standing.
    pub in_period: std::collections::BTreeSet<String>,
    /// The sessions.
    pub sessions: Vec<Session>,
    /// What happened with the numbers.
    pub sequence: Vec<Event>,
    /// The tickets of the period.
    pub tickets: Vec<TicketResult>,
    /// The shrink given as an option, for drafts and tickets that state none.
    pub shrink: Option<crate::units::Percent>,
    /// Whether a usable ticket list was given.
    pub ticket_list_given: bool,
    /// Ids of the counted drafts on no ticket of the list; `None` without a list.
    pub unticketed: Option<Vec<String>>,
    /// Drafts against tickets, one entry per unit.
    pub balance: Vec<Balance>,
    /// Everything that was found, most important first.
    pub findings: Vec<Finding>,
    /// What was not checked, and why.
    pub not_checked: Vec<NotChecked>,
}
