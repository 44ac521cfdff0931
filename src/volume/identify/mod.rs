//! Tells which file system a volume holds, by the structures it must have. Each file system is one small entry.

mod exfat;
mod ext;
mod magic;
mod ntfs;

use super::fat::{BootSector, FatBoot, read_boot};
use super::file_system::FileSystem;
use super::window::Window;

/// What a volume was recognised as.
pub(super) struct Seen {
    pub file_system: FileSystem,
    /// Its own statement of its length in bytes.
    pub size_bytes: Option<u64>,
    pub sector_bytes: Option<u32>,
    pub cluster_bytes: Option<u64>,
    pub clusters: Option<u64>,
    pub label: Option<String>,
    pub dirty: Option<bool>,
    /// The boot sector of a FAT volume.
    pub fat: Option<FatBoot>,
}

impl Seen {
    /// Recognised, nothing else known.
    pub(super) const fn only(file_system: FileSystem) -> Self {
        Self {
            file_system,
            size_bytes: None,
            sector_bytes: None,
            cluster_bytes: None,
            clusters: None,
            label: None,
            dirty: None,
            fat: None,
        }
    }

    fn fat(fat: FatBoot) -> Self {
        let boot = &fat.sector;
        Self {
            size_bytes: Some(boot.volume_bytes()),
            sector_bytes: Some(boot.bytes_per_sector),
            cluster_bytes: Some(boot.cluster_bytes()),
            clusters: Some(u64::from(boot.cluster_count())),
            ..Self::only(boot.kind().file_system())
        }
        .with_fat(fat)
    }

    fn with_fat(mut self, fat: FatBoot) -> Self {
        self.fat = Some(fat);
        self
    }
}

/// Looks for a file system whose first sector itself names it.
pub(super) fn by_first_sector(window: &Window) -> Option<Seen> {
    // Encrypted volumes may carry a FAT boot sector for show, so they are looked for first.
    magic::encrypted(window)
        .or_else(|| exfat::probe(window))
        .or_else(|| ntfs::probe(window))
        .or_else(|| fat_at_first_sector(window))
}

/// Looks for any file system, blank space last.
pub(super) fn any(window: &Window) -> Seen {
    by_first_sector(window)
        .or_else(|| fat_by_backup(window))
        .or_else(|| ext::probe(window))
        .or_else(|| magic::probe(window))
        .unwrap_or_else(|| Seen::only(if is_blank(window) { FileSystem::Blank } else { FileSystem::Unknown }))
}

/// A FAT volume whose first sector is damaged: by its copy, or by what is left of it and the tables that stand where it says.
fn fat_by_backup(window: &Window) -> Option<Seen> {
    Some(Seen::fat(read_boot(window)?))
}

fn fat_at_first_sector(window: &Window) -> Option<Seen> {
    BootSector::parse(&window.bytes(0)).ok()?;
    read_boot(window).map(Seen::fat)
}

/// How many bytes at the front must be zero for a volume to be called blank: what any file system would have used.
const BLANK_BYTES: u64 = 1 << 20;

fn is_blank(window: &Window) -> bool {
    let end = window.available().min(BLANK_BYTES);
    (0..end).step_by(4096).all(|at| window.bytes::<4096>(at) == [0; 4096])
}
