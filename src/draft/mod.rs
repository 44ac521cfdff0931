//! Turns rows into drafts and stated totals, each weighing once.

mod collect;
mod copies;
pub mod findings;
mod model;

pub use collect::{Weighings, collect};
pub use model::{Draft, Flag, Origin, Standing, StatedTotal};
