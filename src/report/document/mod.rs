//! The JSON document. Its fields stand in the order of `schemas/report.schema.json`; parts not done are `null`.

mod draft;
pub(super) mod export;
mod source;
mod ticket;

use chrono::NaiveDateTime;
use serde::{Serialize, Serializer};

use crate::day::{Day, Period};
use crate::finding::{Finding, NotChecked};
use crate::ledger::Control;
use crate::reconcile::Balance;
use crate::sequence::{Event, Session};

use draft::DraftEntry;
use export::ExportEntry;
use source::SourceEntry;
use ticket::TicketEntry;

/// The form of this document; a change that readers could stumble over raises the number.
const FORMAT: &str = "counterfoil-report/1";

/// The document of a run, ready to be written.
#[derive(Debug, Serialize)]
pub struct ReportDocument<'a> {
    format: &'static str,
    program_version: &'a str,
    sources: Vec<SourceEntry<'a>>,
    period: Option<Period>,
    outside_period: Option<u64>,
    exports: Option<Vec<ExportEntry<'a>>>,
    drafts: Option<Vec<DraftEntry<'a>>>,
    sessions: Option<&'a [Session]>,
    sequence: Option<&'a [Event]>,
    tickets: Option<Vec<TicketEntry<'a>>>,
    unticketed: Option<&'a [String]>,
    control: Option<&'a [Control]>,
    balance: Option<&'a [Balance]>,
    rulings: [(); 0],
    findings: &'a [Finding],
    not_checked: &'a [NotChecked],
    #[serde(skip)]
    day: &'a Day,
}

/// The document of a run. What the stick alone cannot tell is `null` where only the stick was examined (no period).
#[must_use]
pub fn document<'a>(day: &'a Day, control: &'a [Control], program_version: &'a str) -> ReportDocument<'a> {
    let read = day.period.is_some();
    ReportDocument {
        format: FORMAT,
        program_version,
        sources: day.sources.iter().map(source::entry).collect(),
        period: day.period,
        outside_period: read.then_some(day.outside_period),
        exports: (read || !day.exports.is_empty()).then(|| day.exports.iter().map(export::entry).collect()),
        drafts: read.then(|| day.drafts.iter().map(|draft| draft::entry(draft, day.shrink)).collect()),
        sessions: read.then_some(&day.sessions),
        sequence: read.then_some(&day.sequence),
        tickets: read.then(|| day.tickets.iter().map(ticket::entry).collect()),
        unticketed: day.unticketed.as_deref(),
        control: read.then_some(control),
        balance: read.then_some(&day.balance),
        rulings: [],
        findings: &day.findings,
        not_checked: &day.not_checked,
        day,
    }
}

impl ReportDocument<'_> {
    /// With every file of every volume, which is otherwise left `null`.
    #[must_use]
    pub fn with_files(mut self) -> Self {
        let Self { sources, day, .. } = &mut self;
        for (entry, state) in sources.iter_mut().zip(&day.sources) {
            entry.list_files(state);
        }
        self
    }

    /// The document as text, with indentation and a line end.
    ///
    /// # Errors
    /// Only when memory for the text cannot be had.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(self).map(|text| text + "\n")
    }
}

/// `YYYY-MM-DDThh:mm:ss`: fractions of a second, which some file systems keep, are left out.
fn local_time<S: Serializer>(at: &Option<NaiveDateTime>, serializer: S) -> Result<S::Ok, S::Error> {
    match at {
        Some(at) => serializer.collect_str(&at.format("%Y-%m-%dT%H:%M:%S")),
        None => serializer.serialize_none(),
    }
}
