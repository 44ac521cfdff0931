//! The ledger: one column table for each of its lists, the files made from it, and totals that prove themselves.
//!
//! The sums are taken twice: once over the drafts and tickets of the run ([`totals`]), once over the text of the
//! very files that would be handed over ([`prove`]). Where the two differ no ledger is handed over at all.

mod columns;
mod control;
mod csv;
pub mod findings;
mod pay;
mod prepare;
mod proof;
mod rows;
mod ticket_list;
mod write;

pub use columns::{Cell, CellType, Column, draft_columns, ticket_columns};
pub use control::{Control, totals};
pub use csv::{guarded, table};
pub use pay::{draft_pay_weight, net, ticket_pay_weight};
pub use prepare::{Ledger, OutputFile, prepare};
pub use proof::prove;
pub use rows::{DraftRow, Rows, TicketRow};
pub use ticket_list::{BlankList, BlankTicket, ticket_list};
pub use write::{WriteError, Written, write_files};
