//! Lays drafts and tickets side by side.
//!
//! `assign` says which drafts belong to which ticket (`division` where no number does), `judge` compares one ticket with its drafts,
//! `search` looks for the stories that account for a difference (one file for each family) and `ranking` puts them in order,
//! `balance` sums everything up, `run` puts them together.

mod assign;
mod balance;
mod division;
pub mod findings;
mod holes;
mod in_order;
mod in_words;
mod judge;
mod loose_totals;
mod lost_drafts;
mod model;
mod moved_drafts;
mod pairs;
pub mod pay;
mod pay_slips;
mod ranking;
mod removed_head;
mod run;
mod search;
mod seen;
mod slips;
mod story;
mod totals;
mod two_tickets;

pub use assign::SaleDays;
pub use model::{Balance, Explanation, ExplanationKind, Found, HeadAndGross, Outcome, Reconciled, TicketResult};
pub use run::{Sides, beside_own_totals, reconcile};
pub use totals::own_totals;
