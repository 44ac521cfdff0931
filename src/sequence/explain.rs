//! Explains the numbers of all indicators.

use std::collections::BTreeSet;

use super::book::Book;
use super::ends::Ends;
use super::events::tell;
use super::findings;
use super::known::Known;
use super::merge::strands;
use super::model::{Event, EventKind, Session};
use super::paper::Paper;
use super::run::Run;
use super::search::least_cost;
use super::sessions::{session_id, sum_up};
use crate::draft::{Draft, Standing};
use crate::finding::Finding;

/// The run of the numbers, explained.
#[derive(Debug, Clone, Default)]
pub struct Sequence {
    /// All drafts, in the order of the weighings, with session and standing.
    pub drafts: Vec<Draft>,
    /// What happened with the numbers.
    pub events: Vec<Event>,
    /// The sessions.
    pub sessions: Vec<Session>,
    /// What a person should know of it.
    pub findings: Vec<Finding>,
}

/// Explains the numbers of all drafts, one run per indicator.
#[must_use]
pub fn explain(drafts: Vec<Draft>, known: &Known) -> Sequence {
    let mut out = Sequence::default();
    let strands = strands(drafts);
    let paper = Paper::of(&known.tickets, &strands);
    let book = Book::of(&known.tickets, &strands);
    let desk = Desk { known, paper: &paper, book: &book, alone: strands.len() == 1 };
    for strand in strands {
        explain_strand(&mut out, strand, &desk);
    }
    out.findings = findings::of_events(&out.events, &out.drafts);
    out
}

/// What is at hand while the strands are explained, beside their rows.
struct Desk<'a> {
    known: &'a Known,
    paper: &'a Paper,
    book: &'a Book<'a>,
    /// Whether there is only one strand.
    alone: bool,
}

fn explain_strand(out: &mut Sequence, mut strand: Vec<Draft>, desk: &Desk<'_>) {
    // A row that could not be read whole names no scale, so its number may be any indicator's.
    let legible: BTreeSet<_> = desk.known.legible.iter().map(|(_, number)| *number).collect();
    let run = Run::of(&strand, &legible, desk.paper);
    let explanation = least_cost(&run);
    let told = tell(&run, &explanation);
    let clock_leapt = told.events.iter().any(|event| event.kind == EventKind::Clock);
    let ends = Ends { strand: &strand, book: desk.book, last: explanation.last, alone: desk.alone, clock_leapt };
    let (before, after) = (ends.before_first(), ends.after_last(&legible));
    for index in &told.reprints {
        if let Some(draft) = strand.get_mut(*index) {
            draft.standing = as_reprint(draft.standing);
        }
    }
    let first_session = out.sessions.len();
    let sessions = sum_up(&strand, &told.session_of, first_session);
    for (draft, session) in strand.iter_mut().zip(&told.session_of) {
        draft.session = Some(session_id(first_session + session));
    }
    out.events.extend(before.into_iter().chain(told.events).chain(after));
    out.sessions.extend(sessions);
    if out.drafts.is_empty() {
        // A long run is moved, not copied.
        out.drafts = strand;
    } else {
        out.drafts.extend(strand);
    }
}

/// The standing a row takes on as a copy.
const fn as_reprint(standing: Standing) -> Standing {
    match standing {
        Standing::Counted | Standing::Recovered => Standing::Reprint,
        other => other,
    }
}
