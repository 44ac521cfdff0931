//! Reads a livestock scale's stick, explains what is missing, ties drafts to tickets, writes a ledger that proves itself.
//!
//! Data flows one way, from the stick to the ledger. The modules stand here in that order, and a file names only
//! modules that stand above its own; a test holds it so. Nothing in the library prints, exits or looks at the clock.

pub mod units;

pub mod finding;

pub mod stick;

pub mod volume;

pub mod export;

pub mod draft;

pub mod sequence;

pub mod ticket;

pub mod reconcile;

pub mod day;

pub mod ledger;

pub mod report;
