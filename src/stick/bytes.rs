//! Bytes that can be read at any place and never written.

use thiserror::Error;

/// A run of bytes that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{length} bytes at byte {at} could not be read: {reason}")]
pub struct ReadFault {
    /// Where the run begins, in bytes from the start of the source.
    pub at: u64,
    /// How long it is, in bytes.
    pub length: u64,
    /// What the system said.
    pub reason: String,
}

/// Something with a size whose bytes can be read, and only read.
///
/// There is no method that writes; nothing that holds one of these can change a stick.
pub trait ByteSource {
    /// The size in bytes.
    fn size(&self) -> u64;

    /// Fills `buffer` from byte `at` on.
    ///
    /// # Errors
    /// A [`ReadFault`] when any of these bytes lies beyond the end or cannot be read; `buffer` is then unspecified.
    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault>;
}
