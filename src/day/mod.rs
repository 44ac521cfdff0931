//! Composes a run: examine, read, explain, reconcile.

mod export_file;
mod exports;
mod model;
mod notes;
mod one_file;
mod order;
mod paper;
mod period;
mod run;
mod same_hand;
mod sources;

use crate::finding::Finding;

pub use model::{ChosenBy, Day, Period, SourceState};
pub use one_file::{LaidOut, lay_out};
pub use period::sale_days;
pub use run::{TicketFile, Wishes, examine, run};

/// Adds what a later stage found, in its place by importance.
pub fn add_findings(day: &mut Day, findings: Vec<Finding>) {
    day.findings.extend(findings);
    order::settle(&mut day.findings, &day.exports);
}
