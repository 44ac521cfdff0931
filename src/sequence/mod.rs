//! Explains the run of the numbers: sessions, gaps, restarts, reprints.
//!
//! `merge` makes one run per indicator, `walk` goes along it and takes the cheapest of the `stories` at each break (their
//! prices stand in `costs`), `ends` looks before the first and after the last row, `sessions` sums up.

mod costs;
mod ends;
mod explain;
pub mod findings;
mod known;
mod merge;
mod model;
mod pace;
mod sessions;
mod stories;
mod walk;

pub use explain::{Sequence, explain};
pub use known::{Known, PaperTicket};
pub use model::{Event, EventKind, Session};
