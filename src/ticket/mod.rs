//! Reads the typed list of the paper tickets.

mod model;

pub use model::{StatedTicket, TicketSource, TicketStatus};
