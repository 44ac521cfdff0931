//! All drafts against all tickets, one entry per unit: head and weight are conserved.

use std::collections::BTreeMap;

use super::assign::Assignment;
use super::judge::Difference;
use super::model::{Balance, HeadAndGross, Outcome, TicketResult};
use crate::draft::Draft;
use crate::ticket::TicketStatus;
use crate::units::{Decimal, Unit, Weight};

/// The balance of the period. In each entry, drafts = on tickets + without ticket, and difference = stated − on tickets.
#[must_use]
pub fn balance(drafts: &[Draft], assignment: &Assignment, tickets: &[TicketResult]) -> Vec<Balance> {
    let mut units: BTreeMap<Option<Unit>, Balance> = BTreeMap::new();
    for (draft, ticket) in drafts.iter().zip(assignment).filter(|(draft, _)| draft.counts()) {
        let unit = draft.stated.gross.and_then(Weight::unit);
        let entry = units.entry(unit).or_insert_with(|| empty(unit));
        let amount = HeadAndGross {
            head: i64::from(draft.stated.head.unwrap_or_default().0),
            gross: draft.stated.gross.map(Weight::amount).unwrap_or_default(),
        };
        add(&mut entry.drafts, amount);
        // A void ticket settles nothing.
        let on_ticket = ticket.and_then(|ticket| tickets.get(ticket)).is_some_and(expects_drafts);
        add(if on_ticket { &mut entry.on_tickets } else { &mut entry.without_ticket }, amount);
    }
    let only_unit = match units.keys().collect::<Vec<_>>().as_slice() {
        [only] => **only,
        _ => None,
    };
    for ticket in tickets.iter().filter(|ticket| expects_drafts(ticket)) {
        let unit = unit_of(ticket).or(only_unit);
        add_ticket(units.entry(unit).or_insert_with(|| empty(unit)), ticket);
    }
    units.into_values().map(with_difference).collect()
}

fn expects_drafts(ticket: &TicketResult) -> bool {
    ticket.stated.status != TicketStatus::Void
}

fn unit_of(ticket: &TicketResult) -> Option<Unit> {
    ticket.stated.gross.and_then(Weight::unit).or_else(|| ticket.found.gross.and_then(Weight::unit))
}

/// What a ticket does not state cannot differ: the figure found stands for it.
fn add_ticket(entry: &mut Balance, ticket: &TicketResult) {
    let found_gross = ticket.found.gross.map(Weight::amount).unwrap_or_default();
    add(
        &mut entry.stated,
        HeadAndGross {
            head: i64::from(ticket.stated.head.unwrap_or(ticket.found.head).0),
            gross: ticket.stated.gross.map_or(found_gross, Weight::amount),
        },
    );
    if ticket.outcome == Outcome::Explained {
        let difference = Difference::of(&ticket.stated, &ticket.found);
        let amount = HeadAndGross { head: difference.head.unwrap_or(0), gross: difference.gross.unwrap_or_default() };
        add(&mut entry.difference_explained, amount);
    }
}

fn with_difference(entry: Balance) -> Balance {
    let less = |a: HeadAndGross, b: HeadAndGross| HeadAndGross { head: a.head - b.head, gross: a.gross - b.gross };
    let difference = less(entry.stated, entry.on_tickets);
    Balance { difference, difference_open: less(difference, entry.difference_explained), ..entry }
}

fn add(sum: &mut HeadAndGross, amount: HeadAndGross) {
    sum.head += amount.head;
    sum.gross += amount.gross;
}

fn empty(unit: Option<Unit>) -> Balance {
    let zero = HeadAndGross { head: 0, gross: Decimal::ZERO };
    Balance {
        unit,
        drafts: zero,
        on_tickets: zero,
        without_ticket: zero,
        stated: zero,
        difference: zero,
        difference_explained: zero,
        difference_open: zero,
    }
}
