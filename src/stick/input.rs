//! Small files named by options, such as the ticket list.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use thiserror::Error;

/// The largest such file in bytes: 64 MiB, a hundred times any ticket list.
pub const INPUT_LIMIT_BYTES: u64 = 64 << 20;

/// Why a file named by an option could not be read. The caller says which option it was.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum InputError {
    /// Nothing stands at this path.
    #[error("there is no file {path}. Check the spelling and the folder.")]
    NotFound {
        /// The path as given.
        path: String,
    },
    /// It is a folder.
    #[error("{path} is a folder. Name the file in it.")]
    Folder {
        /// The path as given.
        path: String,
    },
    /// The system does not let us read it, or failed to.
    #[error("the file {path} could not be read ({reason}). Close it in other programs, or name a copy of it.")]
    Failed {
        /// The path as given.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// Larger than such a file is read.
    #[error(
        "the file {path} holds more than {} bytes, the most that is read of it. Name the right file.",
        crate::units::grouped(*limit_bytes)
    )]
    TooLarge {
        /// The path as given.
        path: String,
        /// The limit in bytes.
        limit_bytes: u64,
    },
}

impl InputError {
    fn from_io(path: &Path, error: &io::Error) -> Self {
        let name = path.display().to_string();
        match error.kind() {
            io::ErrorKind::NotFound => Self::NotFound { path: name },
            // Some systems open a folder and fail on reading it, others refuse to open it.
            _ if path.is_dir() => Self::Folder { path: name },
            _ => Self::Failed { path: name, reason: error.to_string() },
        }
    }
}

/// Reads the whole of a small file.
///
/// # Errors
/// [`InputError`] when it does not exist, cannot be read, or holds more than `limit_bytes`.
pub fn read_small_file(path: &Path, limit_bytes: u64) -> Result<Vec<u8>, InputError> {
    let failed = |error: &io::Error| InputError::from_io(path, error);
    let file = File::open(path).map_err(|error| failed(&error))?;
    let stated = file.metadata().map_err(|error| failed(&error))?.len();
    let mut bytes = Vec::new();
    // One byte over the limit shows that there is more; what the system states about a pipe or device proves nothing.
    file.take(limit_bytes.saturating_add(1)).read_to_end(&mut bytes).map_err(|error| failed(&error))?;
    if stated.max(bytes.len() as u64) > limit_bytes {
        return Err(InputError::TooLarge { path: path.display().to_string(), limit_bytes });
    }
    Ok(bytes)
}
