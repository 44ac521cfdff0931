//! Why a stick or a named file could not be opened at all.

use std::io;
use std::path::Path;

use thiserror::Error;

/// Nothing can be read; the run cannot go on with this source.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum OpenError {
    /// Nothing stands at this path.
    #[error("{path} does not exist. Check the spelling, and that the stick is plugged in.")]
    NotFound {
        /// The path as given.
        path: String,
    },
    /// The system does not let us read it.
    #[error(
        "{path} may not be read by this user ({reason}). Ask for the right to read it, or copy the files off the stick and name the copy."
    )]
    Refused {
        /// The path as given.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// The system lets this user read files, but not the device itself.
    #[error("{path} is a device, which this user may not read raw ({reason}). {}", crate::stick::with_the_right(path))]
    DeviceRefused {
        /// The path as given.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// The system failed to read it.
    #[error("{path} could not be read ({reason}). Try another USB port, or name a copy of it.")]
    Failed {
        /// The path as given.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// A file without a single byte.
    #[error("{path} is empty: it holds 0 bytes. Name another file, or copy it from the stick again.")]
    Empty {
        /// The path as given.
        path: String,
    },
    /// A packed image or file of which nothing came out.
    #[error(
        "{path} looks packed, but nothing could be unpacked ({reason}). Get the file again from whoever packed it."
    )]
    NothingUnpacked {
        /// The path as given.
        path: String,
        /// What the unpacker said.
        reason: String,
    },
    /// A drive without a stick or card in it.
    #[error("{path} is a drive with nothing in it. Put the stick in and wait until the computer shows it.")]
    NoMedium {
        /// The path as given.
        path: String,
    },
    /// Neither a file, a folder nor a drive.
    #[error("{path} is neither a file, a folder nor a drive. Name the stick, an image of it, its folder or one file.")]
    NotReadableKind {
        /// The path as given.
        path: String,
    },
}

impl OpenError {
    /// Says what the system said about the device at `path`.
    pub(crate) fn of_device(path: &Path, error: &io::Error) -> Self {
        match Self::from_io(path, error) {
            Self::Refused { path, reason } => Self::DeviceRefused { path, reason },
            other => other,
        }
    }

    /// Says what the system said about `path`.
    pub(crate) fn from_io(path: &Path, error: &io::Error) -> Self {
        let path = path.display().to_string();
        match error.kind() {
            io::ErrorKind::NotFound => Self::NotFound { path },
            io::ErrorKind::PermissionDenied => Self::Refused { path, reason: error.to_string() },
            _ => Self::Failed { path, reason: error.to_string() },
        }
    }
}
