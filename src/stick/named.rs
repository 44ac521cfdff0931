//! What a typed path names: a device by its name, a drive by its letter, or anything else.

use std::path::{Path, PathBuf};

/// What a path names, as far as its text tells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Named {
    /// A device, to be read raw.
    Device(PathBuf),
    /// A folder, a file, or a device that only the system can tell from one.
    Path(PathBuf),
}

impl Named {
    /// What `typed` names on this system.
    #[must_use]
    pub fn here(typed: &Path) -> Self {
        if cfg!(windows) { Self::on_windows(&typed.to_string_lossy()) } else { Self::Path(typed.to_owned()) }
    }

    /// What `typed` names on Windows: `\\.\E:` and `\\.\PhysicalDrive1` are devices, `E:` alone means the top folder of that
    /// drive and not whatever folder of it was last used (naming: from memory, Win32 "Naming Files, Paths, and Namespaces").
    #[must_use]
    pub fn on_windows(typed: &str) -> Self {
        let by_backslash = typed.replace('/', "\\");
        if by_backslash.starts_with(r"\\.\") {
            // With a backslash behind it, the same name would mean the top folder.
            return Self::Device(PathBuf::from(by_backslash.trim_end_matches('\\')));
        }
        let letters = by_backslash.as_bytes();
        match letters {
            [letter, b':'] if letter.is_ascii_alphabetic() => Self::Path(PathBuf::from(format!("{by_backslash}\\"))),
            _ => Self::Path(PathBuf::from(typed)),
        }
    }

    /// The path to ask the system about.
    #[must_use]
    pub fn path(&self) -> &Path {
        match self {
            Self::Device(path) | Self::Path(path) => path,
        }
    }
}

/// Whether a character device of this name is a drive: macOS calls the raw device of `/dev/disk2` `/dev/rdisk2` (from
/// memory, its manual of `diskutil`).
#[must_use]
pub fn is_raw_disk(path: &Path) -> bool {
    let name = path.file_name().map(|name| name.to_string_lossy()).unwrap_or_default();
    let rest = name.strip_prefix("rdisk").unwrap_or_default();
    rest.starts_with(|first: char| first.is_ascii_digit())
        && rest.chars().all(|letter| letter.is_ascii_digit() || letter == 's')
}
