//! Unpacks gzip and zstd files into memory, within bounds.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use flate2::read::MultiGzDecoder;

use super::bytes::ByteSource;
use super::error::OpenError;
use super::sparse::SparseBytes;

/// How much is unpacked at most, so that a small hostile file cannot fill the memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnpackBounds {
    /// Total length in bytes, zeros included.
    pub total_bytes: u64,
    /// Bytes kept in memory: chunks of 64 KiB that hold anything but zeros.
    pub kept_bytes: u64,
}

impl Default for UnpackBounds {
    /// 64 GiB in all, 1 GiB of content: a full image of the largest stick in common use, and what a computer can hold.
    fn default() -> Self {
        Self { total_bytes: 64 << 30, kept_bytes: 1 << 30 }
    }
}

/// A way of packing, known by the first bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Packing {
    /// RFC 1952.
    Gzip,
    /// RFC 8878.
    Zstd,
}

impl Packing {
    /// Knows the packing by its magic: 1F 8B 08 (RFC 1952 2.3.1), 28 B5 2F FD (RFC 8878 3.1.1).
    pub(super) fn of(head: &[u8]) -> Option<Self> {
        match head {
            [0x1F, 0x8B, 0x08, ..] => Some(Self::Gzip),
            [0x28, 0xB5, 0x2F, 0xFD, ..] => Some(Self::Zstd),
            _ => None,
        }
    }

    /// The name people know it by.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Gzip => "gzip",
            Self::Zstd => "zstd",
        }
    }
}

/// What came out, and why it ended early if it did.
pub(super) struct Unpacked {
    /// The bytes.
    pub bytes: SparseBytes,
    /// Why unpacking stopped before the end.
    pub cut: Option<String>,
}

/// Unpacks the file at `path`.
///
/// # Errors
/// [`OpenError`] when the file cannot be opened or nothing at all comes out of it.
pub(super) fn unpack(path: &Path, packing: Packing, bounds: UnpackBounds) -> Result<Unpacked, OpenError> {
    let file = File::open(path).map_err(|error| OpenError::from_io(path, &error))?;
    let unpacked = match packing {
        Packing::Gzip => fill(MultiGzDecoder::new(BufReader::new(file)), bounds),
        Packing::Zstd => match zstd::stream::read::Decoder::new(file) {
            Ok(decoder) => fill(decoder, bounds),
            Err(error) => Unpacked { bytes: SparseBytes::default(), cut: Some(error.to_string()) },
        },
    };
    let name = || path.display().to_string();
    match (unpacked.bytes.size(), unpacked.cut) {
        (0, Some(reason)) => Err(OpenError::NothingUnpacked { path: name(), reason }),
        (0, None) => Err(OpenError::Empty { path: name() }),
        (_, cut) => Ok(Unpacked { bytes: unpacked.bytes, cut }),
    }
}

fn fill(mut reader: impl Read, bounds: UnpackBounds) -> Unpacked {
    let mut bytes = SparseBytes::default();
    let mut chunk = vec![0; SparseBytes::CHUNK_BYTES];
    let cut = loop {
        let (length, stop) = fill_chunk(&mut reader, &mut chunk);
        bytes.push_chunk(chunk.get(..length).unwrap_or_default());
        if let Some(reason) = stop {
            break Some(reason);
        }
        if length < SparseBytes::CHUNK_BYTES {
            break None;
        }
        if bytes.size() >= bounds.total_bytes {
            break Some(format!("more than {} bytes came out of it", bounds.total_bytes));
        }
        if bytes.kept_bytes() >= bounds.kept_bytes {
            break Some(format!("more than {} bytes of content came out of it", bounds.kept_bytes));
        }
    };
    Unpacked { bytes, cut }
}

/// Reads until the chunk is full, the stream ends or fails; gives the length read and the failure.
fn fill_chunk(reader: &mut impl Read, chunk: &mut [u8]) -> (usize, Option<String>) {
    let mut length = 0;
    while let Some(rest) = chunk.get_mut(length..).filter(|rest| !rest.is_empty()) {
        match reader.read(rest) {
            Ok(0) => break,
            Ok(read) => length += read,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => return (length, Some(error.to_string())),
        }
    }
    (length, None)
}
