//! The JSON documents of the small commands.

use serde::Serialize;

use crate::day::Day;
use crate::finding::{Finding, Kind, NotChecked};
use crate::ledger::BlankTicket;

#[derive(Serialize)]
struct TicketsDocument<'a> {
    format: &'static str,
    written: Option<&'a str>,
    tickets: Vec<TicketEntry<'a>>,
    findings: &'a [Finding],
    not_checked: &'a [NotChecked],
}

#[derive(Serialize)]
struct TicketEntry<'a> {
    ticket: &'a str,
    seen: bool,
    date: Option<chrono::NaiveDate>,
    lot: Option<&'a str>,
    kind: Option<&'a str>,
}

fn ticket_entry(ticket: &BlankTicket) -> TicketEntry<'_> {
    TicketEntry {
        ticket: &ticket.number,
        seen: ticket.seen,
        date: ticket.date,
        lot: ticket.lot.as_deref(),
        kind: ticket.kind.as_deref(),
    }
}

/// What `tickets` wrote, and where; `None` where nothing could be read to write a list of.
///
/// # Errors
/// Only when memory for the text cannot be had.
pub fn tickets_json(tickets: &[BlankTicket], written: Option<&str>, day: &Day) -> Result<String, serde_json::Error> {
    let tickets = tickets.iter().map(ticket_entry).collect();
    with_newline(&TicketsDocument {
        format: "counterfoil-tickets/1",
        written,
        tickets,
        findings: &day.findings,
        not_checked: &day.not_checked,
    })
}

#[derive(Serialize)]
struct ExplainDocument {
    format: &'static str,
    kinds: Vec<KindEntry>,
    findings: [Finding; 0],
}

#[derive(Serialize)]
struct KindEntry {
    code: &'static str,
    summary: &'static str,
    manual: String,
}

/// The manual pages of some kinds of finding.
///
/// # Errors
/// Only when memory for the text cannot be had.
pub fn explain_json(kinds: &[Kind]) -> Result<String, serde_json::Error> {
    let entry = |kind: &Kind| KindEntry { code: kind.code, summary: kind.summary(), manual: kind.manual() };
    let kinds = kinds.iter().map(entry).collect();
    with_newline(&ExplainDocument { format: "counterfoil-explain/1", kinds, findings: [] })
}

fn with_newline(document: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(document)?;
    text.push('\n');
    Ok(text)
}
