//! All drafts against all tickets, one entry per unit: head and weight are conserved.

use std::collections::BTreeMap;

use super::assign::Assignment;
use super::judge::Difference;
use super::model::{Balance, HeadAndGross, Outcome, TicketResult};
use crate::draft::Draft;
use crate::ticket::TicketStatus;
use crate::units::{Decimal, Unit, Weight};

/// The balance of the period.
#[must_use]
pub fn balance(drafts: &[Draft], assignment: &Assignment, tickets: &[TicketResult]) -> Vec<Balance> {
    let mut units: BTreeMap<Option<Unit>, Balance> = BTreeMap::new();
    for (draft, ticket) in drafts.iter().zip(assignment).filter(|(draft, _)| draft.counts()) {
        let unit = draft.gross.and_then(Weight::unit);
        let entry = units.entry(unit).or_insert_with(|| empty(unit));
        let amount = HeadAndGross {
            head: i64::from(draft.head.unwrap_or_default().0),
            gross: draft.gross.map(Weight::amount).unwrap_or_default(),
        };
        add(&mut entry.drafts, amount);
        add(if ticket.is_some() { &mut entry.on_tickets } else { &mut entry.without_ticket }, amount);
    }
    let only_unit = match units.keys().collect::<Vec<_>>().as_slice() {
        [only] => **only,
        _ => None,
    };
    for ticket in tickets.iter().filter(|ticket| ticket.stated.status != TicketStatus::Void) {
        let unit = unit_of(ticket).or(only_unit);
        add_ticket(units.entry(unit).or_insert_with(|| empty(unit)), ticket);
    }
    units.into_values().collect()
}

fn unit_of(ticket: &TicketResult) -> Option<Unit> {
    ticket.stated.gross.and_then(Weight::unit).or_else(|| ticket.found.gross.and_then(Weight::unit))
}

/// What a ticket does not state cannot differ: the figure found stands for it.
fn add_ticket(entry: &mut Balance, ticket: &TicketResult) {
    let difference = Difference::of(&ticket.stated, &ticket.found);
    let difference = HeadAndGross { head: difference.head.unwrap_or(0), gross: difference.gross.unwrap_or_default() };
    let found = HeadAndGross {
        head: i64::from(ticket.found.head.0),
        gross: ticket.found.gross.map(Weight::amount).unwrap_or_default(),
    };
    add(&mut entry.stated, found);
    add(&mut entry.stated, difference);
    add(&mut entry.difference, difference);
    let explained = ticket.outcome == Outcome::Explained;
    add(if explained { &mut entry.difference_explained } else { &mut entry.difference_open }, difference);
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
