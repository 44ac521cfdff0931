//! The one test binary: every test of the project is a module of it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::print_stdout)]
#![allow(missing_docs)]

mod support;

mod ledger_csv;
mod ledger_totals;
mod ledger_writing;
mod report_document;
mod report_page;
mod weights;
