//! The whole of it: assign, judge, look for stories, balance.

use std::collections::{HashMap, HashSet};

use super::assign::{Assignment, SaleDays, assign, rows_between};
use super::balance::balance;
use super::division::what_is_left;
use super::findings::{self, Elsewhere};
use super::judge::{OnTicket, is_blank, judge};
use super::model::{Explanation, Outcome, Reconciled, TicketResult};
use super::pay_slips;
use super::search::explained;
use super::seen::{Seen, View};
use crate::draft::{Draft, StatedTotal};
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
    /// The total rows of the exports.
    pub totals: &'a [StatedTotal],
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
    let sure = assign(sides.drafts, sides.totals, &tickets, sides.days, &mut not_checked);
    let left = what_is_left(sides.drafts, &tickets, &sure);
    let mut laid = laid_out(sides, &tickets, with_left(&sure, &left));
    // What is left over lies on a ticket only if a story then accounts for the ticket.
    let tells = |(ticket, _): &(usize, Vec<usize>)| {
        laid.results.get(*ticket).is_some_and(|ticket| !ticket.explanations.is_empty())
    };
    let told: Vec<_> = left.iter().filter(|left| tells(left)).cloned().collect();
    if told.len() < left.len() {
        laid = laid_out(sides, &tickets, with_left(&sure, &told));
    }
    not_checked.append(&mut laid.not_checked);
    laid.settled(sides, not_checked)
}

fn with_left(sure: &Assignment, left: &[(usize, Vec<usize>)]) -> Assignment {
    let mut assignment = sure.clone();
    for (ticket, drafts) in left {
        for draft in drafts {
            if let Some(slot) = assignment.get_mut(*draft) {
                *slot = Some(*ticket);
            }
        }
    }
    assignment
}

/// Drafts laid beside tickets in one way, and what that tells.
struct LaidOut<'a> {
    assignment: Assignment,
    on_tickets: Vec<OnTicket<'a>>,
    results: Vec<TicketResult>,
    not_checked: Vec<NotChecked>,
}

fn laid_out<'a>(sides: Sides<'a>, tickets: &[StatedTicket], assignment: Assignment) -> LaidOut<'a> {
    let mut on_tickets: Vec<OnTicket<'a>> = vec![OnTicket::default(); tickets.len()];
    for (draft, ticket) in sides.drafts.iter().zip(&assignment) {
        if let Some(on) = ticket.and_then(|index| on_tickets.get_mut(index)) {
            on.add(draft);
        }
    }
    for (draft, beside) in rows_between(sides.drafts, &assignment) {
        for ticket in beside {
            on_tickets.get_mut(ticket).into_iter().for_each(|on| on.add(draft));
        }
    }
    let unit = only_unit(sides.drafts);
    let judged = |(stated, on): (&StatedTicket, &OnTicket<'_>)| judge(stated.clone(), on, sides.shrink, unit);
    let mut results: Vec<TicketResult> = tickets.iter().zip(&on_tickets).map(judged).collect();
    let mut not_checked = Vec::new();
    let view = View::of(&results, &on_tickets, sides.drafts, without_ticket(sides.drafts, &assignment));
    let told = explained(&view, sides.events, &ticket_of(sides.drafts, &assignment), &mut not_checked);
    let paid = view.tickets.iter().zip(&results).map(|(seen, result)| pay_told(seen, result, sides.shrink));
    let paid: Vec<Vec<Explanation>> = paid.collect();
    for (result, paid) in results.iter_mut().zip(paid) {
        result.explanations = paid;
    }
    for (place, outcome, explanations) in told {
        if let Some(result) = results.get_mut(place) {
            (result.outcome, result.explanations) = (outcome, explanations);
        }
    }
    LaidOut { assignment, on_tickets, results, not_checked }
}

fn pay_told(seen: &Seen<'_>, result: &TicketResult, shrink: Option<Percent>) -> Vec<Explanation> {
    if result.outcome != Outcome::Tied || seen.stated.status == TicketStatus::Void {
        return Vec::new();
    }
    pay_slips::explanations(seen, result.found.pay_weight, shrink)
}

impl LaidOut<'_> {
    fn settled(self, sides: Sides<'_>, not_checked: Vec<NotChecked>) -> Reconciled {
        let (assignment, results) = (self.assignment, self.results);
        let unticketed = sides.list_given.then(|| without_ticket(sides.drafts, &assignment));
        let settled_nowhere = sides.list_given.then(|| settled_nowhere(sides.drafts, &assignment, &results));
        let elsewhere = elsewhere(&results, sides.outside, unticketed.as_deref().unwrap_or_default());
        let findings = all_findings(&results, &self.on_tickets, unticketed.as_deref(), &elsewhere);
        let balance = balance(sides.drafts, &assignment, &results);
        Reconciled { balance, unticketed: settled_nowhere, tickets: results, findings, not_checked }
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
