//! The export's own total rows, as tickets.

use std::collections::HashMap;

use crate::draft::{Draft, StatedTotal};
use crate::ticket::{StatedTicket, TicketSource, TicketStatus};

/// The tickets that total rows state. A total that names no ticket belongs to the one ticket of the drafts above it; one
/// that adds up several tickets, such as the day's, is no ticket.
#[must_use]
pub fn as_tickets(totals: &[StatedTotal], drafts: &[Draft]) -> Vec<StatedTicket> {
    let by_id: HashMap<&str, &Draft> = drafts.iter().map(|draft| (draft.id.as_str(), draft)).collect();
    totals.iter().filter_map(|total| as_ticket(total, &by_id)).collect()
}

fn as_ticket(total: &StatedTotal, by_id: &HashMap<&str, &Draft>) -> Option<StatedTicket> {
    let above: Vec<&Draft> = total.above.iter().filter_map(|id| by_id.get(id.as_str()).copied()).collect();
    let first = above.first();
    let number = total.ticket.clone().or_else(|| {
        let ticket = first?.ticket.as_ref()?;
        above.iter().all(|draft| draft.ticket.as_ref() == Some(ticket)).then(|| ticket.clone())
    })?;
    let common = |field: fn(&Draft) -> Option<&String>| {
        let value = field(first?)?;
        above.iter().all(|draft| field(draft) == Some(value)).then(|| value.clone())
    };
    Some(StatedTicket {
        number,
        source: TicketSource::ExportTotal,
        line: Some(total.origin.line),
        export: Some(total.origin.export.clone()),
        date: None,
        lot: total.lot.clone().or_else(|| common(|draft| draft.lot.as_ref())),
        kind: common(|draft| draft.kind.as_ref()),
        consignor: common(|draft| draft.consignor.as_ref()),
        buyer: common(|draft| draft.buyer.as_ref()),
        weigher: common(|draft| draft.weigher.as_ref()),
        status: TicketStatus::Valid,
        replaces: None,
        head: total.head,
        gross: total.gross,
        average: None,
        shrink_percent: None,
        pay_weight: None,
        price: None,
        value: None,
        first_transaction: None,
        last_transaction: None,
    })
}
