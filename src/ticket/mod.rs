//! Reads the typed list of the paper tickets.

pub mod findings;
mod model;
mod read;

pub use model::{StatedTicket, TicketSource, TicketStatus};
pub use read::{TicketList, read};
