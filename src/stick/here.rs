//! What this computer knows of a source beside its bytes: whether it is mounted here, and what it is a part of.

use std::path::{Path, PathBuf};

use super::drives::{Drive, Drives};
use super::named::{is_letter_device, is_slice, is_whole_drive_of_windows};

/// What this computer knows of a source beside its bytes. By default: nothing, as of an image.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Here {
    /// Where the volumes begin that this computer may write to, in bytes on the medium; `None` stands for one of which that
    /// is not known, so that it may be any.
    pub mounted_for_writing: Vec<Option<u64>>,
    /// Whether the medium is one volume of a drive, the rest of which is not seen.
    pub part_of_drive: bool,
    /// The device of that whole drive, where it is known.
    pub drive: Option<PathBuf>,
    /// Whether the system lets nothing be written to it.
    pub read_only: bool,
    /// What the system calls the format of a mounted volume.
    pub file_system: Option<String>,
    /// Why only files were read, though there is a device behind them.
    pub files_only: Option<String>,
}

impl Here {
    /// What is known of a device.
    #[must_use]
    pub fn of_device(device: &Path, drives: &Drives) -> Self {
        let on_it: Vec<&Drive> = drives.mounted_on(device).collect();
        let begins = |drive: &&Drive| {
            if drive.device.as_deref() == Some(device) { Some(0) } else { drive.begins_at }
        };
        let written = on_it.iter().copied().filter(|drive| drive.mounted_for_writing);
        let mut mounted_for_writing: Vec<_> = written.map(|drive| begins(&drive)).collect();
        if is_whole_drive_of_windows(device) {
            // Windows mounts every volume it knows; which of them stand on this drive is not told.
            mounted_for_writing.push(None);
        }
        let block = drives.block(device);
        let of = block.and_then(|block| block.partition_of.clone());
        Self {
            mounted_for_writing,
            part_of_drive: of.is_some() || is_letter_device(device) || is_slice(device),
            drive: of,
            read_only: block.is_some_and(|block| block.read_only) || on_it.iter().any(|drive| drive.read_only),
            ..Self::default()
        }
    }

    /// What is known of the volume whose files are seen in a folder.
    #[must_use]
    pub fn of_mount(drive: &Drive) -> Self {
        let whole_drive = drive.device.is_some() && drive.disk == drive.device;
        Self {
            mounted_for_writing: if drive.mounted_for_writing { vec![Some(0)] } else { Vec::new() },
            part_of_drive: !whole_drive,
            drive: drive.disk.clone(),
            read_only: drive.read_only,
            file_system: Some(drive.file_system.clone()),
            files_only: None,
        }
    }

    /// Whether this computer may write to the volume that begins at this byte of the medium.
    #[must_use]
    pub fn may_write_to(&self, begins_at: u64) -> bool {
        self.mounted_for_writing.iter().any(|at| at.is_none_or(|at| at == begins_at))
    }
}
