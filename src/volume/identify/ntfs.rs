//! NTFS, by its boot sector (layout from memory; common to every description of it).

use super::Seen;
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u8_at, u16_at, u64_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let sector = window.bytes::<512>(0);
    let reserved_and_tables_unused = u16_at(&sector, 14) == 0 && u8_at(&sector, 16) == 0;
    if sector.get(3..11) != Some(b"NTFS    ") || !sector.ends_with(&[0x55, 0xAA]) || !reserved_and_tables_unused {
        return None;
    }
    let sector_bytes = u64::from(u16_at(&sector, 11));
    // One sector, the copy of the boot sector, lies behind the stated count.
    let size_bytes = u64_at(&sector, 40).checked_add(1).and_then(|sectors| sectors.checked_mul(sector_bytes));
    let per_cluster = u64::from(u8_at(&sector, 13));
    Some(Seen {
        size_bytes,
        sector_bytes: Some(u32::from(u16_at(&sector, 11))),
        cluster_bytes: per_cluster.is_power_of_two().then_some(per_cluster * sector_bytes),
        ..Seen::only(FileSystem::Ntfs)
    })
}
