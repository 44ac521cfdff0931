//! All tests, in one binary.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::float_arithmetic
)]

mod architecture;
mod export_reading;
mod reconciling;
mod sequence_events;
mod support;
mod ticket_lists;
