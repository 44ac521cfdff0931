//! The whole of it: assign, judge, look into the holes, balance.

use std::collections::{HashMap, HashSet};

use super::assign::{Assignment, SaleDays, assign};
use super::balance::balance;
use super::findings::{self, Elsewhere};
use super::holes::explain_by_holes;
use super::judge::{OnTicket, is_blank, judge};
use super::model::{Reconciled, TicketResult};
use crate::draft::Draft;
use crate::finding::words::count_of;
use crate::finding::{Finding, NotChecked};
use crate::sequence::Event;
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Decimal, Head, Percent, Unit, Weight, ticket_key};

/// What is laid side by side.
#[derive(Debug, Clone, Copy)]
pub struct Sides<'a> {
    /// The drafts of the period, in the order of the weighings.
    pub drafts: &'a [Draft],
    /// The drafts outside the period.
    pub outside: &'a [&'a Draft],
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
    let mut not_checked = half_stated(&tickets);
    let assignment = assign(sides.drafts, &tickets, sides.days, &mut not_checked);
    let mut on_tickets: Vec<OnTicket<'_>> = vec![OnTicket::default(); tickets.len()];
    for (draft, ticket) in sides.drafts.iter().zip(&assignment) {
        if let Some(on) = ticket.and_then(|index| on_tickets.get_mut(index)) {
            on.add(draft);
        }
    }
    let unit = only_unit(sides.drafts);
    let mut results: Vec<TicketResult> =
        tickets.into_iter().zip(&on_tickets).map(|(stated, on)| judge(stated, on, sides.shrink, unit)).collect();
    explain_by_holes(&mut results, sides.events, &ticket_of(sides.drafts, &assignment));
    let unticketed = sides.list_given.then(|| without_ticket(sides.drafts, &assignment));
    let settled_nowhere = sides.list_given.then(|| settled_nowhere(sides.drafts, &assignment, &results));
    let elsewhere = elsewhere(&results, sides.outside, unticketed.as_deref().unwrap_or_default());
    let findings = all_findings(&results, &on_tickets, unticketed.as_deref(), &elsewhere);
    Reconciled {
        balance: balance(sides.drafts, &assignment, &results),
        unticketed: settled_nowhere,
        tickets: results,
        findings,
        not_checked,
    }
}

/// The list's tickets and, behind them, the export's own totals. What both say is told once.
#[must_use]
pub fn beside_own_totals(list: Reconciled, own: Reconciled) -> Reconciled {
    let figures = |ticket: &TicketResult| {
        (ticket_key(&ticket.stated.number), ticket.stated.head, ticket.stated.gross.map(Weight::amount))
    };
    let told: HashSet<_> = list.tickets.iter().map(figures).collect();
    let new: HashSet<&str> = own
        .tickets
        .iter()
        .filter(|ticket| !told.contains(&figures(ticket)))
        .map(|ticket| ticket.stated.number.as_str())
        .collect();
    let is_new = |finding: &&Finding| finding.place.ticket.as_deref().is_some_and(|ticket| new.contains(ticket));
    let mut findings = list.findings;
    findings.extend(own.findings.iter().filter(is_new).cloned());
    let mut tickets = list.tickets;
    tickets.extend(own.tickets);
    Reconciled { tickets, findings, ..list }
}

/// Figures that some tickets do not state are not compared; that is said once.
fn half_stated(tickets: &[StatedTicket]) -> Vec<NotChecked> {
    let valid = || tickets.iter().filter(|ticket| ticket.status != TicketStatus::Void && !is_blank(ticket));
    let without_head = valid().filter(|ticket| ticket.head.is_none()).count() as u64;
    let without_gross = valid().filter(|ticket| ticket.gross.is_none()).count() as u64;
    let not_compared = |what: &str, count: u64| {
        let tickets = count_of(count, "ticket", "tickets");
        (count > 0).then(|| NotChecked::new(format!("the {what} of {tickets}"), "the list states none"))
    };
    not_compared("head", without_head).into_iter().chain(not_compared("gross", without_gross)).collect()
}

/// What the drafts add up to under each ticket number that the list does not have, or has as void.
fn unlisted(unticketed: &[&Draft], results: &[TicketResult]) -> HashMap<(Head, Decimal), String> {
    let mut sums: HashMap<&str, (Head, Decimal)> = HashMap::new();
    for draft in unticketed {
        let Some(ticket) = draft.stated.ticket.as_deref() else { continue };
        let sum = sums.entry(ticket).or_default();
        sum.0 = sum.0.plus(draft.stated.head.unwrap_or_default());
        sum.1 += draft.stated.gross.map(Weight::amount).unwrap_or_default();
    }
    let void = results.iter().filter(|ticket| ticket.stated.status == TicketStatus::Void && ticket.found.drafts > 0);
    let void = void.filter_map(|ticket| {
        let gross = ticket.found.gross?.amount().normalize();
        Some(((ticket.found.head, gross), format!("{}, which is void", ticket.stated.number)))
    });
    let missing = sums
        .into_iter()
        .map(|(ticket, (head, gross))| ((head, gross.normalize()), format!("{ticket}, which is not in the list")));
    missing.chain(void).collect()
}

/// Numbers that stand on the other side, but on another day.
fn elsewhere(results: &[TicketResult], outside: &[&Draft], unticketed: &[&Draft]) -> Elsewhere {
    let keys =
        |drafts: &[&Draft]| drafts.iter().filter_map(|draft| draft.stated.ticket.as_deref().map(ticket_key)).collect();
    let (mut drafts, loose): (HashSet<String>, HashSet<String>) = (keys(outside), keys(unticketed));
    drafts.extend(loose);
    let tickets = results.iter().filter_map(|ticket| Some((ticket_key(&ticket.stated.number), ticket.stated.date?)));
    let with_drafts = results.iter().filter(|ticket| ticket.found.drafts > 0);
    Elsewhere {
        drafts,
        tickets: tickets.collect(),
        unlisted: unlisted(unticketed, results),
        with_drafts: with_drafts.map(|ticket| ticket_key(&ticket.stated.number)).collect(),
        unnumbered: unticketed.iter().any(|draft| draft.stated.ticket.is_none()),
    }
}

/// The unit of all drafts, where they have only one.
fn only_unit(drafts: &[Draft]) -> Option<Unit> {
    let mut units = drafts.iter().filter_map(|draft| draft.stated.gross?.unit());
    let first = units.next()?;
    units.all(|unit| unit == first).then_some(first)
}

fn ticket_of<'d>(drafts: &'d [Draft], assignment: &Assignment) -> HashMap<&'d str, usize> {
    let pairs = drafts.iter().zip(assignment);
    pairs.filter_map(|(draft, ticket)| Some((draft.id.as_str(), (*ticket)?))).collect()
}

/// Ids of the counted drafts that no valid ticket of the list settles: those on none, and those on a void one.
fn settled_nowhere(drafts: &[Draft], assignment: &Assignment, results: &[TicketResult]) -> Vec<String> {
    let is_void = |ticket: usize| results.get(ticket).is_some_and(|result| result.stated.status == TicketStatus::Void);
    let pairs = drafts.iter().zip(assignment).filter(|(draft, ticket)| draft.counts() && ticket.is_none_or(is_void));
    pairs.map(|(draft, _)| draft.id.clone()).collect()
}

fn without_ticket<'d>(drafts: &'d [Draft], assignment: &Assignment) -> Vec<&'d Draft> {
    let pairs = drafts.iter().zip(assignment);
    pairs.filter(|(draft, ticket)| draft.counts() && ticket.is_none()).map(|(draft, _)| draft).collect()
}

fn all_findings(
    results: &[TicketResult],
    on_tickets: &[OnTicket<'_>],
    unticketed: Option<&[&Draft]>,
    elsewhere: &Elsewhere,
) -> Vec<Finding> {
    let mut all = findings::of_tickets(results, elsewhere);
    all.extend(results.iter().zip(on_tickets).filter_map(|(ticket, on)| findings::shrink(ticket, &on.counted)));
    all.extend(results.iter().filter_map(findings::pay_weight));
    all.extend(unticketed.map(|drafts| findings::without_ticket(drafts, elsewhere)).unwrap_or_default());
    all
}
