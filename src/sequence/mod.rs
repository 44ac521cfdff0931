//! Explains the run of the numbers.

mod model;

pub use model::{Event, EventKind, Session};
