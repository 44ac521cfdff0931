//! Quantities that must not be mixed: head, weights with their unit, percentages, money, numbers and places.
//!
//! No weight, head, percentage or amount of money is ever held as a binary fraction. Everything here is a whole
//! number or an exact decimal.

mod confidence;
mod counts;
mod hash;
mod money;
mod rounding;
mod ticket_no;
mod time;
mod weight;

pub use confidence::Confidence;
pub use counts::{Head, LineNo, TransactionNo, grouped};
pub use hash::{Checksum, hex, sha256};
pub use money::{Money, Price, PriceBasis};
pub use rounding::{Rounding, TieRule};
pub use rust_decimal::Decimal;
pub use ticket_no::{TicketNumbers, ticket_key, ticket_serial};
pub use time::{LocalTime, Precision};
pub use weight::{Percent, Unit, Weight};
