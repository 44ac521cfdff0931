//! The one test binary: every test of the project is a module of it.
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

mod support;

mod architecture;
mod bad_input;
mod checksums;
mod command_help;
mod conservation;
mod device_reading;
mod division_twin;
mod drive_list;
mod export_copies;
mod export_decisions;
mod export_faults;
mod export_reading;
mod fat_damage;
mod fat_facts;
mod fat_hostile;
mod fat_judged;
mod fat_listing;
mod fat_mutations;
mod fat_reading;
mod foreign_formats;
mod formatted_sticks;
mod generated_exports;
mod generated_exports_scored;
mod layout_files;
mod layouts;
mod ledger_csv;
mod ledger_totals;
mod ledger_writing;
mod lenient_reading;
mod main_job;
mod mounted_drives;
mod mutation_truth;
mod never_written;
mod no_source;
mod partition_tables;
mod reconciling;
mod report_document;
mod report_page;
mod sale_days;
mod same_day;
mod sample_day;
mod screen;
mod sequence_events;
mod sequence_texts;
mod sequence_twin;
mod stick_opening;
mod stick_suitability;
mod structure_reads;
mod targets;
mod ticket_days;
mod ticket_days_scored;
mod ticket_lists;
mod ticket_stories;
mod weights;
