//! Makes the ledger in memory, proved or not at all.

use super::columns::{draft_columns, ticket_columns};
use super::control::{Control, totals_of};
use super::csv::table;
use super::findings::totals_disagree;
use super::proof::prove;
use super::rows::Rows;
use crate::day::Day;
use crate::finding::{Evidence, Finding};

/// A file to be written: its name without folder, and its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutputFile {
    /// The name in the target folder.
    pub name: String,
    /// The whole content.
    pub bytes: Vec<u8>,
}

impl OutputFile {
    /// A file of this name and content.
    #[must_use]
    pub fn new(name: &str, bytes: Vec<u8>) -> Self {
        Self { name: name.to_owned(), bytes }
    }
}

/// The ledger of a run, in memory.
#[derive(Debug, Clone)]
pub struct Ledger {
    /// The control totals, one entry per unit.
    pub control: Vec<Control>,
    /// The files to hand over; `None` when the totals could not be proved.
    pub files: Option<Vec<OutputFile>>,
    /// `totals-disagree`, where they could not.
    pub findings: Vec<Finding>,
}

/// Makes the ledger of a run and proves its totals by a second route over the text of its files.
#[must_use]
pub fn prepare(day: &Day) -> Ledger {
    let rows = Rows::of(day);
    let control = totals_of(day, &rows);
    let drafts = table(&draft_columns(), &rows.drafts);
    let tickets = table(&ticket_columns(), &rows.tickets);
    let (drafts, tickets) = match (drafts, tickets) {
        (Ok(drafts), Ok(tickets)) => (drafts, tickets),
        (Err(reason), _) | (_, Err(reason)) => return unwritable(control, reason),
    };
    let (control, findings) = prove(control, &drafts, &tickets);
    let files = findings
        .is_empty()
        .then(|| vec![OutputFile::new("ledger-drafts.csv", drafts), OutputFile::new("ledger-tickets.csv", tickets)]);
    Ledger { control, files, findings }
}

fn unwritable(control: Vec<Control>, reason: String) -> Ledger {
    let evidence = vec![Evidence { what: "making the text of the ledger".to_owned(), value: reason }];
    Ledger { control, files: None, findings: vec![totals_disagree(None, true, evidence)] }
}
