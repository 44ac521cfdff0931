//! Which copy of the boot sector holds, where the two differ or one of them is damaged.

use std::cmp::Ordering;

use super::boot::{BootSector, is_media_byte};
use super::directory;
use crate::volume::little_endian::{u8_at, u32_at};
use crate::volume::window::Window;

/// The boot sector of a volume, and what is wrong with the first copy of it.
pub(in crate::volume) struct FatBoot {
    /// The sector, of whichever copy holds.
    pub sector: BootSector,
    /// What is wrong with the first copy.
    pub faults: Vec<String>,
    /// Whether the second copy served.
    pub by_copy: bool,
    /// Where the second copy differs though the first is sound and borne out better.
    pub stale_copy: Vec<String>,
}

/// Reads the boot sector, or where it is damaged its copy.
///
/// FAT05: FAT32 keeps the copy at sector 6; "no value other than 6 is recommended". Where both copies could be right, the one
/// whose tables and root directory stand where it says is taken.
pub(in crate::volume) fn read_boot(window: &Window) -> Option<FatBoot> {
    let head = window.bytes::<512>(0);
    let (main, place_faults) = BootSector::parse_places(&head);
    let formal_faults = main.formal_faults(&head);
    let main_serves = place_faults.is_empty();
    let Some(copy) = copy_of(window) else {
        // Without the signature other things begin like this too: the tables must stand where it says.
        let holds = main_serves && (formal_faults.is_empty() || evidence(window, &main) > 0);
        return holds.then_some(FatBoot {
            sector: main,
            faults: formal_faults,
            by_copy: false,
            stale_copy: Vec::new(),
        });
    };
    if !main_serves {
        let faults = formal_faults.into_iter().chain(place_faults).collect();
        return Some(FatBoot { sector: copy, faults, by_copy: true, stale_copy: Vec::new() });
    }
    Some(weighed(window, (main, formal_faults), copy))
}

/// Weighs two copies that could both be right. A writer that does not keep the copy up leaves an older one behind.
fn weighed(window: &Window, (main, formal_faults): (BootSector, Vec<String>), copy: BootSector) -> FatBoot {
    let differing = differing_fields(&main, &copy);
    let favour =
        if differing.is_empty() { Ordering::Equal } else { evidence(window, &main).cmp(&evidence(window, &copy)) };
    if favour == Ordering::Greater && formal_faults.is_empty() {
        return FatBoot { sector: main, faults: Vec::new(), by_copy: false, stale_copy: differing };
    }
    let by_copy = favour == Ordering::Less;
    let faults = formal_faults.into_iter().chain(differing).collect();
    FatBoot { sector: if by_copy { copy } else { main }, faults, by_copy, stale_copy: Vec::new() }
}

fn copy_of(window: &Window) -> Option<BootSector> {
    [512, 1024, 2048, 4096].into_iter().find_map(|sector_bytes| {
        let boot = BootSector::parse(&window.bytes(6 * u64::from(sector_bytes))).ok()?;
        (boot.bytes_per_sector == sector_bytes && boot.fat32_layout).then_some(boot)
    })
}

/// The fields from which places follow, where the copies differ. What only marks a state may differ: the copy is not kept
/// up with the first sector.
fn differing_fields(main: &BootSector, copy: &BootSector) -> Vec<String> {
    let fields = |boot: &BootSector| {
        [
            ("bytes in a sector", boot.bytes_per_sector),
            ("sectors in a cluster", boot.sectors_per_cluster),
            ("reserved sectors", boot.reserved_sectors),
            ("file allocation tables", boot.tables),
            ("entries of the root directory", boot.root_entries),
            ("sectors", boot.total_sectors),
            ("sectors of a table", boot.table_sectors),
            ("flags of the tables", u32::from(boot.ext_flags)),
            ("cluster of the root directory", boot.root_cluster),
        ]
    };
    let pairs = fields(main).into_iter().zip(fields(copy));
    pairs
        .filter(|((_, first), (_, second))| first != second)
        .map(|((field, first), (_, second))| format!("{field}: {first} (its copy says {second})"))
        .collect()
}

/// How much of what a boot sector says is found where it says: the beginnings of the tables, the root directory, and room.
fn evidence(window: &Window, boot: &BootSector) -> u32 {
    let tables = tables_begun(window, boot);
    let root = boot.root_sector() * u64::from(boot.bytes_per_sector);
    let root = if boot.fat32_layout { boot.cluster_offset(boot.root_cluster) } else { root };
    let volume = directory::Volume { wide: boot.fat32_layout, has: &|cluster| cluster >= 2, root: true };
    let listing = directory::list(&window.bytes::<512>(root), &volume);
    let sound = listing.nonsense == 0;
    let named = sound && (!listing.entries.is_empty() || listing.label.is_some());
    let fits = boot.volume_bytes() <= window.available();
    let points = |holds: bool, points: u32| if holds { points } else { 0 };
    if tables == 0 && !named {
        return 0;
    }
    2 * tables
        + points(root_in_use(window, boot), 1)
        + points(named, 2)
        + points(fits, 1)
        + points(boot.table_fits_clusters(), 2)
}

/// How many tables begin where they should, with a media byte and ones (FAT05 "Reserved FAT Entries"). It should be the
/// boot sector's own media byte; no place follows from which one it is.
pub(in crate::volume) fn tables_begun(window: &Window, boot: &BootSector) -> u32 {
    let begins = |number: &u32| {
        let head = window.bytes::<4>(boot.table_offset(*number));
        is_media_byte(u8_at(&head, 0)) && u8_at(&head, 1) == 0xFF
    };
    (0..boot.tables).filter(begins).fold(0, |count, _| count + 1)
}

fn root_in_use(window: &Window, boot: &BootSector) -> bool {
    let at = boot.table_offset(0) + u64::from(boot.root_cluster) * 4;
    boot.fat32_layout && u32_at(&window.bytes::<4>(at), 0) & 0x0FFF_FFFF != 0
}
