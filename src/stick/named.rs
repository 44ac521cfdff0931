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
        if let Some(device) = by_backslash.strip_prefix(r"\\.\") {
            // With a backslash behind it, the same name would mean the top folder.
            let device = device.trim_end_matches('\\');
            let device = drive_letter(device).map_or_else(|| device.to_owned(), |letter| format!("{letter}:"));
            return Self::Device(PathBuf::from(format!(r"\\.\{device}")));
        }
        let named = drive_letter(&by_backslash).map(|letter| format!("{letter}:\\"));
        Self::Path(PathBuf::from(named.unwrap_or_else(|| typed.to_owned())))
    }

    /// The path to ask the system about.
    #[must_use]
    pub fn path(&self) -> &Path {
        match self {
            Self::Device(path) | Self::Path(path) => path,
        }
    }
}

/// The letter of a drive named by its letter alone, as Windows itself writes it.
fn drive_letter(name: &str) -> Option<char> {
    match name.as_bytes() {
        [letter, b':'] if letter.is_ascii_alphabetic() => Some(char::from(letter.to_ascii_uppercase())),
        _ => None,
    }
}

/// Whether a device is one volume, named by its letter on Windows: `\\.\E:`.
#[must_use]
pub fn is_letter_device(device: &Path) -> bool {
    device.to_string_lossy().strip_prefix(r"\\.\").and_then(drive_letter).is_some()
}

/// Whether a device is a whole drive, as Windows numbers them: `\\.\PhysicalDrive1`.
#[must_use]
pub fn is_whole_drive_of_windows(device: &Path) -> bool {
    device.to_string_lossy().to_ascii_lowercase().starts_with(r"\\.\physicaldrive")
}

/// Whether a device is one part of a drive, as macOS numbers them: `/dev/disk2s1`, raw `/dev/rdisk2s1`.
#[must_use]
pub fn is_slice(device: &Path) -> bool {
    let name = device.file_name().map(|name| name.to_string_lossy()).unwrap_or_default();
    let number = name.strip_prefix('r').unwrap_or(&name).strip_prefix("disk").and_then(|rest| rest.split_once('s'));
    number.is_some_and(|(drive, part)| {
        drive.parse::<u32>().is_ok() && part.starts_with(|first: char| first.is_ascii_digit())
    })
}

/// The block device of a raw device of macOS: `/dev/disk2` for `/dev/rdisk2`; of any other, itself.
#[must_use]
pub fn block_device_of(device: &Path) -> PathBuf {
    let name = device.file_name().map(|name| name.to_string_lossy()).unwrap_or_default();
    match name.strip_prefix('r') {
        Some(block) if is_raw_disk(device) => device.with_file_name(block),
        _ => device.to_owned(),
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
