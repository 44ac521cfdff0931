//! Bytes held in memory, where stretches of zeros take none.

use super::bytes::{ByteSource, ReadFault};
use super::file_bytes::within;

/// The length of one chunk in bytes.
const CHUNK: usize = 64 * 1024;

/// What an empty chunk is compared with and read as.
static ZEROS: [u8; CHUNK] = [0; CHUNK];

/// Bytes in chunks of 64 KiB; a chunk of zeros alone is not kept. A stick's image is mostly that.
#[derive(Debug, Default)]
pub struct SparseBytes {
    chunks: Vec<Option<Box<[u8]>>>,
    size: u64,
    kept: u64,
}

impl SparseBytes {
    /// The length of a chunk in bytes; only the last one pushed may be shorter.
    pub const CHUNK_BYTES: usize = CHUNK;

    /// How many bytes are held in memory.
    #[must_use]
    pub const fn kept_bytes(&self) -> u64 {
        self.kept
    }

    /// Adds the next chunk: [`Self::CHUNK_BYTES`] long, or shorter if it is the last one.
    pub(crate) fn push_chunk(&mut self, chunk: &[u8]) {
        if ZEROS.get(..chunk.len()) == Some(chunk) {
            self.chunks.push(None);
        } else {
            self.chunks.push(Some(chunk.into()));
            self.kept = self.kept.saturating_add(chunk.len() as u64);
        }
        self.size = self.size.saturating_add(chunk.len() as u64);
    }

    fn copy_piece(&self, at: u64, buffer: &mut [u8]) -> usize {
        let inside = (at % CHUNK as u64) as usize;
        let length = buffer.len().min(CHUNK - inside);
        let chunk = usize::try_from(at / CHUNK as u64).ok().and_then(|index| self.chunks.get(index));
        let stored = chunk.and_then(|chunk| chunk.as_deref()).and_then(|bytes| bytes.get(inside..inside + length));
        if let Some(target) = buffer.get_mut(..length) {
            match stored {
                Some(bytes) => target.copy_from_slice(bytes),
                None => target.fill(0),
            }
        }
        length
    }
}

impl ByteSource for SparseBytes {
    fn size(&self) -> u64 {
        self.size
    }

    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault> {
        within(self.size, at, buffer.len())?;
        let mut done = 0;
        while let Some(rest) = buffer.get_mut(done..).filter(|rest| !rest.is_empty()) {
            done += self.copy_piece(at + done as u64, rest);
        }
        Ok(())
    }
}
