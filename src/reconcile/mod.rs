//! Lays drafts and tickets side by side.
//!
//! `assign` says which drafts belong to which ticket (`division` where no number does), `judge` compares one ticket with its drafts, `holes` explains
//! differences by lost drafts, `balance` sums everything up, `run` puts them together.

mod assign;
mod balance;
mod division;
pub mod findings;
mod holes;
mod in_words;
mod judge;
mod loose_totals;
mod model;
pub mod pay;
mod run;
mod totals;

pub use assign::SaleDays;
pub use model::{Balance, Explanation, ExplanationKind, Found, HeadAndGross, Outcome, Reconciled, TicketResult};
pub use run::{Sides, beside_own_totals, reconcile};
pub use totals::own_totals;
