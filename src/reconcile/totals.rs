//! The export's own total rows, as tickets.

use std::collections::{BTreeMap, HashMap};

use chrono::NaiveDate;

use super::assign::SaleDays;
use super::loose_totals::loose_totals;
use crate::draft::{Draft, StatedTotal};
use crate::finding::Finding;
use crate::ticket::{StatedTicket, TicketSource};
use crate::units::{LineNo, ticket_key};

/// The tickets that total rows state. A total that names no ticket belongs to the one ticket of the drafts above it; one
/// that adds up several tickets, such as the day's, is no ticket. Where a ticket has several totals, as after a second
/// printing, the last one stands.
fn as_tickets(totals: &[StatedTotal], drafts: &[Draft], days: &SaleDays) -> Vec<StatedTicket> {
    let by_id: HashMap<&str, &Draft> = drafts.iter().map(|draft| (draft.id.as_str(), draft)).collect();
    let written = Written::of(drafts);
    let all: Vec<_> = totals.iter().filter_map(|total| as_ticket(total, &by_id, &written, days)).collect();
    let mut last: HashMap<(String, Option<NaiveDate>), usize> = HashMap::new();
    for (place, ticket) in all.iter().enumerate() {
        last.insert((ticket_key(&ticket.number), ticket.date), place);
    }
    let stands =
        |(place, ticket): &(usize, StatedTicket)| last.get(&(ticket_key(&ticket.number), ticket.date)) == Some(place);
    all.into_iter().enumerate().filter(stands).map(|(_, ticket)| ticket).collect()
}

/// What the export's own totals come to: its tickets, and what totals without a ticket show.
#[must_use]
pub fn own_totals(totals: &[StatedTotal], drafts: &[Draft], days: &SaleDays) -> (Vec<StatedTicket>, Vec<Finding>) {
    let by_id: HashMap<&str, &Draft> = drafts.iter().map(|draft| (draft.id.as_str(), draft)).collect();
    let written = Written::of(drafts);
    let names_ticket = |total: &StatedTotal| as_ticket(total, &by_id, &written, days).is_some();
    (as_tickets(totals, drafts, days), loose_totals(totals, drafts, names_ticket))
}

fn as_ticket(
    total: &StatedTotal,
    by_id: &HashMap<&str, &Draft>,
    written: &Written<'_>,
    days: &SaleDays,
) -> Option<StatedTicket> {
    let above: Vec<&Draft> = total.above.iter().filter_map(|id| by_id.get(id.as_str()).copied()).collect();
    let first = above.first();
    let number = total.ticket.clone().or_else(|| {
        let ticket = first?.stated.ticket.as_ref()?;
        above.iter().all(|draft| draft.stated.ticket.as_ref() == Some(ticket)).then(|| ticket.clone())
    })?;
    let common = |field: fn(&Draft) -> Option<&String>| {
        let value = field(first?)?;
        above.iter().all(|draft| field(draft) == Some(value)).then(|| value.clone())
    };
    Some(StatedTicket {
        line: Some(total.origin.line),
        export: Some(total.origin.export.clone()),
        date: first.copied().or_else(|| written.last_before(total)).and_then(|draft| days.get(&draft.id).copied()),
        lot: total.lot.clone().or_else(|| common(|draft| draft.stated.lot.as_ref())),
        kind: common(|draft| draft.stated.kind.as_ref()),
        consignor: common(|draft| draft.stated.consignor.as_ref()),
        buyer: common(|draft| draft.stated.buyer.as_ref()),
        weigher: common(|draft| draft.stated.weigher.as_ref()),
        head: total.head,
        gross: total.gross,
        ..StatedTicket::numbered(number, TicketSource::ExportTotal)
    })
}

/// Where the drafts of each ticket stand in each export.
#[derive(Default)]
struct Written<'d> {
    by_ticket: HashMap<(&'d str, String), BTreeMap<LineNo, &'d Draft>>,
}

impl<'d> Written<'d> {
    fn of(drafts: &'d [Draft]) -> Self {
        let mut written = Self::default();
        for draft in drafts {
            if let (Some(ticket), Some(origin)) = (&draft.stated.ticket, &draft.origin) {
                let place = (origin.export.as_str(), ticket_key(ticket));
                written.by_ticket.entry(place).or_default().insert(origin.line, draft);
            }
        }
        written
    }

    /// The last draft of a total's ticket written before it: a total printed again has no draft directly above.
    fn last_before(&self, total: &StatedTotal) -> Option<&'d Draft> {
        let ticket = ticket_key(total.ticket.as_deref()?);
        let rows = self.by_ticket.get(&(total.origin.export.as_str(), ticket))?;
        rows.range(..total.origin.line).next_back().map(|(_, draft)| *draft)
    }
}
