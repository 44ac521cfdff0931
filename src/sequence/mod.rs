//! Explains the run of the numbers: sessions, gaps, restarts, reprints.
//!
//! `merge` makes one run per indicator (`turned`, `order`, `counters`); `stories` says what can have happened at each row, `costs` at what price, and
//! `search` finds the cheapest explanation of the whole run; `events` tells it and `reasons` says why; `ends` looks before
//! the first and after the last row; `sessions` sums up.

mod book;
mod costs;
mod counters;
mod ends;
mod events;
mod explain;
pub mod findings;
mod known;
mod leaps;
mod merge;
mod model;
mod order;
mod pace;
mod paper;
mod pauses;
mod reasons;
mod run;
pub mod search;
mod sessions;
mod stories;
mod trail;
mod turned;

pub use explain::{Sequence, explain};
pub use known::{Known, PaperTicket};
pub use model::{Event, EventKind, Session};
