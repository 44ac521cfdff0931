//! The drives of this computer: what is mounted where, what stands on which drive, and which one is the stick.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::block_devices::BlockDevice;

/// A mounted volume, or a removable drive of which nothing is mounted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Drive {
    /// The name of the volume or drive, for people; may be empty.
    pub name: String,
    /// The device that holds it: `/dev/sdb1`, `\\.\E:`; `None` where the system does not tell.
    pub device: Option<PathBuf>,
    /// The whole drive this is a part of: `/dev/sdb`; `None` where the system does not tell.
    pub disk: Option<PathBuf>,
    /// Where it begins on that drive, in bytes; `None` where the system does not tell.
    pub begins_at: Option<u64>,
    /// The folder in which its files are seen.
    pub mounted_at: Option<PathBuf>,
    /// Whether all of the volume is seen there, and not one folder of it under another name.
    pub whole: bool,
    /// What the system calls its format; may be empty.
    pub file_system: String,
    /// Its size in bytes.
    pub size_bytes: u64,
    /// Whether it can be taken out.
    pub removable: bool,
    /// Whether the system lets nothing be written to it.
    pub read_only: bool,
    /// Whether it is mounted so that this computer may write to it.
    pub mounted_for_writing: bool,
}

/// What the system knows of its drives.
#[derive(Debug, Clone, Default)]
pub struct Drives {
    mounted: Vec<Drive>,
    blocks: Vec<BlockDevice>,
}

impl Drives {
    /// Out of what is mounted and, on Linux, the block devices.
    #[must_use]
    pub fn new(mounted: Vec<Drive>, blocks: Vec<BlockDevice>) -> Self {
        let block = |device: &Option<PathBuf>| blocks.iter().find(|block| Some(&block.path) == device.as_ref());
        let completed = mounted.into_iter().map(|drive| match block(&drive.device) {
            Some(block) => with_block(drive, block),
            None => drive,
        });
        Self { mounted: completed.collect(), blocks }
    }

    /// The mounted volumes, then the removable drives of which nothing is mounted.
    #[must_use]
    pub fn list(&self) -> Vec<Drive> {
        let in_use = |block: &BlockDevice| {
            let named = |path: &Option<PathBuf>| path.as_ref() == Some(&block.path);
            self.mounted.iter().any(|drive| named(&drive.device) || named(&drive.disk))
        };
        let is_drive = |block: &&BlockDevice| block.partition_of.is_none() && block.removable && block.size_bytes > 0;
        let loose =
            self.blocks.iter().filter(is_drive).filter(|block| !is_disc_or_floppy(&block.path) && !in_use(block));
        let loose =
            loose.map(|block| with_block(Drive { device: Some(block.path.clone()), ..Drive::default() }, block));
        self.mounted.iter().cloned().chain(loose).collect()
    }

    /// The volume whose files are seen in exactly this folder; of several mounted over each other the last.
    #[must_use]
    pub fn mounted_at(&self, folder: &Path) -> Option<&Drive> {
        let folder = without_verbatim(folder);
        let here = |drive: &&Drive| drive.mounted_at.as_deref().is_some_and(|at| without_verbatim(at) == folder);
        self.mounted.iter().rev().find(here)
    }

    /// The mounted volumes that stand on a device, be it theirs or the whole drive.
    pub fn mounted_on<'a>(&'a self, device: &'a Path) -> impl Iterator<Item = &'a Drive> {
        let is = move |path: &Option<PathBuf>| path.as_deref() == Some(device);
        self.mounted.iter().filter(move |drive| is(&drive.device) || is(&drive.disk))
    }

    /// The devices that are parts of a drive.
    pub fn parts_of<'a>(&'a self, drive: &'a Path) -> impl Iterator<Item = &'a Path> {
        let parts = self.blocks.iter().filter(move |block| block.partition_of.as_deref() == Some(drive));
        parts.map(|block| block.path.as_path())
    }

    /// What Linux tells of a device.
    #[must_use]
    pub fn block(&self, device: &Path) -> Option<&BlockDevice> {
        self.blocks.iter().find(|block| block.path == device)
    }
}

fn with_block(drive: Drive, block: &BlockDevice) -> Drive {
    let size_bytes = if block.size_bytes > 0 { block.size_bytes } else { drive.size_bytes };
    Drive {
        name: if block.name.is_empty() { drive.name } else { block.name.clone() },
        disk: Some(block.partition_of.clone().unwrap_or_else(|| block.path.clone())),
        begins_at: Some(block.begins_at),
        size_bytes,
        removable: drive.removable || block.removable,
        read_only: drive.read_only || block.read_only,
        ..drive
    }
}

/// Discs and floppies can be taken out too, but no indicator writes to them; `sr` and `fd` are Linux's names for them.
fn is_disc_or_floppy(device: &Path) -> bool {
    let name = device.file_name().map(|name| name.to_string_lossy()).unwrap_or_default();
    ["sr", "fd"].iter().any(|kind| name.strip_prefix(kind).is_some_and(|rest| rest.parse::<u32>().is_ok()))
}

/// Windows writes the full path of `E:\` as `\\?\E:\`.
fn without_verbatim(path: &Path) -> PathBuf {
    let text = path.to_string_lossy();
    match text.strip_prefix(r"\\?\") {
        Some(rest) if rest.as_bytes().get(1) == Some(&b':') => PathBuf::from(rest),
        _ => path.to_owned(),
    }
}

/// Where a computer keeps its own files: a drive that holds one of these is not the stick of a sale, even if it could be
/// taken out.
const OWN_PLACES: [&str; 6] = ["/", "/boot", "/boot/efi", "/home", "/usr", "/var"];

/// What is read where no source was named.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Choice {
    /// There is no removable drive.
    Nothing,
    /// There is exactly one.
    One(Candidate),
    /// There are several, and a person has to say which.
    Several(Vec<Candidate>),
}

/// A removable drive that could be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// How it is named as a source.
    pub path: PathBuf,
    /// Its name, for people; may be empty.
    pub name: String,
    /// Its size in bytes; of several volumes the sum.
    pub size_bytes: u64,
}

/// Which drive is meant where no source was named: the only removable one. The volumes of one drive are one candidate.
#[must_use]
pub fn choose(drives: &[Drive]) -> Choice {
    let mut by_disk: BTreeMap<&Path, Vec<&Drive>> = BTreeMap::new();
    for drive in drives.iter().filter(|drive| drive.removable) {
        let key = [&drive.disk, &drive.device, &drive.mounted_at].into_iter().flatten().next();
        by_disk.entry(key.map(PathBuf::as_path).unwrap_or(Path::new(""))).or_default().push(drive);
    }
    let mut found: Vec<_> = by_disk.into_values().filter_map(|volumes| candidate(&volumes)).collect();
    match (found.pop(), found.is_empty()) {
        (None, _) => Choice::Nothing,
        (Some(only), true) => Choice::One(only),
        (Some(last), false) => {
            found.push(last);
            Choice::Several(found)
        }
    }
}

/// A drive with one mounted volume is named by the folder it is seen in, which needs no right; any other by its device.
fn candidate(volumes: &[&Drive]) -> Option<Candidate> {
    let first = volumes.first()?;
    let mounts: Vec<_> = volumes.iter().filter_map(|volume| volume.mounted_at.as_ref()).collect();
    if mounts.iter().any(|at| OWN_PLACES.iter().any(|own| at.as_path() == Path::new(own))) {
        return None;
    }
    let of_one = if mounts.len() == 1 { mounts.first().copied() } else { None };
    let path = of_one.or(first.disk.as_ref()).or(first.device.as_ref()).or(mounts.first().copied())?;
    let size_bytes = volumes.iter().map(|volume| volume.size_bytes).fold(0, u64::saturating_add);
    Some(Candidate { path: path.clone(), name: first.name.clone(), size_bytes })
}
