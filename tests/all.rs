//! Every test of the project, in one binary.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::print_stderr)]

mod support;

mod fat_damage;
mod fat_facts;
mod fat_hostile;
mod fat_reading;
mod stick_opening;
mod stick_suitability;
