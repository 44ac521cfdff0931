//! Paper beside stick, ticket by ticket.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::shown::{Shown, amount, figure, heads, pay, value, width};
use crate::day::Day;
use crate::ledger::{Rows, TicketRow};
use crate::report::words;
use crate::ticket::{TicketSource, TicketStatus};
use crate::units::{Unit, Weight, grouped};

/// Drafts without ticket listed here; the list of drafts below has them all.
const MOST_LOOSE: usize = 1_000;

pub(super) fn section(day: &Day, rows: &Rows<'_>) -> Markup {
    html! {
        section aria-labelledby="tickets" {
            h2 id="tickets" { "Tickets" }
            @if !day.ticket_list_given {
                p { "No usable ticket list was given: what stands here are totals the exports state themselves, not the paper." }
            }
            @if rows.tickets.is_empty() { p { "No tickets." } } @else { (table(rows, day.ticket_list_given)) }
            (without_ticket(day))
        }
    }
}

fn table(rows: &Rows<'_>, list_given: bool) -> Markup {
    html! {
        div.wide role="region" aria-label="Tickets" tabindex="0" {
            table {
                caption { "Stated is what the ticket says, found is what its drafts add up to. Difference is stated less found." }
                thead {
                    tr {
                        th scope="col" rowspan="2" { "Ticket" } th scope="col" rowspan="2" { "Lot" }
                        th scope="col" rowspan="2" { "Outcome" }
                        th scope="colgroup" colspan="2" { "Stated" } th scope="colgroup" colspan="3" { "Found" }
                        th scope="colgroup" colspan="2" { "Difference" }
                        th scope="col" rowspan="2" { "Pay weight" } th scope="col" rowspan="2" { "Value" }
                    }
                    tr {
                        th scope="col" { "Head" } th scope="col" { "Gross" }
                        th scope="col" { "Drafts" } th scope="col" { "Head" } th scope="col" { "Gross" }
                        th scope="col" { "Head" } th scope="col" { "Gross" }
                    }
                }
                tbody { @for row in &rows.tickets { (ticket(row, list_given)) } }
            }
        }
    }
}

fn ticket(row: &TicketRow<'_>, list_given: bool) -> Markup {
    let (stated, found) = (&row.ticket.stated, &row.ticket.found);
    let beside_list = list_given && stated.source == TicketSource::ExportTotal;
    let lot = stated.lot.as_deref().unwrap_or_default();
    let outcome = words::outcome(row.ticket.outcome, stated.status);
    html! {
        tr class=(outcome.replace(' ', "-")) {
            th scope="row" class=(width(&stated.number)) { (Shown(&stated.number)) }
            td class=(width(lot)) { (Shown(lot)) }
            td.outcome { (outcome) @if stated.status == TicketStatus::Unsold { ", unsold" } @if beside_list { " (export's total)" } }
            td.n { (heads(stated.head)) }
            td.n { (value(stated.gross)) }
            td.n { (grouped(found.drafts)) }
            td.n { (heads(Some(found.head))) }
            td.n { (value(found.gross)) }
            td.n { (signed(row.head_difference)) }
            td.n { (weight_difference(row)) }
            td.n { (pay(row.pay_weight)) }
            td.n { (value(row.ticket.value)) }
        }
        (story(row))
    }
}

/// The best account of a difference, on a row of its own.
fn story(row: &TicketRow<'_>) -> Markup {
    let Some(story) = row.ticket.explanations.first() else { return html! {} };
    let others = row.ticket.explanations.len().saturating_sub(1);
    html! {
        tr.story {
            td {}
            td colspan="11" {
                p {
                    (Shown(&story.text)) " (" (story.confidence) ")"
                    @if others > 0 { " Other accounts: " (others) "; see report.json." }
                }
            }
        }
    }
}

fn signed(difference: Option<i64>) -> String {
    let sign = |amount| if amount > 0 { "+" } else { "" };
    difference.map(|amount| format!("{}{}", sign(amount), figure(amount))).unwrap_or_default()
}

fn weight_difference(row: &TicketRow<'_>) -> String {
    let Some(amount) = row.gross_difference else { return String::new() };
    let weight = Weight::new(amount, row.unit);
    if amount.is_sign_positive() && !amount.is_zero() { format!("+{weight}") } else { weight.to_string() }
}

fn without_ticket(day: &Day) -> Markup {
    let Some(loose) = &day.unticketed else { return html! {} };
    let ids: BTreeSet<_> = loose.iter().collect();
    let drafts = day.drafts.iter().filter(|draft| ids.contains(&draft.id)).take(MOST_LOOSE);
    html! {
        @if !loose.is_empty() {
            h3 { "Drafts on no ticket of the list (" (amount(loose.len())) ")" }
            ul {
                @for draft in drafts {
                    li {
                        "Number " (value(draft.stated.transaction)) ", " (words::when(draft)) ": "
                        (value(draft.stated.head)) ", " (value(draft.stated.gross))
                    }
                }
            }
            @if loose.len() > MOST_LOOSE { p { "The first " (amount(MOST_LOOSE)) " are shown; the ledger has all." } }
        }
    }
}

/// What a list of figures is in.
pub(super) fn unit_name(unit: Option<Unit>) -> &'static str {
    unit.map_or("no unit stated", Unit::symbol)
}
