//! Tickets and drafts in words.

use super::judge::Difference;
use super::model::TicketResult;
use crate::draft::Draft;
use crate::ticket::TicketSource;
use crate::units::{Decimal, Head, Weight};

/// "Ticket 7301", or "The export's total of ticket 7301".
#[must_use]
pub fn named(ticket: &TicketResult) -> String {
    let number = &ticket.stated.number;
    match ticket.stated.source {
        TicketSource::Stated => format!("Ticket {number}"),
        TicketSource::ExportTotal => format!("The export's total of ticket {number}"),
    }
}

/// Who states it: "the paper" or "the total".
#[must_use]
pub const fn stated_by(ticket: &TicketResult) -> &'static str {
    match ticket.stated.source {
        TicketSource::Stated => "the paper",
        TicketSource::ExportTotal => "the total",
    }
}

/// "60 head, 39,280 lb", as far as stated.
#[must_use]
pub fn figures(head: Option<Head>, gross: Option<Weight>) -> String {
    let parts: Vec<_> =
        head.into_iter().map(|head| head.to_string()).chain(gross.map(|gross| gross.to_string())).collect();
    parts.join(", ")
}

/// "11 head, 8,140 lb (740 lb per head)".
#[must_use]
pub fn figures_per_head(head: Option<Head>, gross: Option<Weight>) -> String {
    let each = head.zip(gross).and_then(|(head, gross)| gross.per_head(head));
    let each = each.map(|each| format!(" ({each} per head)")).unwrap_or_default();
    match figures(head, gross).as_str() {
        "" => "of unknown size".to_owned(),
        stated => format!("{stated}{each}"),
    }
}

/// "11 head, 8,140 lb (740 lb per head)" of some drafts together.
#[must_use]
pub fn figures_of(drafts: &[&Draft]) -> String {
    let head = drafts.iter().fold(Head(0), |sum, draft| sum.plus(draft.stated.head.unwrap_or_default()));
    figures_per_head(Some(head), super::pay::sum(drafts.iter().filter_map(|draft| draft.stated.gross)))
}

/// "Paper: 60 head, 39,280 lb. Drafts: 46 head, 29,865 lb."
#[must_use]
pub fn both_sides(ticket: &TicketResult) -> String {
    let stated = figures(ticket.stated.head, ticket.stated.gross);
    let side = match ticket.stated.source {
        TicketSource::Stated => "Paper",
        TicketSource::ExportTotal => "Total",
    };
    let found = match ticket.found.drafts {
        0 => String::new(),
        _ => format!(" Drafts: {}.", figures(Some(ticket.found.head), ticket.found.gross)),
    };
    if stated.is_empty() { found.trim_start().to_owned() } else { format!("{side}: {stated}.{found}") }
}

/// "+11 head, +8,140 lb": what is stated beyond what was found; empty where nothing differs.
#[must_use]
pub fn difference(ticket: &TicketResult) -> String {
    let difference = Difference::of(&ticket.stated, &ticket.found);
    let unit = ticket.stated.gross.or(ticket.found.gross).and_then(Weight::unit);
    let head = difference.head.filter(|head| *head != 0).map(|head| format!("{head:+} head"));
    let gross = difference.gross.filter(|gross| !gross.is_zero()).map(|gross| {
        let sign = if gross > Decimal::ZERO { "+" } else { "" };
        format!("{sign}{}", Weight::new(gross, unit))
    });
    let parts: Vec<_> = head.into_iter().chain(gross).collect();
    parts.join(", ")
}
