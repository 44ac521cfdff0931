//! Checksums in the one form they are written in everywhere.

use sha2::{Digest, Sha256};

/// Bytes in lower-case hexadecimal.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The SHA-256 of all bytes (FIPS 180-4), in lower-case hexadecimal.
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    let mut sum = Checksum::default();
    sum.add(bytes);
    sum.finish()
}

/// A SHA-256 that grows piece by piece, for what is too large to be held at once.
#[derive(Debug, Clone, Default)]
pub struct Checksum(Sha256);

impl Checksum {
    /// Adds the next piece.
    pub fn add(&mut self, piece: &[u8]) {
        self.0.update(piece);
    }

    /// The checksum of everything added, in lower-case hexadecimal.
    #[must_use]
    pub fn finish(self) -> String {
        hex(&self.0.finalize())
    }
}
