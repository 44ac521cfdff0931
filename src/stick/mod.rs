//! Opens a stick, read-only.
mod bytes;
pub use bytes::{ByteSource, ReadFault};
