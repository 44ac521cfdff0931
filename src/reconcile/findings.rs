//! What laying drafts and tickets side by side shows.

use std::collections::BTreeMap;

use super::judge::Difference;
use super::model::{ExplanationKind, Outcome, TicketResult};
use crate::draft::Draft;
use crate::finding::words::drafts as count_drafts;
use crate::finding::{Finding, Place, Severity, kinds};
use crate::ticket::{TicketSource, TicketStatus};
use crate::units::{Decimal, Percent, Weight};

kinds! {
    /// A ticket does not tie, and one story accounts for the whole difference.
    ///
    /// The story is exact: it predicts head and weight to the last unit. It is still a statement about the paper, not a
    /// weighing; nothing is changed in the ledger by it.
    ///
    /// What to do: look at the paper ticket, and settle it as the story says if it is right.
    TICKET_EXPLAINED = "ticket-explained";

    /// A ticket does not tie.
    ///
    /// No single story, or more than one, accounts for the difference between the paper and the drafts.
    ///
    /// What to do: compare the ticket's drafts with the paper one by one.
    TICKET_OPEN = "ticket-open";

    /// No draft of a ticket is on the stick.
    ///
    /// The paper has the ticket, the stick has none of its rows.
    ///
    /// What to do: look whether the ticket was weighed while the stick was out, on another scale, or on another day.
    TICKET_WITHOUT_DRAFTS = "ticket-without-drafts";

    /// Drafts are on no ticket of the list.
    ///
    /// They were weighed, but the list has no ticket for them: it was not typed in, or its number was typed wrong.
    ///
    /// What to do: find the paper ticket and add it to the list.
    DRAFTS_WITHOUT_TICKET = "drafts-without-ticket";

    /// The shrink on a ticket and in the export differ.
    ///
    /// The ticket's shrink was used.
    ///
    /// What to do: ask what was agreed.
    SHRINK_DISAGREES = "shrink-disagrees";

    /// A stated pay weight is not what shrink makes of the weight.
    ///
    /// The stated pay weight was used. Any adjustment must be explained on the account (9 CFR 201.55, read in substance).
    ///
    /// What to do: look at the paper and ask what was agreed.
    PAY_WEIGHT_DISAGREES = "pay-weight-disagrees";
}

/// One finding for each ticket that does not tie.
#[must_use]
pub fn of_tickets(tickets: &[TicketResult]) -> Vec<Finding> {
    tickets.iter().filter_map(of_ticket).collect()
}

fn of_ticket(ticket: &TicketResult) -> Option<Finding> {
    let number = &ticket.stated.number;
    let named = match ticket.stated.source {
        TicketSource::Stated => format!("Ticket {number}"),
        TicketSource::ExportTotal => format!("The export's total of ticket {number}"),
    };
    let finding = match ticket.outcome {
        Outcome::Tied => return None,
        Outcome::Explained => explained(ticket, &named),
        Outcome::Open if ticket.stated.status == TicketStatus::Void => void_with_drafts(&named),
        Outcome::Open => open(ticket, &named),
        Outcome::NoDrafts => without_drafts(&named),
    };
    let mut finding = with_figures(finding, ticket);
    finding.detail = format!("{} {}", finding.detail, in_words(ticket));
    let line = Place { line: ticket.stated.line, export: ticket.stated.export.clone(), ..Place::ticket(number) };
    Some(finding.at(line))
}

/// "Paper: 60 head, 39,280 lb. Drafts: 46 head, 29,865 lb."
fn in_words(ticket: &TicketResult) -> String {
    let stated = figures(ticket.stated.head.map(|head| head.to_string()), ticket.stated.gross);
    if ticket.found.drafts == 0 {
        return format!("Paper: {stated}.");
    }
    let found = figures(Some(ticket.found.head.to_string()), ticket.found.gross);
    format!("Paper: {stated}. Drafts: {found}.")
}

fn with_figures(finding: Finding, ticket: &TicketResult) -> Finding {
    let stated = figures(ticket.stated.head.map(|head| head.to_string()), ticket.stated.gross);
    let found = figures(Some(ticket.found.head.to_string()), ticket.found.gross);
    finding
        .evidence("stated", stated)
        .evidence("found", format!("{found} in {}", count_drafts(ticket.found.drafts)))
        .evidence("difference", difference(ticket))
}

fn figures(head: Option<String>, gross: Option<Weight>) -> String {
    let parts: Vec<_> = head.into_iter().chain(gross.map(|gross| gross.to_string())).collect();
    parts.join(", ")
}

/// "+11 head, +8,140 lb": what the paper has more.
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

fn explained(ticket: &TicketResult, named: &str) -> Finding {
    let story = ticket.explanations.first();
    let text = story.map(|story| story.text.clone()).unwrap_or_default();
    let finding = Finding::new(&TICKET_EXPLAINED, Severity::Caution, format!("{named} does not tie: {text}"))
        .detail("That accounts for the whole difference.")
        .next_step(story.map_or("", |story| next_step(story.kind)));
    let typing_slip = story.is_some_and(|story| story.kind == ExplanationKind::DigitsSwapped);
    if typing_slip { finding.pointer("as typed") } else { finding }
}

const fn next_step(kind: ExplanationKind) -> &'static str {
    match kind {
        ExplanationKind::MissingDraft | ExplanationKind::MissingDrafts => {
            "Look for the drafts on the paper ticket. If it shows them so, the ticket is settled; \
             the ledger keeps to what was read."
        }
        ExplanationKind::RecoveredDraft => {
            "Compare the drafts with the paper ticket. If they agree, run again with --accept-recovered."
        }
        ExplanationKind::ReprintCounted => {
            "Look whether the paper ticket adds in the copy. If so, have its total corrected."
        }
        ExplanationKind::DigitsSwapped => {
            "Look at the paper ticket. If it was typed wrong, correct the list and run again."
        }
    }
}

fn open(ticket: &TicketResult, named: &str) -> Finding {
    let title = format!("{named} does not tie: the paper differs by {}", difference(ticket));
    let (detail, next_step) = if ticket.explanations.is_empty() {
        ("No single slip accounts for it.", "Compare the ticket's drafts with the paper one by one.")
    } else {
        ("More than one story accounts for it.", "Look at the paper to see which of the stories is right.")
    };
    let finding = Finding::new(&TICKET_OPEN, Severity::Fault, title).detail(detail).next_step(next_step);
    let finding = finding.pointer("as stated");
    ticket.explanations.iter().fold(finding, |finding, story| finding.evidence("it could be that", &story.text))
}

fn void_with_drafts(named: &str) -> Finding {
    Finding::new(&TICKET_OPEN, Severity::Fault, format!("{named} is marked void, but drafts on the stick carry it"))
        .detail("A void ticket expects no drafts.")
        .next_step("Find out on which ticket these drafts were settled.")
}

fn without_drafts(named: &str) -> Finding {
    Finding::new(&TICKET_WITHOUT_DRAFTS, Severity::Fault, format!("{named} has no draft on the stick"))
        .detail("The paper has it, the stick has none of its rows.")
        .next_step("Look whether it was weighed while the stick was out, on another scale or on another day.")
}

/// Drafts on no ticket of the list, one finding per ticket number they carry.
#[must_use]
pub fn without_ticket(drafts: &[&Draft]) -> Vec<Finding> {
    let mut groups: BTreeMap<Option<&str>, Vec<&Draft>> = BTreeMap::new();
    for draft in drafts {
        groups.entry(draft.ticket.as_deref()).or_default().push(draft);
    }
    groups.into_iter().map(|(ticket, drafts)| group_without_ticket(ticket, &drafts)).collect()
}

fn group_without_ticket(ticket: Option<&str>, drafts: &[&Draft]) -> Finding {
    let count = count_drafts(drafts.len() as u64);
    let (verb, carry) = if drafts.len() == 1 { ("is", "carries") } else { ("are", "carry") };
    let title = match ticket {
        Some(ticket) => format!("{count} {carry} ticket {ticket}, which is not in the list"),
        None => format!("{count} {verb} on no ticket of the list"),
    };
    let which: Vec<_> = drafts.iter().filter_map(|draft| draft.transaction).collect();
    let head = drafts.iter().fold(crate::units::Head(0), |sum, draft| sum.plus(draft.head.unwrap_or_default()));
    let gross = super::pay::sum(drafts.iter().filter_map(|draft| draft.gross));
    let place = drafts.first().map(|draft| crate::draft::findings::place(draft)).unwrap_or_default();
    Finding::new(&DRAFTS_WITHOUT_TICKET, Severity::Caution, title)
        .detail("Weighed and counted, but the paper as typed has no place for it.")
        .evidence("drafts", super::judge::listed(&which))
        .evidence("together", figures(Some(head.to_string()), gross))
        .at(place)
        .next_step("Find the paper ticket and add it to the list, or correct its number there.")
}

/// Shrink on the ticket against shrink on its drafts.
#[must_use]
pub fn shrink(ticket: &TicketResult, drafts: &[&Draft]) -> Option<Finding> {
    let stated = ticket.stated.shrink_percent?;
    let other: Percent = drafts.iter().filter_map(|draft| draft.shrink_percent).find(|shrink| *shrink != stated)?;
    let title = format!("Ticket {}: the shrink is {stated} on the list, {other} in the export", ticket.stated.number);
    Some(
        Finding::new(&SHRINK_DISAGREES, Severity::Caution, title)
            .detail("The list's shrink was used.")
            .at(Place { line: ticket.stated.line, ..Place::ticket(&ticket.stated.number) })
            .next_step("Ask what was agreed."),
    )
}

/// A stated pay weight against the computed one, where the ticket ties: else the difference says it already.
#[must_use]
pub fn pay_weight(ticket: &TicketResult) -> Option<Finding> {
    let (stated, computed) = (ticket.stated.pay_weight?, ticket.found.pay_weight?);
    let differs = ticket.outcome == Outcome::Tied && stated.amount() != computed.amount();
    differs.then(|| {
        let title = format!(
            "Ticket {}: the pay weight is {stated} on the list, shrink makes it {computed}",
            ticket.stated.number
        );
        Finding::new(&PAY_WEIGHT_DISAGREES, Severity::Caution, title)
            .detail("The list's pay weight was used.")
            .at(Place { line: ticket.stated.line, ..Place::ticket(&ticket.stated.number) })
            .next_step("Look at the paper and ask what was agreed.")
    })
}
