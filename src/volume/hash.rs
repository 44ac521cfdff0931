//! The checksum of every file, so that a volume can be compared with what other tools read from it.

use super::survey::Survey;
use crate::stick::{Medium, checksum};

/// Fills in the SHA-256 of every file of which all bytes can be read.
///
/// Thousands of deleted entries may claim the same bytes: no more is read in all than twice what the medium holds.
pub fn hash_files(survey: &mut Survey, medium: &Medium) {
    let files = survey.volumes.iter_mut().flat_map(|volume| &mut volume.files);
    let mut left = match medium {
        Medium::Raw(source) => source.size().saturating_mul(2),
        // Ordinary files lie apart; what a computer shows of a mounted volume never claims more than that.
        Medium::Mounted { .. } | Medium::Files(_) => u64::MAX,
    };
    for file in files {
        let Some(rest) = left.checked_sub(file.bytes_had()) else { continue };
        left = rest;
        let hash = file.open(medium).ok().and_then(|bytes| checksum(bytes.as_ref()).ok());
        file.sha256 = hash;
    }
}
