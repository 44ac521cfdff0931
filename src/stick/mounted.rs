//! Asks the system which volumes are mounted. The only file that knows the library for it.

use std::path::{Path, PathBuf};

use sysinfo::{Disk, DiskRefreshKind, Disks};

use super::block_devices::block_devices;
use super::drives::{Drive, Drives};

/// What this computer knows of its drives now.
#[must_use]
pub fn drives() -> Drives {
    let disks = Disks::new_with_refreshed_list_specifics(DiskRefreshKind::nothing().with_storage());
    let in_part = mounted_in_part(&std::fs::read_to_string("/proc/self/mountinfo").unwrap_or_default());
    let mounted = disks.list().iter().map(|disk| drive(disk, &in_part)).collect();
    Drives::new(mounted, block_devices(Path::new("/sys/class/block")))
}

fn drive(disk: &Disk, in_part: &[PathBuf]) -> Drive {
    let name = disk.name().to_string_lossy();
    let device = device_of(&name, disk.mount_point());
    Drive {
        // Linux tells the device here, other systems the name of the volume.
        name: if name.starts_with('/') { String::new() } else { name.into_owned() },
        device: device.map(|device| std::fs::canonicalize(&device).unwrap_or(device)),
        disk: None,
        begins_at: None,
        mounted_at: Some(disk.mount_point().to_owned()),
        whole: !in_part.iter().any(|at| at == disk.mount_point()),
        file_system: disk.file_system().to_string_lossy().into_owned(),
        size_bytes: disk.total_space(),
        removable: disk.is_removable(),
        read_only: disk.is_read_only(),
        mounted_for_writing: !disk.is_read_only(),
    }
}

/// The device behind a volume: told by Linux; on Windows named by the drive's letter; elsewhere the block device of the
/// number that the mounted folder states as its own.
fn device_of(name: &str, mounted_at: &Path) -> Option<PathBuf> {
    if name.starts_with("/dev/") {
        return Some(PathBuf::from(name));
    }
    device_by_letter(&mounted_at.to_string_lossy()).or_else(|| device_by_number(mounted_at))
}

/// The device of a drive's top folder on Windows: `\\.\E:` for `E:\`.
#[must_use]
pub fn device_by_letter(mounted_at: &str) -> Option<PathBuf> {
    match mounted_at.as_bytes() {
        [letter, b':', b'\\'] if letter.is_ascii_alphabetic() => {
            Some(PathBuf::from(format!(r"\\.\{}:", char::from(*letter))))
        }
        _ => None,
    }
}

#[cfg(unix)]
fn device_by_number(mounted_at: &Path) -> Option<PathBuf> {
    use std::os::unix::fs::{FileTypeExt, MetadataExt};
    let number = std::fs::metadata(mounted_at).ok()?.dev();
    let entries = std::fs::read_dir("/dev").ok()?.flatten();
    let is_it = |path: &PathBuf| {
        std::fs::metadata(path).is_ok_and(|about| about.file_type().is_block_device() && about.rdev() == number)
    };
    entries.map(|entry| entry.path()).find(is_it)
}

#[cfg(not(unix))]
fn device_by_number(_mounted_at: &Path) -> Option<PathBuf> {
    None
}

/// The folders in which Linux shows only a part of a volume, by the text of `/proc/self/mountinfo` (proc(5), "mountinfo":
/// field 4 is the folder of the volume that is seen, field 5 where it is seen).
#[must_use]
pub fn mounted_in_part(mountinfo: &str) -> Vec<PathBuf> {
    let of_line = |line: &str| {
        let mut fields = line.split_ascii_whitespace().skip(3);
        let (shown, at) = (fields.next()?, fields.next()?);
        (shown != "/").then(|| PathBuf::from(unescaped(at)))
    };
    mountinfo.lines().filter_map(of_line).collect()
}

/// Blanks, tabs, line ends and backslashes stand there as three octal digits.
fn unescaped(field: &str) -> String {
    let pairs = [(r"\040", " "), (r"\011", "\t"), (r"\012", "\n"), (r"\134", "\\")];
    pairs.iter().fold(field.to_owned(), |text, (escape, letter)| text.replace(escape, letter))
}
