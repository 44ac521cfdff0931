//! What the paper knows about the numbers, as plain values for the sequence.

use std::collections::{HashMap, HashSet};

use crate::draft::{Draft, Standing};
use crate::sequence::{Known, PaperTicket};
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Decimal, Head, TicketNumbers, TransactionNo, Weight};

/// What the list tells of the numbers. A ticket whose animals stand on the stick under another number shows no loss: one
/// that replaces a void ticket, or one whose number was mistyped.
#[must_use]
pub fn known(tickets: &[StatedTicket], drafts: &[Draft], legible: Vec<(String, TransactionNo)>) -> Known {
    let unlisted = unlisted_figures(tickets, drafts);
    let void: HashSet<&str> =
        tickets.iter().filter(|ticket| is_void(ticket)).map(|ticket| ticket.number.as_str()).collect();
    let shows_loss = |ticket: &&StatedTicket| {
        let replaces_void = ticket.replaces.as_deref().is_some_and(|number| void.contains(number));
        let figures = ticket.head.zip(ticket.gross.map(Weight::amount));
        !is_void(ticket) && !replaces_void && figures.is_none_or(|figures| !unlisted.contains(&figures))
    };
    Known { tickets: tickets.iter().filter(shows_loss).map(paper).collect(), legible }
}

fn is_void(ticket: &StatedTicket) -> bool {
    ticket.status == TicketStatus::Void
}

/// Head and gross of the drafts under each ticket number that the list does not have, or has as void.
fn unlisted_figures(tickets: &[StatedTicket], drafts: &[Draft]) -> HashSet<(Head, Decimal)> {
    let numbers = TicketNumbers::of(tickets.iter().map(|ticket| ticket.number.as_str()));
    let listed: HashSet<String> =
        tickets.iter().filter(|ticket| !is_void(ticket)).map(|ticket| numbers.key(&ticket.number)).collect();
    let mut sums: HashMap<String, (Head, Decimal)> = HashMap::new();
    for draft in drafts.iter().filter(|draft| draft.standing == Standing::Counted) {
        let key = draft.stated.ticket.as_deref().map(|ticket| numbers.key(ticket));
        if let Some(key) = key.filter(|key| !listed.contains(key)) {
            let sum = sums.entry(key).or_default();
            sum.0 = sum.0.plus(draft.stated.head.unwrap_or_default());
            sum.1 += draft.stated.gross.map(Weight::amount).unwrap_or_default();
        }
    }
    sums.into_values().map(|(head, gross)| (head, gross.normalize())).collect()
}

fn paper(ticket: &StatedTicket) -> PaperTicket {
    PaperTicket {
        number: ticket.number.clone(),
        date: ticket.date,
        head: ticket.head,
        first_transaction: ticket.first_transaction,
        last_transaction: ticket.last_transaction,
    }
}
