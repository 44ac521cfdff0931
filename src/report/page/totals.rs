//! The sums, and whether they are proved.

use maud::{Markup, html};

use super::shown::{figure, value};
use super::tickets::unit_name;
use crate::day::Day;
use crate::ledger::Control;
use crate::reconcile::{Balance, HeadAndGross};
use crate::units::{Weight, grouped};

pub(super) fn section(day: &Day, control: &[Control]) -> Markup {
    html! {
        section aria-labelledby="totals" {
            h2 id="totals" { "Control totals" }
            @if control.is_empty() { p { "Nothing to add up." } }
            @for entry in control { (totals(entry)) }
            @for balance in &day.balance { (table(balance)) }
        }
    }
}

fn totals(entry: &Control) -> Markup {
    let proof = if entry.proved {
        "Proved: two independent routes came to the same figures."
    } else {
        "Not proved: there is no ledger of these figures."
    };
    html! {
        table.sums {
            caption { "Counted drafts, " (unit_name(entry.unit)) ". " strong { (proof) } }
            tbody {
                (sum("Drafts", grouped(entry.records)))
                (sum("Head", grouped(entry.head)))
                (sum("Gross", known(entry.gross)))
                (sum("Net", known(entry.net)))
                (sum("Pay weight", known(entry.pay_weight.map(Weight::in_hundredths))))
                (sum("Value", known(entry.value)))
                (sum("First number", known(entry.first_transaction)))
                (sum("Last number", known(entry.last_transaction)))
                (sum("Numbers missing", grouped(entry.missing)))
                (sum("Void drafts and tickets", grouped(entry.voids)))
                (sum("Sum of the numbers (to compare only)", entry.transaction_hash_total.to_string()))
            }
        }
    }
}

fn sum(what: &str, figure: String) -> Markup {
    html! { tr { th scope="row" { (what) } td.n { (figure) } } }
}

fn known(figure: Option<impl ToString>) -> String {
    let figure = value(figure);
    if figure.is_empty() { "not all stated".to_owned() } else { figure }
}

fn table(balance: &Balance) -> Markup {
    let rows = [
        ("All counted drafts", balance.drafts),
        ("On tickets of the list", balance.on_tickets),
        ("On no ticket", balance.without_ticket),
        ("Stated by the tickets", balance.stated),
        ("Difference: stated less on tickets", balance.difference),
        ("of which explained", balance.difference_explained),
        ("of which open", balance.difference_open),
    ];
    html! {
        table.sums {
            caption { "Drafts against tickets, " (unit_name(balance.unit)) "." }
            thead { tr { td {} th scope="col" { "Head" } th scope="col" { "Gross" } } }
            tbody { @for (what, figures) in rows { (pair(what, figures, balance)) } }
        }
    }
}

fn pair(what: &str, figures: HeadAndGross, balance: &Balance) -> Markup {
    html! {
        tr {
            th scope="row" { (what) }
            td.n { (figure(figures.head)) }
            td.n { (Weight::new(figures.gross, balance.unit)) }
        }
    }
}
