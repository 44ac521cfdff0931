//! Sessions: stretches of one indicator's weighings in which the counter was not set.

use crate::draft::Draft;
use crate::units::{Head, Weight};

use super::model::Session;

/// Sums up each session of a strand; `session_of` says to which each row belongs.
#[must_use]
pub fn sum_up(strand: &[Draft], session_of: &[usize], first_id: usize) -> Vec<Session> {
    let mut sessions: Vec<Session> = Vec::new();
    let mut current = None;
    for (draft, session) in strand.iter().zip(session_of) {
        if current != Some(*session) {
            current = Some(*session);
            sessions.push(empty(draft, first_id + sessions.len()));
        }
        if let Some(session) = sessions.last_mut().filter(|_| draft.counts()) {
            add(session, draft);
        }
    }
    sessions
}

/// The id of the n-th session, counted from 0.
#[must_use]
pub fn session_id(n: usize) -> String {
    format!("session-{}", n + 1)
}

fn empty(draft: &Draft, n: usize) -> Session {
    Session {
        id: session_id(n),
        indicator: draft.indicator.clone(),
        first_transaction: None,
        last_transaction: None,
        from: None,
        to: None,
        drafts: 0,
        head: Head(0),
        gross: None,
        unit: None,
    }
}

fn add(session: &mut Session, draft: &Draft) {
    session.first_transaction = session.first_transaction.or(draft.stated.transaction);
    session.last_transaction = draft.stated.transaction.or(session.last_transaction);
    session.from = session.from.or(draft.stated.at);
    session.to = draft.stated.at.or(session.to);
    session.head = session.head.plus(draft.stated.head.unwrap_or_default());
    session.gross = match (session.drafts, session.gross, draft.stated.gross) {
        (0, _, gross) => gross,
        (_, Some(sum), Some(gross)) => sum.plus(gross),
        // Units differed before, or this draft has no weight: the sum stays what it is.
        (_, sum, None) => sum,
        (_, None, Some(_)) => None,
    };
    session.unit = session.gross.and_then(Weight::unit);
    session.drafts += 1;
}
