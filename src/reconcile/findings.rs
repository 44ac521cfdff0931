//! What laying drafts and tickets side by side shows.

use std::collections::{BTreeMap, HashMap, HashSet};

use chrono::NaiveDate;

use super::in_words::{both_sides, difference, figures, named, stated_by};
use super::judge::{is_blank, unit_differs};
use super::model::{ExplanationKind, Outcome, TicketResult};
use crate::draft::{Draft, StatedTotal};
use crate::finding::words::{capital, drafts as count_drafts};
use crate::finding::{Finding, Place, Severity, kinds};
use crate::ticket::TicketStatus;
use crate::units::{Decimal, Head, Percent, Weight, ticket_key};

kinds! {
    /// A ticket does not tie, and one story accounts for the whole difference.
    ///
    /// The story is exact: it predicts head and weight to the last unit. It is still a statement about the paper, not a
    /// weighing; nothing is changed in the ledger by it.
    ///
    /// How we know: every single slip known here was tried; this one alone gives the stated head and weight exactly.
    ///
    /// What to do: look at the paper ticket, and settle it as the story says if it is right.
    TICKET_EXPLAINED = "ticket-explained";

    /// A ticket does not tie.
    ///
    /// No single story, or more than one, accounts for the difference between the paper and the drafts.
    ///
    /// How we know: head and weight stated are not the sum of the drafts that carry the ticket.
    ///
    /// What to do: compare the ticket's drafts with the paper one by one.
    TICKET_OPEN = "ticket-open";

    /// No draft of a ticket is on the stick.
    ///
    /// The paper has the ticket, the stick has none of its rows.
    ///
    /// How we know: no draft carries its number, lies in its stated numbers, or agrees with it in a run.
    ///
    /// What to do: look whether the ticket was weighed while the stick was out, on another scale, or on another day.
    TICKET_WITHOUT_DRAFTS = "ticket-without-drafts";

    /// Drafts are on no ticket of the list.
    ///
    /// They were weighed, but the list has no ticket for them: it was not typed in, or its number was typed wrong.
    ///
    /// How we know: their ticket number is not in the list, or they carry none and fit no ticket exactly.
    ///
    /// What to do: find the paper ticket and add it to the list.
    DRAFTS_WITHOUT_TICKET = "drafts-without-ticket";

    /// A total the export itself states is not the sum of its drafts.
    ///
    /// The total names no ticket, so it may add up a lot, a session or the day. None of these comes out, so rows may be
    /// missing from the export, or the indicator added up something else.
    ///
    /// How we know: the total was compared with the drafts directly above it, with all drafts of its lot, and with all drafts
    /// of the export above it.
    ///
    /// What to do: look for missing numbers above the total, and compare with the paper.
    STATED_TOTAL_DISAGREES = "stated-total-disagrees";

    /// The shrink on a ticket and in the export differ.
    ///
    /// The ticket's shrink was used.
    ///
    /// How we know: the list's column and the export's column were compared.
    ///
    /// What to do: ask what was agreed.
    SHRINK_DISAGREES = "shrink-disagrees";

    /// A stated pay weight is not what shrink makes of the weight.
    ///
    /// The stated pay weight was used. Any adjustment must be explained on the account (9 CFR 201.55, read in substance).
    ///
    /// How we know: weight × (1 − shrink/100), to 0.01, half away from zero, is not the stated pay weight.
    ///
    /// What to do: look at the paper and ask what was agreed.
    PAY_WEIGHT_DISAGREES = "pay-weight-disagrees";
}

/// One finding for each ticket that does not tie; those that were not filled in are told together.
#[must_use]
pub fn of_tickets(tickets: &[TicketResult], paper: &Elsewhere) -> Vec<Finding> {
    let (blank, filled): (Vec<_>, Vec<_>) = tickets.iter().partition(|ticket| not_filled_in(ticket));
    let mut findings: Vec<_> = filled.into_iter().filter_map(|ticket| of_ticket(ticket, paper)).collect();
    findings.extend(blank_tickets(&blank));
    findings
}

/// Ticket numbers that stand on the stick or in the list, but on another day.
#[derive(Debug, Clone, Default)]
pub struct Elsewhere {
    /// Keys of tickets whose drafts are on the stick, but outside the period or under another date.
    pub drafts: HashSet<String>,
    /// Keys of tickets of the list, with a date each.
    pub tickets: HashMap<String, NaiveDate>,
    /// What the drafts add up to under a number that the list does not have, or has as void; and that number in words.
    pub unlisted: HashMap<(Head, Decimal), String>,
    /// Keys of tickets on which drafts lie: a second line with such a number is told as repeated.
    pub with_drafts: HashSet<String>,
    /// Whether drafts without a ticket number are left over.
    pub unnumbered: bool,
}

fn not_filled_in(ticket: &TicketResult) -> bool {
    is_blank(&ticket.stated) && ticket.stated.status != TicketStatus::Void
}

fn of_ticket(ticket: &TicketResult, elsewhere: &Elsewhere) -> Option<Finding> {
    let number = &ticket.stated.number;
    let finding = match ticket.outcome {
        Outcome::Tied => return None,
        Outcome::Explained => explained(ticket),
        Outcome::Open if ticket.stated.status == TicketStatus::Void => void_with_drafts(ticket),
        Outcome::Open => open(ticket),
        Outcome::NoDrafts if elsewhere.with_drafts.contains(&ticket_key(number)) => return None,
        Outcome::NoDrafts => without_drafts(ticket, elsewhere),
    };
    let mut finding = finding
        .evidence("stated", figures(ticket.stated.head, ticket.stated.gross))
        .evidence(
            "found",
            format!(
                "{} in {}",
                figures(Some(ticket.found.head), ticket.found.gross),
                count_drafts(ticket.found.drafts)
            ),
        )
        .evidence("difference", difference(ticket));
    finding.detail = format!("{} {}", finding.detail, both_sides(ticket));
    let line = Place { line: ticket.stated.line, export: ticket.stated.export.clone(), ..Place::ticket(number) };
    Some(finding.at(line))
}

/// Numbers of so many tickets are named one by one.
const MOST_NAMED: usize = 10;

fn blank_tickets(blank: &[&TicketResult]) -> Option<Finding> {
    let first = blank.first()?;
    let mut numbers: Vec<_> = blank.iter().take(MOST_NAMED).map(|ticket| ticket.stated.number.as_str()).collect();
    if blank.len() > MOST_NAMED {
        numbers.push("\u{2026}");
    }
    let title = match blank.len() {
        1 => format!("Ticket {} is not filled in", first.stated.number),
        several => format!("{several} tickets of the list are not filled in"),
    };
    Some(
        Finding::new(&TICKET_OPEN, Severity::Fault, title)
            .detail("They state neither head nor gross, so nothing was compared.")
            .evidence("tickets", numbers.join(", "))
            .at(Place { line: first.stated.line, ..Place::ticket(&first.stated.number) })
            .next_step("Type head and gross from the paper tickets into the list, and run again."),
    )
}

fn explained(ticket: &TicketResult) -> Finding {
    let story = ticket.explanations.first();
    let text = story.map(|story| story.text.clone()).unwrap_or_default();
    let finding = Finding::new(&TICKET_EXPLAINED, Severity::Caution, format!("{} does not tie: {text}", named(ticket)))
        .detail("That accounts for the whole difference.")
        .next_step(story.map_or("", |story| next_step(story.kind)));
    let typing_slip = story.is_some_and(|story| is_typing_slip(story.kind));
    if typing_slip { finding.pointer("as typed") } else { finding }
}

const fn is_typing_slip(kind: ExplanationKind) -> bool {
    matches!(
        kind,
        ExplanationKind::DigitsSwapped
            | ExplanationKind::DigitWrong
            | ExplanationKind::DigitDropped
            | ExplanationKind::DigitAdded
            | ExplanationKind::DecimalSlide
            | ExplanationKind::UnitMistaken
            | ExplanationKind::AverageForGross
    )
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
        ExplanationKind::ReweighCounted => {
            "Ask the weigher which of the two weights stands, and have the other voided."
        }
        ExplanationKind::VoidCounted => {
            "Ask the weigher whether the draft is void, and have the ticket's total corrected."
        }
        ExplanationKind::DraftOnOtherTicket => "Look which paper ticket lists the draft, and move it there.",
        ExplanationKind::DraftLeftOff => {
            "Look whether the paper ticket lists the draft. If not, have its total corrected."
        }
        ExplanationKind::DraftSplit => "Look whether both paper tickets say that they share the draft.",
        ExplanationKind::TicketsExchanged => "Compare both paper tickets with the list, and correct it.",
        ExplanationKind::HeadRemoved => "Look whether the paper ticket notes the animals taken out.",
        ExplanationKind::HeadMiscounted => "Have the head counted again, on the paper and by the buyer.",
        _ => "Look at the paper ticket. If it was typed wrong, correct the list and run again.",
    }
}

/// What would decide between stories, as a question to the paper.
const fn deciding(kind: ExplanationKind) -> &'static str {
    match kind {
        ExplanationKind::MissingDraft | ExplanationKind::MissingDrafts => {
            "Does it list drafts that are not on the stick?"
        }
        ExplanationKind::RecoveredDraft => "Does it list the drafts from deleted data?",
        ExplanationKind::ReprintCounted => "Does it add in one draft twice?",
        ExplanationKind::ReweighCounted => "Does it leave out a first weighing?",
        ExplanationKind::VoidCounted => "Does it add in a void draft?",
        ExplanationKind::DraftOnOtherTicket => "Does it list a draft that lies elsewhere?",
        ExplanationKind::DraftLeftOff => "Does it leave out a draft?",
        ExplanationKind::DraftSplit => "Does it share a draft with the ticket next to it?",
        ExplanationKind::HeadRemoved => "Does it note animals taken out?",
        ExplanationKind::HeadMiscounted => "Is its head count right?",
        ExplanationKind::ShrinkOmitted | ExplanationKind::ShrinkTwice | ExplanationKind::ShrinkRate => {
            "Is shrink off its weight already?"
        }
        ExplanationKind::TareOmitted => "Is its weight net of tare?",
        ExplanationKind::Rounding => "Is its weight rounded?",
        _ => "Was it typed as it stands there?",
    }
}

/// The questions that would decide between the stories of an open ticket, three at most.
fn questions(ticket: &TicketResult) -> String {
    let mut asked: Vec<&str> = Vec::new();
    for question in ticket.explanations.iter().map(|story| deciding(story.kind)) {
        if !asked.contains(&question) && asked.len() < 3 {
            asked.push(question);
        }
    }
    format!("Look at the paper to see which of the stories is right. {}", asked.join(" "))
}

fn open(ticket: &TicketResult) -> Finding {
    let (who, what) = (named(ticket), stated_by(ticket));
    if unit_differs(&ticket.stated, &ticket.found) {
        return Finding::new(&TICKET_OPEN, Severity::Fault, format!("{who} does not tie: the units differ"))
            .detail("Weights of different units are never added or compared.")
            .next_step("Look at the paper for the unit, and correct the list.")
            .pointer("as stated");
    }
    let difference = difference(ticket);
    let title = if difference.is_empty() {
        format!("{who} cannot be compared: its drafts are in different units")
    } else {
        format!("{who} does not tie: {what} differs by {difference}")
    };
    let (detail, next_step) = if ticket.explanations.is_empty() {
        let none = "None of the slips tried here accounts for it.";
        (none, "Compare the ticket's drafts with the paper one by one.".to_owned())
    } else {
        ("More than one story accounts for it.", questions(ticket))
    };
    let finding =
        Finding::new(&TICKET_OPEN, Severity::Fault, title).detail(detail).next_step(next_step).pointer("as stated");
    ticket.explanations.iter().fold(finding, |finding, story| finding.evidence("it could be that", &story.text))
}

fn void_with_drafts(ticket: &TicketResult) -> Finding {
    let title = format!("{} is marked void, but drafts on the stick carry it", named(ticket));
    Finding::new(&TICKET_OPEN, Severity::Fault, title)
        .detail("A void ticket expects no drafts.")
        .next_step("Find out on which ticket these drafts were settled.")
}

fn without_drafts(ticket: &TicketResult, elsewhere: &Elsewhere) -> Finding {
    let who = named(ticket);
    let figures = ticket.stated.head.zip(ticket.stated.gross.map(|gross| gross.amount().normalize()));
    if let Some(other) = figures.and_then(|figures| elsewhere.unlisted.get(&figures)) {
        let title = format!("{who} has no draft, but those of ticket {other}, come to exactly its figures");
        return Finding::new(&TICKET_WITHOUT_DRAFTS, Severity::Fault, title)
            .detail("It is probably the same weighing under two numbers.")
            .next_step("Compare both numbers with the paper.")
            .pointer("as stated");
    }
    if elsewhere.drafts.contains(&ticket_key(&ticket.stated.number)) {
        return Finding::new(&TICKET_WITHOUT_DRAFTS, Severity::Fault, format!("{who} has no draft on its day"))
            .detail("Drafts with this number are on the stick, but on another day.")
            .next_step("Compare the date in the list with the paper ticket.")
            .pointer("as stated");
    }
    if elsewhere.unnumbered {
        return Finding::new(&TICKET_WITHOUT_DRAFTS, Severity::Fault, format!("{who} agrees with no run of drafts"))
            .detail("The drafts carry no ticket number, and no run of those left over comes to its figures.")
            .next_step(
                "Compare it with the drafts on no ticket, by their time, and look for missing numbers among them.",
            )
            .pointer("as stated");
    }
    Finding::new(&TICKET_WITHOUT_DRAFTS, Severity::Fault, format!("{who} has no draft on the stick"))
        .detail("It is stated, but none of its rows is there.")
        .next_step("Look whether it was weighed while the stick was out, on another scale or on another day.")
}

/// Drafts on no ticket of the list, one finding per ticket number they carry.
#[must_use]
pub fn without_ticket(drafts: &[&Draft], elsewhere: &Elsewhere) -> Vec<Finding> {
    let mut groups: BTreeMap<Option<&str>, Vec<&Draft>> = BTreeMap::new();
    for draft in drafts {
        groups.entry(draft.stated.ticket.as_deref()).or_default().push(draft);
    }
    groups.into_iter().map(|(ticket, drafts)| group_without_ticket(ticket, &drafts, elsewhere)).collect()
}

fn group_without_ticket(ticket: Option<&str>, drafts: &[&Draft], elsewhere: &Elsewhere) -> Finding {
    let count = count_drafts(drafts.len() as u64);
    let (verb, carry) = if drafts.len() == 1 { ("is", "carries") } else { ("are", "carry") };
    let listed_for = ticket.and_then(|ticket| elsewhere.tickets.get(&ticket_key(ticket)));
    let title = match (ticket, listed_for) {
        (Some(ticket), Some(date)) => format!("{count} {carry} ticket {ticket}, which the list has under {date}"),
        (Some(ticket), None) => format!("{count} {carry} ticket {ticket}, which is not in the list"),
        (None, _) => format!("{count} {verb} on no ticket of the list"),
    };
    let which: Vec<_> = drafts.iter().filter_map(|draft| draft.stated.transaction).collect();
    let head = drafts.iter().fold(Head(0), |sum, draft| sum.plus(draft.stated.head.unwrap_or_default()));
    let gross = super::pay::sum(drafts.iter().filter_map(|draft| draft.stated.gross));
    let place = drafts.first().map(|draft| crate::draft::findings::place(draft)).unwrap_or_default();
    Finding::new(&DRAFTS_WITHOUT_TICKET, Severity::Caution, title)
        .detail("Weighed and counted, but the paper as typed has no place for it.")
        .evidence("drafts", super::judge::listed(&which))
        .evidence("together", figures(Some(head), gross))
        .at(place)
        .next_step("Find the paper ticket and add it to the list, or correct its number or date there.")
}

/// A total of the export that names no ticket and comes out nowhere.
#[must_use]
pub fn stated_total(total: &StatedTotal, head_above: Head, gross_above: Weight) -> Finding {
    let stated = figures(total.head, total.gross);
    let title = format!("A total in the export, {stated}, is not the sum of its drafts");
    Finding::new(&STATED_TOTAL_DISAGREES, Severity::Caution, title)
        .detail("It names no ticket, and neither the drafts above it, nor its lot, nor the whole export come to it.")
        .evidence("stated", stated)
        .evidence("drafts directly above it", figures(Some(head_above), Some(gross_above)))
        .at(Place { export: Some(total.origin.export.clone()), line: Some(total.origin.line), ..Place::default() })
        .next_step("Look for missing numbers above it, and compare it with the paper.")
}

/// Shrink on the ticket against shrink on its drafts.
#[must_use]
pub fn shrink(ticket: &TicketResult, drafts: &[&Draft]) -> Option<Finding> {
    let stated = ticket.stated.shrink_percent?;
    let other: Percent =
        drafts.iter().filter_map(|draft| draft.stated.shrink_percent).find(|shrink| *shrink != stated)?;
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
        let why: Vec<_> = ticket.explanations.iter().map(|story| capital(&story.text) + ".").collect();
        let detail = format!("The list's pay weight was used. {}", why.join(" Or: "));
        Finding::new(&PAY_WEIGHT_DISAGREES, Severity::Caution, title)
            .detail(detail.trim_end())
            .at(Place { line: ticket.stated.line, ..Place::ticket(&ticket.stated.number) })
            .next_step("Look at the paper and ask what was agreed.")
    })
}
