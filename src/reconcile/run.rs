//! The whole of it: assign, judge, look into the holes, balance.

use std::collections::HashMap;

use super::assign::{Assignment, SaleDays, assign};
use super::balance::balance;
use super::findings;
use super::holes::explain_by_holes;
use super::judge::{OnTicket, judge};
use super::model::{Reconciled, TicketResult};
use crate::draft::Draft;
use crate::finding::Finding;
use crate::sequence::Event;
use crate::ticket::StatedTicket;
use crate::units::Percent;

/// What is laid side by side.
#[derive(Debug, Clone, Copy)]
pub struct Sides<'a> {
    /// The drafts of the period, in the order of the weighings.
    pub drafts: &'a [Draft],
    /// The day each draft counts for.
    pub days: &'a SaleDays,
    /// What happened with the numbers.
    pub events: &'a [Event],
    /// Whether the tickets are a list of the paper; else they are the export's own totals.
    pub list_given: bool,
    /// The shrink given as an option.
    pub shrink: Option<Percent>,
}

/// Lays drafts and tickets side by side.
#[must_use]
pub fn reconcile(sides: Sides<'_>, tickets: Vec<StatedTicket>) -> Reconciled {
    let assignment = assign(sides.drafts, &tickets, sides.days);
    let mut on_tickets: Vec<OnTicket<'_>> = vec![OnTicket::default(); tickets.len()];
    for (draft, ticket) in sides.drafts.iter().zip(&assignment) {
        if let Some(on) = ticket.and_then(|index| on_tickets.get_mut(index)) {
            on.add(draft);
        }
    }
    let mut results: Vec<TicketResult> =
        tickets.into_iter().zip(&on_tickets).map(|(stated, on)| judge(stated, on, sides.shrink)).collect();
    explain_by_holes(&mut results, sides.events, &ticket_of(sides.drafts, &assignment));
    let unticketed = sides.list_given.then(|| without_ticket(sides.drafts, &assignment));
    let findings = all_findings(&results, &on_tickets, unticketed.as_deref());
    Reconciled {
        balance: balance(sides.drafts, &assignment, &results),
        unticketed: unticketed.map(|drafts| drafts.into_iter().map(|draft| draft.id.clone()).collect()),
        tickets: results,
        findings,
    }
}

fn ticket_of<'d>(drafts: &'d [Draft], assignment: &Assignment) -> HashMap<&'d str, usize> {
    let pairs = drafts.iter().zip(assignment);
    pairs.filter_map(|(draft, ticket)| Some((draft.id.as_str(), (*ticket)?))).collect()
}

fn without_ticket<'d>(drafts: &'d [Draft], assignment: &Assignment) -> Vec<&'d Draft> {
    let pairs = drafts.iter().zip(assignment);
    pairs.filter(|(draft, ticket)| draft.counts() && ticket.is_none()).map(|(draft, _)| draft).collect()
}

fn all_findings(results: &[TicketResult], on_tickets: &[OnTicket<'_>], unticketed: Option<&[&Draft]>) -> Vec<Finding> {
    let mut all = findings::of_tickets(results);
    all.extend(results.iter().zip(on_tickets).filter_map(|(ticket, on)| findings::shrink(ticket, &on.counted)));
    all.extend(results.iter().filter_map(findings::pay_weight));
    all.extend(unticketed.map(findings::without_ticket).unwrap_or_default());
    all
}
