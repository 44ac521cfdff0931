//! Bytes that can be read at any place and never written.

use thiserror::Error;

use crate::units::Checksum;

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

/// Sources are read in pieces of this many bytes (64 KiB).
const PIECE: usize = 64 << 10;

/// The SHA-256 of all bytes, in lower-case hexadecimal.
///
/// # Errors
/// The first [`ReadFault`].
pub fn checksum(bytes: &dyn ByteSource) -> Result<String, ReadFault> {
    let mut sum = Checksum::default();
    let mut block = vec![0; PIECE];
    let mut at = 0;
    while at < bytes.size() {
        let length = usize::try_from(bytes.size() - at).unwrap_or(PIECE).min(PIECE);
        let piece = block.get_mut(..length).unwrap_or_default();
        bytes.read_at(at, piece)?;
        sum.add(piece);
        at += length as u64;
    }
    Ok(sum.finish())
}
