//! Turns rows into drafts and stated totals.

mod model;

pub use model::{Draft, Flag, Origin, Standing, StatedTotal};
