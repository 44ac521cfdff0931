//! What a ticket list shows by itself.

use std::collections::BTreeMap;

use super::model::{StatedTicket, TicketStatus};
use super::read::TicketList;
use crate::export::DateOrder;
use crate::export::findings::DATE_ORDER_UNCERTAIN;
use crate::finding::{Finding, Place, Severity, kinds};
use crate::units::{LineNo, TicketNumbers};

kinds! {
    /// The ticket list, or a line of it, cannot be used.
    ///
    /// A list needs a header line with a column "ticket" and a column "head" or "gross", in any order. A line whose figures
    /// cannot be read is left out, so its ticket is not compared.
    ///
    /// How we know: the header names no such column, or a cell does not hold what its column holds everywhere else.
    ///
    /// What to do: `counterfoil tickets --to FILE` writes a list to fill in; keep its header.
    TICKETS_UNUSABLE = "tickets-unusable";

    /// A ticket number stands twice in the list.
    ///
    /// Scale tickets are numbered serially and each is used once. A line typed twice, word for word, is taken once. Two
    /// different lines are both kept, and neither can be trusted.
    ///
    /// How we know: two lines have the same number and the same date.
    ///
    /// What to do: look at the paper, and take out the line that is wrong.
    ///
    /// Source: 9 CFR 201.49(a) (from memory).
    TICKET_REPEATED = "ticket-repeated";

    /// A ticket is marked void.
    ///
    /// It keeps its number and expects nothing. A wrong ticket is marked void and kept, never overwritten.
    ///
    /// How we know: the list's column "status" says so.
    ///
    /// What to do: keep the void paper with the others.
    ///
    /// Source: from memory, unsure.
    TICKET_VOID = "ticket-void";
}

/// The whole list is of no use.
#[must_use]
pub fn list_unusable(name: &str, reason: &str) -> Finding {
    Finding::new(&TICKETS_UNUSABLE, Severity::Fault, format!("The ticket list {name} cannot be used: {reason}"))
        .detail("Everything else was done. Nothing was compared with the paper.")
        .next_step("Run \"counterfoil tickets --to FILE\" for a list to fill in, and keep its header line.")
}

/// One line of the list is of no use.
#[must_use]
pub fn row_unusable(name: &str, line: LineNo, reason: &str) -> Finding {
    Finding::new(&TICKETS_UNUSABLE, Severity::Fault, format!("{name}, line {line} cannot be used: {reason}"))
        .detail("Its ticket was not compared with the drafts.")
        .at(Place { line: Some(line), ..Place::default() })
        .pointer("this line")
        .next_step("Correct the line in the list and run again.")
}

/// Day and month of the list's dates could be the other way round.
#[must_use]
pub fn dates_uncertain(name: &str, read_as: DateOrder) -> Finding {
    Finding::new(&DATE_ORDER_UNCERTAIN, Severity::Caution, format!("{name}: day and month could be exchanged"))
        .detail(format!(
            "Every date in the list is a real date both ways. It was read as the likelier order: {}.",
            read_as.words()
        ))
        .next_step("Write the dates as YYYY-MM-DD, or run again with --date-order mdy or --date-order dmy.")
}

/// Tells repeated and void tickets; a line typed twice word for word is taken out.
pub fn settle_repeats(list: &mut TicketList) {
    let mut first_lines: BTreeMap<(String, Option<chrono::NaiveDate>), StatedTicket> = BTreeMap::new();
    let numbers = TicketNumbers::of(list.tickets.iter().map(|ticket| ticket.number.as_str()));
    let mut kept = Vec::with_capacity(list.tickets.len());
    for ticket in std::mem::take(&mut list.tickets) {
        let key = (numbers.key(&ticket.number), ticket.date);
        let first = first_lines.get(&key);
        if let Some(first) = first {
            list.findings.push(repeated(first, &ticket));
        }
        if first.is_none_or(|first| !same_but_line(first, &ticket)) {
            first_lines.entry(key).or_insert_with(|| ticket.clone());
            kept.push(ticket);
        }
    }
    list.findings.extend(kept.iter().filter(|ticket| ticket.status == TicketStatus::Void).map(void));
    list.tickets = kept;
}

fn same_but_line(first: &StatedTicket, again: &StatedTicket) -> bool {
    StatedTicket { line: first.line, ..again.clone() } == *first
}

fn repeated(first: &StatedTicket, again: &StatedTicket) -> Finding {
    let same = same_but_line(first, again);
    let line = |ticket: &StatedTicket| ticket.line.map(|line| line.to_string()).unwrap_or_default();
    let detail = if same {
        "Both lines say the same, so it was taken once."
    } else {
        "The two lines differ. Both were kept, and neither can be trusted."
    };
    Finding::new(&TICKET_REPEATED, Severity::Caution, format!("Ticket {} stands twice in the list", first.number))
        .detail(detail)
        .evidence("lines of the list", format!("{} and {}", line(first), line(again)))
        .at(Place { line: again.line, ..Place::ticket(&again.number) })
        .pointer(format!("ticket {} again", again.number))
        .next_step("Look at the paper and take out the line that is wrong.")
}

fn void(ticket: &StatedTicket) -> Finding {
    Finding::new(&TICKET_VOID, Severity::Note, format!("Ticket {} is marked void", ticket.number))
        .detail("It keeps its number and expects no drafts.")
        .at(Place { line: ticket.line, ..Place::ticket(&ticket.number) })
        .next_step("Keep the void paper with the others.")
}
