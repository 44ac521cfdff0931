//! Every draft of the period.

use maud::{Markup, html};

use super::shown::{Shown, amount, heads, maybe, pay, value, width};
use crate::ledger::{DraftRow, Rows};
use crate::report::words::{standing_and_marks, when};

/// Drafts shown; a sale has hundreds, and a page of a million rows cannot be opened. The ledger has them all.
const MOST: usize = 10_000;

pub(super) fn section(rows: &Rows<'_>) -> Markup {
    let drafts = &rows.drafts;
    html! {
        section aria-labelledby="drafts" {
            h2 id="drafts" { "Drafts (" (amount(drafts.len())) ")" }
            @if drafts.is_empty() { p { "No draft of these days was read." } } @else { (table(drafts)) }
            @if drafts.len() > MOST { p { "The first " (amount(MOST)) " are shown; the ledger and report.json have all." } }
        }
    }
}

fn table(drafts: &[DraftRow<'_>]) -> Markup {
    html! {
        div.wide role="region" aria-label="Drafts" tabindex="0" {
            table {
                caption { "In the order of weighing. Only those that say counted are in the sums." }
                thead {
                    tr {
                        th scope="col" { "Number" } th scope="col" { "When" } th scope="col" { "Ticket" }
                        th scope="col" { "Lot" } th scope="col" { "Head" } th scope="col" { "Gross" }
                        th scope="col" { "Pay weight" } th scope="col" { "Standing" } th scope="col" { "Read from" }
                    }
                }
                tbody { @for row in drafts.iter().take(MOST) { (draft(row)) } }
            }
        }
    }
}

fn draft(row: &DraftRow<'_>) -> Markup {
    let draft = row.draft;
    let number =
        draft.stated.transaction.map(|number| number.to_string()).or_else(|| draft.stated.transaction_text.clone());
    let number = number.as_deref().unwrap_or_default();
    let ticket = row.on_ticket.or(draft.stated.ticket.as_deref()).unwrap_or_default();
    let lot = draft.stated.lot.as_deref().unwrap_or_default();
    html! {
        tr class=(if draft.counts() { "counts" } else { "apart" }) {
            th scope="row" class=(width(number)) { (Shown(number)) }
            td.w { (when(draft)) }
            td class=(width(ticket)) { (Shown(ticket)) }
            td class=(width(lot)) { (Shown(lot)) }
            td.n { (heads(draft.stated.head)) }
            td.n { (value(draft.stated.gross)) }
            td.n { (pay(row.pay_weight)) }
            td { (standing_and_marks(draft)) }
            td.path { (maybe(row.export)) @if let Some(at) = &draft.origin { ", line " (at.line) } }
        }
    }
}
