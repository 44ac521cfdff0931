//! The checksum of every file, so that a volume can be compared with what other tools read from it.

use sha2::{Digest, Sha256};

use super::survey::Survey;
use crate::stick::{ByteSource, Medium, ReadFault};

/// Files are read in pieces of this many bytes (1 MiB).
const PIECE: usize = 1 << 20;

/// Fills in the SHA-256 of every file of which all bytes can be read.
///
/// Thousands of deleted entries may claim the same bytes: no more is read in all than twice what the medium holds.
pub fn hash_files(survey: &mut Survey, medium: &Medium) {
    let files = survey.volumes.iter_mut().flat_map(|volume| &mut volume.files);
    let mut left = match medium {
        Medium::Raw(source) => source.size().saturating_mul(2),
        Medium::Files(_) => u64::MAX,
    };
    for file in files {
        let Some(rest) = left.checked_sub(file.bytes_had()) else { continue };
        left = rest;
        let hash = file.open(medium).ok().and_then(|bytes| sha256(bytes.as_ref()).ok());
        file.sha256 = hash;
    }
}

/// SHA-256 of all bytes, in lower-case hexadecimal.
fn sha256(bytes: &dyn ByteSource) -> Result<String, ReadFault> {
    let mut hash = Sha256::new();
    let mut buffer = vec![0; PIECE];
    let mut at = 0;
    while at < bytes.size() {
        let length = usize::try_from(bytes.size() - at).unwrap_or(PIECE).min(PIECE);
        let piece = buffer.get_mut(..length).unwrap_or_default();
        bytes.read_at(at, piece)?;
        hash.update(&piece);
        at += length as u64;
    }
    Ok(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
}
