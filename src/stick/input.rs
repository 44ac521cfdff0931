//! Small files named by options, such as the ticket list.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::error::OpenError;

/// The largest such file in bytes: 64 MiB, a hundred times any ticket list.
pub const INPUT_LIMIT_BYTES: u64 = 64 << 20;

/// Reads the whole of a small file.
///
/// # Errors
/// [`OpenError`] when it does not exist, cannot be read, or holds more than `limit_bytes`.
pub fn read_small_file(path: &Path, limit_bytes: u64) -> Result<Vec<u8>, OpenError> {
    let failed = |error: &std::io::Error| OpenError::from_io(path, error);
    let file = File::open(path).map_err(|error| failed(&error))?;
    let stated = file.metadata().map_err(|error| failed(&error))?.len();
    let mut bytes = Vec::new();
    // One byte over the limit shows that there is more; what the system states about a pipe or device proves nothing.
    file.take(limit_bytes.saturating_add(1)).read_to_end(&mut bytes).map_err(|error| failed(&error))?;
    let size_bytes = stated.max(bytes.len() as u64);
    if size_bytes > limit_bytes {
        return Err(OpenError::TooLarge { path: path.display().to_string(), size_bytes, limit_bytes });
    }
    Ok(bytes)
}
