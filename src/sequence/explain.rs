//! Explains the numbers of all indicators.

use std::collections::BTreeSet;

use super::ends;
use super::findings;
use super::known::Known;
use super::merge::strands;
use super::model::{Event, Session};
use super::sessions::{session_id, sum_up};
use super::walk::{as_reprint, walk};
use crate::draft::Draft;
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
    // Which indicator a ticket of the paper belongs to can only be told where there is one.
    let known_ends = if strands.len() == 1 { known.clone() } else { Known::default() };
    for strand in strands {
        explain_strand(&mut out, strand, known, &known_ends);
    }
    out.findings = findings::of_events(&out.events, &out.drafts);
    out
}

fn explain_strand(out: &mut Sequence, mut strand: Vec<Draft>, known: &Known, known_ends: &Known) {
    let indicator = strand.first().map(|draft| draft.indicator.clone()).unwrap_or_default();
    let legible: BTreeSet<_> =
        known.legible.iter().filter(|(of, _)| *of == indicator).map(|(_, number)| *number).collect();
    let walked = walk(&strand, &legible);
    for index in &walked.reprints {
        if let Some(draft) = strand.get_mut(*index) {
            draft.standing = as_reprint(draft.standing);
        }
    }
    let first_session = out.sessions.len();
    let sessions = sum_up(&strand, &walked.session_of, first_session);
    for (draft, session) in strand.iter_mut().zip(&walked.session_of) {
        draft.session = Some(session_id(first_session + session));
    }
    out.events.extend(ends::before_first(&strand, known_ends));
    out.events.extend(walked.events);
    out.events.extend(ends::after_last(&strand, known_ends, &legible));
    out.sessions.extend(sessions);
    out.drafts.extend(strand);
}
