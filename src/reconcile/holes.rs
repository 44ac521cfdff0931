//! Lost drafts: which ticket a hole in the numbers belongs to, and what it must have held.
//!
//! A hole lies between the ticket of the row before it, tickets that lost all their rows, and the ticket of the row after.
//! Only a ticket that states more than was found can claim numbers of it, and only if head and weight per head are
//! plausible. What follows is a statement about the paper; no such draft was ever read.

use std::collections::{BTreeMap, HashMap};

use super::in_words::figures_per_head;
use super::judge::Difference;
use super::model::{Explanation, ExplanationKind, Outcome, TicketResult};
use crate::finding::words::numbers;
use crate::sequence::{Event, EventKind};
use crate::ticket::TicketStatus;
use crate::units::{Confidence, Decimal, Head, TransactionNo, Weight, ticket_serial};

/// A lost draft weighs per head between a third of what the others weigh and three times that; beyond, the difference
/// is something else (common practice, no source).
const PLAUSIBLE_TIMES: Decimal = Decimal::from_parts(3, 0, 0, false, 0);

/// A hole with more numbers than this is not shared out.
const LARGEST_HOLE: u64 = 500;

/// Explains tickets by the holes in the numbers. `ticket_of` tells the ticket of a draft, as an index into `tickets`.
pub fn explain_by_holes(tickets: &mut [TicketResult], events: &[Event], ticket_of: &HashMap<&str, usize>) {
    let mut claims: BTreeMap<usize, Vec<Explanation>> = BTreeMap::new();
    let lost = LostTickets::of(tickets);
    for event in inside_tickets_first(events, ticket_of) {
        let all = claimants(tickets, &lost, event, ticket_of);
        // A ticket with a hole of its own lays claim to another only where nobody else does.
        let fresh: Vec<usize> = all.iter().copied().filter(|ticket| !claims.contains_key(ticket)).collect();
        let claimants = if fresh.is_empty() { all } else { fresh };
        for (ticket, explanation) in shared_out(tickets, event, &claimants) {
            claims.entry(ticket).or_default().push(explanation);
        }
    }
    for (index, claims) in claims {
        let Some(ticket) = tickets.get_mut(index) else { continue };
        ticket.explanations.extend(merged(claims));
        ticket.outcome = if ticket.explanations.len() == 1 { Outcome::Explained } else { Outcome::Open };
    }
}

/// The gaps, those between two drafts of one ticket before those at a ticket's edge.
fn inside_tickets_first<'e>(events: &'e [Event], ticket_of: &HashMap<&str, usize>) -> Vec<&'e Event> {
    let of = |draft: &Option<String>| draft.as_deref().and_then(|id| ticket_of.get(id));
    let mut gaps: Vec<&Event> = events.iter().filter(|event| event.kind == EventKind::Gap).collect();
    gaps.sort_by_key(|gap| of(&gap.after_draft).is_none() || of(&gap.after_draft) != of(&gap.before_draft));
    gaps
}

/// The tickets that could have lost drafts here, in the order of the weighing.
fn claimants(
    tickets: &[TicketResult],
    lost: &LostTickets,
    event: &Event,
    ticket_of: &HashMap<&str, usize>,
) -> Vec<usize> {
    let of = |draft: &Option<String>| draft.as_deref().and_then(|id| ticket_of.get(id).copied());
    let (before, after) = (of(&event.after_draft), of(&event.before_draft));
    let mut order: Vec<usize> = before.into_iter().collect();
    let serial = |index: usize| ticket_serial(&tickets.get(index)?.stated.number);
    let at_an_end = event.after.is_none() || event.before.is_none();
    order.extend(lost.between(before.and_then(serial), after.and_then(serial), at_an_end));
    order.extend(after.filter(|after| Some(*after) != before));
    order.retain(|index| tickets.get(*index).is_some_and(|ticket| can_claim(tickets, ticket)));
    order
}

/// Tickets that expect drafts and have none, by series and number.
struct LostTickets {
    by_serial: BTreeMap<(String, u64), usize>,
}

impl LostTickets {
    fn of(tickets: &[TicketResult]) -> Self {
        let lost = tickets.iter().enumerate().filter(|(_, ticket)| {
            ticket.found.drafts == 0 && ticket.explanations.is_empty() && ticket.stated.status != TicketStatus::Void
        });
        Self {
            by_serial: lost
                .filter_map(|(index, ticket)| Some((ticket_serial(&ticket.stated.number)?, index)))
                .collect(),
        }
    }

    /// Those whose numbers lie between two others of one series, or, at an end of the stick, beyond one.
    fn between(&self, from: Option<(String, u64)>, to: Option<(String, u64)>, at_an_end: bool) -> Vec<usize> {
        let (from, to) = match (from, to) {
            (Some(from), Some(to)) if from.0 == to.0 && from.1 < to.1 => (from, to),
            (Some(from), None) if at_an_end => (from.clone(), (from.0, u64::MAX)),
            (None, Some(to)) if at_an_end => ((to.0.clone(), 0), to),
            _ => return Vec::new(),
        };
        self.by_serial.range(from..to).map(|(_, index)| *index).collect()
    }
}

/// Whether a ticket states more than was found, by an amount that animals could weigh.
fn can_claim(tickets: &[TicketResult], ticket: &TicketResult) -> bool {
    let difference = Difference::of(&ticket.stated, &ticket.found);
    let more_head = difference.head.is_none_or(|head| head > 0);
    let more_gross = difference.gross.is_none_or(|gross| gross > Decimal::ZERO);
    let unexplained = matches!(ticket.outcome, Outcome::Open | Outcome::NoDrafts) && ticket.explanations.is_empty();
    unexplained && more_head && more_gross && !difference.is_none() && plausible(tickets, ticket, difference)
}

/// The weight per head of what is missing, against the rest of the ticket, or the day's tickets of its kind.
fn plausible(tickets: &[TicketResult], ticket: &TicketResult, missing: Difference) -> bool {
    let (Some(head), Some(gross)) = (missing.head, missing.gross) else { return true };
    let Some(each) = gross.checked_div(Decimal::from(head)) else { return false };
    let of_kind =
        tickets.iter().filter(|other| ticket.stated.kind.is_some() && other.stated.kind == ticket.stated.kind);
    let usual = ticket.found.average.or_else(|| of_kind.filter_map(|other| other.found.average).next());
    usual.map(Weight::amount).is_none_or(|usual| each <= usual * PLAUSIBLE_TIMES && each * PLAUSIBLE_TIMES >= usual)
}

/// Shares the numbers of a hole out among those who claim them.
fn shared_out(tickets: &[TicketResult], event: &Event, claimants: &[usize]) -> Vec<(usize, Explanation)> {
    let known = match (event.first_missing, event.last_missing) {
        (Some(first), Some(last)) if event.missing <= LARGEST_HOLE => (first.0..=last.0).map(TransactionNo).collect(),
        _ => Vec::new(),
    };
    let shares: Vec<(usize, Vec<TransactionNo>, u8)> = match claimants {
        [only] => vec![(*only, own_numbers(tickets, *only, &known).unwrap_or(known), 95)],
        several => {
            let stated: Option<Vec<_>> = several.iter().map(|ticket| own_numbers(tickets, *ticket, &known)).collect();
            match stated {
                // The paper itself says which numbers are whose.
                Some(stated) => several.iter().copied().zip(stated).map(|(ticket, own)| (ticket, own, 95)).collect(),
                None if known.len() == several.len() => {
                    several.iter().zip(known).map(|(ticket, number)| (*ticket, vec![number], 85)).collect()
                }
                // Their sums follow, but which number was whose does not.
                None if known.len() > several.len() || known.is_empty() => {
                    several.iter().map(|ticket| (*ticket, Vec::new(), 75)).collect()
                }
                None => Vec::new(),
            }
        }
    };
    let lost = |(ticket, which, sure): (usize, Vec<TransactionNo>, u8)| {
        Some((ticket, lost(tickets, ticket, &which, event, sure)?))
    };
    shares.into_iter().filter_map(lost).collect()
}

/// The numbers of a hole that a ticket's own first and last transaction claim; `None` where it states none of them.
fn own_numbers(tickets: &[TicketResult], index: usize, hole: &[TransactionNo]) -> Option<Vec<TransactionNo>> {
    let stated = &tickets.get(index)?.stated;
    let range = stated.first_transaction?..=stated.last_transaction?;
    let own: Vec<_> = hole.iter().copied().filter(|number| range.contains(number)).collect();
    (!own.is_empty()).then_some(own)
}

fn lost(
    tickets: &[TicketResult],
    index: usize,
    which: &[TransactionNo],
    event: &Event,
    sure: u8,
) -> Option<Explanation> {
    let ticket = tickets.get(index)?;
    let difference = Difference::of(&ticket.stated, &ticket.found);
    let unit = ticket.stated.gross.and_then(Weight::unit).or_else(|| ticket.found.gross.and_then(Weight::unit));
    let head = difference.head.and_then(|head| u32::try_from(head).ok()).map(Head);
    let gross = difference.gross.map(|gross| Weight::new(gross, unit));
    // Each lost draft had at least one animal on it.
    head.is_none_or(|head| head.0 as usize >= which.len()).then_some(())?;
    let figures = figures_per_head(head, gross);
    let (kind, text) = match which {
        [only] => (ExplanationKind::MissingDraft, format!("draft {only} is lost; it must have been {figures}")),
        [first, .., last] => {
            let drafts = numbers(first, last).replacen("number", "draft", 1);
            (ExplanationKind::MissingDrafts, format!("{drafts} are lost; together they must have been {figures}"))
        }
        [] => {
            let hole = hole_in_words(event);
            (ExplanationKind::MissingDrafts, format!("drafts are lost {hole}; together they must have been {figures}"))
        }
    };
    Some(Explanation { kind, text, confidence: Confidence::percent(sure), transactions: which.to_vec(), head, gross })
}

fn hole_in_words(event: &Event) -> String {
    match (event.after, event.before) {
        (Some(after), Some(before)) => format!("between {after} and {before}"),
        (None, Some(before)) => format!("before {before}"),
        (Some(after), None) => format!("after {after}"),
        (None, None) => String::new(),
    }
}

/// Two holes of one ticket: its drafts are lost in both, only their sum follows.
fn merged(claims: Vec<Explanation>) -> Vec<Explanation> {
    if claims.len() < 2 {
        return claims;
    }
    let transactions: Vec<_> = claims.iter().flat_map(|claim| claim.transactions.iter().copied()).collect();
    let Some(first) = claims.into_iter().next() else { return Vec::new() };
    let text = format!(
        "{} are lost; together they must have been {}",
        super::judge::listed(&transactions).replacen("number", "draft", 1),
        figures_per_head(first.head, first.gross)
    );
    vec![Explanation { kind: ExplanationKind::MissingDrafts, text, transactions, ..first }]
}
