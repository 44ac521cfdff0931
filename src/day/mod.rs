//! Composes a run: examine, read, explain, reconcile.

mod model;

pub use model::{ChosenBy, Day, Period, SourceState};
