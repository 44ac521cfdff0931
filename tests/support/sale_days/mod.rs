//! Sale days made by seed, of which it is known what happened with the numbers, and the scoring of answers about them.
//!
//! Nothing here asks the program what it holds likely. A day is work first (lots, drafts, pauses), then an indicator counts it,
//! incidents happen to counter, clock, stick and rows, and only then is it printed. What is always so stands in [`laws`]; which
//! events can be told from their rows at all is found by exhaustive search in [`histories`].

pub mod answer;
pub mod chance;
pub mod histories;
pub mod incident;
pub mod indicator;
pub mod laws;
pub mod layout;
pub mod made;
pub mod program;
pub mod score;
pub mod shown;
pub mod truth;
pub mod work;

/// The seeds that whoever explains numbers may be developed with.
pub const WORKING_SEEDS: u64 = 1_000_000;

/// The seeds of the score. No single case of these is ever looked at.
pub const SCORING_SEEDS: u64 = 9_000_000;

/// How many days make up a score.
pub const DAYS: u64 = 2_000;
