//! Tells which file system a volume holds, by several of the structures it must have. Each file system is one small entry.

mod apfs;
mod bitlocker;
mod blank;
mod btrfs;
mod exfat;
mod ext;
mod f2fs;
mod hfsplus;
mod iso9660;
mod luks;
mod lvm;
mod ntfs;
mod refs;
mod seen;
mod udf;
mod xfs;

use super::fat::{self, BootSector, read_boot};
use super::file_system::FileSystem;
use super::window::Window;

pub(super) use blank::first_data;
pub(super) use seen::Seen;
use seen::Signs;

/// Looks for one file system; what it finds bears at least one sign.
type Probe = fn(&Window) -> Option<Seen>;

/// Encrypted volumes may carry a FAT boot sector for show, so they are looked for first.
const ENCRYPTED: [Probe; 2] = [bitlocker::probe, luks::probe];

/// File systems whose first sector does not name them, or not for itself alone.
const OTHERS: [Probe; 11] = [
    refs::probe,
    ext::probe,
    btrfs::probe,
    xfs::probe,
    f2fs::probe,
    hfsplus::probe,
    apfs::probe,
    // CD images often carry both; a computer takes either.
    iso9660::probe,
    udf::probe,
    lvm::probe,
    ntfs::without_boot_sector,
];

/// Looks for a file system whose first sector itself names it.
pub(super) fn by_first_sector(window: &Window) -> Option<Seen> {
    first_of(&ENCRYPTED, window)
        .or_else(|| exfat::probe(window))
        .or_else(|| ntfs::probe(window))
        .or_else(|| fat_at_first_sector(window))
}

/// Looks for any file system, blank space last.
///
/// Formatting leaves marks of an older format where the new one does not write. So a FAT volume whose tables begin where
/// they should goes before them, and among the others the one with most structures in their places is taken.
pub(super) fn any(window: &Window) -> Seen {
    by_first_sector(window)
        .or_else(|| fat_by_backup(window).filter(fat_tables_stand(window)))
        .or_else(|| best_of_others(window))
        .or_else(|| fat_by_backup(window))
        .or_else(|| exfat::by_copy(window))
        .or_else(|| ext::by_copy(window))
        .or_else(|| luks::by_second_header(window))
        .unwrap_or_else(|| Seen::only(if blank::is_blank(window) { FileSystem::Blank } else { FileSystem::Unknown }))
}

fn first_of(probes: &[Probe], window: &Window) -> Option<Seen> {
    probes.iter().find_map(|probe| probe(window))
}

/// The one with most signs; of equal ones the first in the list.
fn best_of_others(window: &Window) -> Option<Seen> {
    let found = OTHERS.iter().filter_map(|probe| probe(window));
    found.reduce(|best, next| if next.signs.len() > best.signs.len() { next } else { best })
}

/// A FAT volume whose first sector is damaged: by its copy, or by what is left of it and the tables that stand where it says.
fn fat_by_backup(window: &Window) -> Option<Seen> {
    Some(Seen::fat(read_boot(window)?))
}

fn fat_at_first_sector(window: &Window) -> Option<Seen> {
    BootSector::parse(&window.bytes(0)).ok()?;
    read_boot(window).map(Seen::fat)
}

fn fat_tables_stand<'a>(window: &'a Window<'_>) -> impl Fn(&Seen) -> bool + 'a {
    |seen| seen.fat.as_ref().is_some_and(|boot| fat::tables_begun(window, &boot.sector) == boot.sector.tables)
}
