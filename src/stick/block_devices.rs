//! What Linux tells of its block devices in the folder `/sys/class/block`, mounted or not.

use std::fs;
use std::path::{Path, PathBuf};

/// Linux counts the sizes and starts of block devices in these, whatever the sectors of the drive, in bytes.
const UNIT_BYTES: u64 = 512;

/// So many block devices are looked at.
const MOST_DEVICES: usize = 4_096;

/// A block device: a whole drive, or a partition of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BlockDevice {
    /// Its path: `/dev/sdb1`.
    pub path: PathBuf,
    /// The path of the drive it is a partition of; `None` for a whole drive.
    pub partition_of: Option<PathBuf>,
    /// Where it begins on that drive, in bytes; 0 for a whole drive.
    pub begins_at: u64,
    /// Its size in bytes; 0 for a card reader without a card.
    pub size_bytes: u64,
    /// Whether the drive can be taken out, or is on a USB port.
    pub removable: bool,
    /// Whether the system lets nothing be written to it.
    pub read_only: bool,
    /// The maker's name for the drive; may be empty.
    pub name: String,
}

/// The block devices told of in `folder`, which is `/sys/class/block`, in the order of their paths; none where that folder
/// is not there, as on other systems.
///
/// Files read (Linux kernel documentation, "ABI/stable/sysfs-block"; the `usb` in the path: from memory): `partition`, `start`,
/// `size`, `removable`, `ro`, `device/model`.
#[must_use]
pub fn block_devices(folder: &Path) -> Vec<BlockDevice> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten().take(MOST_DEVICES);
    let mut devices: Vec<_> = entries.filter_map(|entry| block_device(&entry.path())).collect();
    devices.sort_by(|a, b| a.path.cmp(&b.path));
    devices
}

fn block_device(entry: &Path) -> Option<BlockDevice> {
    let place = fs::canonicalize(entry).ok()?;
    let is_partition = place.join("partition").exists();
    // A partition's folder stands inside that of its drive.
    let drive = if is_partition { place.parent()? } else { &place };
    let number = |path: PathBuf| fs::read_to_string(path).ok().and_then(|text| text.trim().parse::<u64>().ok());
    let on_usb = place.components().any(|part| is_usb_port(&part.as_os_str().to_string_lossy()));
    let named = |place: &Path| Some(Path::new("/dev").join(place.file_name()?.to_string_lossy().replace('!', "/")));
    Some(BlockDevice {
        path: named(&place)?,
        partition_of: if is_partition { named(drive) } else { None },
        begins_at: number(place.join("start")).unwrap_or(0).saturating_mul(UNIT_BYTES),
        size_bytes: number(place.join("size"))?.saturating_mul(UNIT_BYTES),
        removable: on_usb || number(drive.join("removable")) == Some(1),
        read_only: [&place, drive].iter().any(|place| number(place.join("ro")) == Some(1)),
        name: fs::read_to_string(drive.join("device/model")).unwrap_or_default().trim().to_owned(),
    })
}

/// The folders of USB ports are called `usb1`, `usb2` …
fn is_usb_port(part: &str) -> bool {
    part.strip_prefix("usb").is_some_and(|rest| rest.starts_with(|first: char| first.is_ascii_digit()))
}
