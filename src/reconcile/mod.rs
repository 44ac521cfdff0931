//! Lays drafts and tickets side by side.

mod model;

pub use model::{Balance, Explanation, ExplanationKind, Found, HeadAndGross, Outcome, TicketResult};
