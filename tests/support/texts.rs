//! Exports and ticket lists written down as text, and what the library makes of them.

use std::collections::HashMap;

use counterfoil::draft::{self, Weighings};
use counterfoil::export::{self, DateHints, Export};
use counterfoil::finding::Finding;
use counterfoil::reconcile::{self, Reconciled, Sides};
use counterfoil::sequence::{self, Known, PaperTicket, Sequence};
use counterfoil::ticket;
use counterfoil::volume::FileState;

/// Text as an export that lies on a stick under this name.
pub fn export(name: &str, text: impl AsRef<[u8]>) -> Export {
    export_in(name, text, FileState::Live)
}

/// The same, deleted.
pub fn deleted_export(name: &str, text: impl AsRef<[u8]>) -> Export {
    export_in(name, text, FileState::Deleted)
}

fn export_in(name: &str, text: impl AsRef<[u8]>, state: FileState) -> Export {
    let bytes = text.as_ref();
    let content = export::read_content(bytes, &DateHints::default(), &|_| None).expect("this text is an export");
    Export {
        id: name.to_owned(),
        source: "s1".to_owned(),
        volume: None,
        path: Some(name.to_owned()),
        state,
        duplicate_of: None,
        size_bytes: bytes.len() as u64,
        sha256: String::new(),
        modified: None,
        layout: content.layout,
        text: content.text,
        rows: content.rows,
        counts: content.counts,
    }
}

/// The numbers of some exports, explained without any paper.
pub fn explained(exports: &[Export]) -> Sequence {
    explained_with(exports, &[])
}

/// The numbers of some exports, explained with tickets known from the paper.
pub fn explained_with(exports: &[Export], tickets: &[PaperTicket]) -> Sequence {
    let Weighings { drafts, legible, .. } = draft::collect(exports, false);
    sequence::explain(drafts, &Known { tickets: tickets.to_vec(), legible })
}

/// Events in short: `gap 19..21 20-20 1`, `restart 52..1`.
pub fn events(sequence: &Sequence) -> Vec<String> {
    let number = |number: Option<counterfoil::units::TransactionNo>| number.map_or("-".to_owned(), |n| n.to_string());
    let in_short = |event: &sequence::Event| {
        let kind = format!("{:?}", event.kind).to_lowercase();
        let around = format!("{kind} {}..{}", number(event.after), number(event.before));
        match event.missing {
            0 => around,
            missing => format!("{around} {}-{} {missing}", number(event.first_missing), number(event.last_missing)),
        }
    };
    sequence.events.iter().map(in_short).collect()
}

/// Some exports laid beside a ticket list.
pub fn reconciled(exports: &[Export], list: &str) -> Reconciled {
    let list = ticket::read(list.as_bytes(), "tickets.csv", &DateHints::default());
    assert!(list.usable, "{:?}", list.findings);
    let Weighings { drafts, totals, legible, .. } = draft::collect(exports, false);
    let paper = |ticket: &ticket::StatedTicket| PaperTicket {
        number: ticket.number.clone(),
        date: ticket.date,
        head: ticket.head,
        first_transaction: ticket.first_transaction,
        last_transaction: ticket.last_transaction,
    };
    let known = Known { tickets: list.tickets.iter().map(paper).collect(), legible };
    let sequence = sequence::explain(drafts, &known);
    let sides = Sides {
        drafts: &sequence.drafts,
        outside: &[],
        days: &HashMap::new(),
        totals: &totals,
        events: &sequence.events,
        list_given: true,
        shrink: None,
    };
    reconcile::reconcile(sides, list.tickets)
}

/// Some exports laid beside their own total rows.
pub fn by_own_totals(exports: &[Export]) -> Reconciled {
    let Weighings { drafts, totals, legible, .. } = draft::collect(exports, false);
    let sequence = sequence::explain(drafts, &Known { tickets: Vec::new(), legible });
    let days = sequence.drafts.iter().map(|draft| (draft.id.clone(), draft.stated.at.unwrap().date())).collect();
    let (tickets, loose) = reconcile::own_totals(&totals, &sequence.drafts, &days);
    let sides = Sides {
        drafts: &sequence.drafts,
        outside: &[],
        days: &days,
        totals: &totals,
        events: &sequence.events,
        list_given: false,
        shrink: None,
    };
    let mut reconciled = reconcile::reconcile(sides, tickets);
    reconciled.findings.extend(loose);
    reconciled
}

/// Tickets in short: `17 explained missing-draft 5 head 3450`.
pub fn outcomes(reconciled: &Reconciled) -> Vec<String> {
    let json = |value: &dyn erased::Json| value.json().trim_matches('"').to_owned();
    let in_short = |ticket: &reconcile::TicketResult| {
        let mut words = vec![ticket.stated.number.clone(), json(&ticket.outcome)];
        for story in &ticket.explanations {
            words.push(json(&story.kind));
            words.extend(story.transactions.iter().map(|number| format!("#{number}")));
            words.extend(story.head.map(|head| format!("{}hd", head.0)));
            words.extend(story.gross.map(|gross| gross.amount().to_string()));
        }
        words.join(" ")
    };
    reconciled.tickets.iter().map(in_short).collect()
}

/// The codes of findings, in order.
pub fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|finding| finding.code).collect()
}

/// Serialising behind a trait object, so that one closure serves several enums.
mod erased {
    pub trait Json {
        fn json(&self) -> String;
    }

    impl<T: serde::Serialize> Json for T {
        fn json(&self) -> String {
            serde_json::to_string(self).unwrap()
        }
    }
}
