//! exFAT, by its main boot sector (Microsoft exFAT specification 1.00, 3.1, tables 4 and 5).

use super::Seen;
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u8_at, u16_at, u32_at, u64_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let sector = window.bytes::<512>(0);
    let named = sector.get(3..11) == Some(b"EXFAT   ") && sector.get(11..64)?.iter().all(|byte| *byte == 0);
    if !named || !sector.ends_with(&[0x55, 0xAA]) {
        return None;
    }
    let sector_shift = u32::from(u8_at(&sector, 108));
    let cluster_shift = u32::from(u8_at(&sector, 109));
    // 3.1.14: sectors of 512 to 4096 bytes; 3.1.15: clusters of at most 32 MiB.
    if !(9..=12).contains(&sector_shift) || cluster_shift > 25 - sector_shift {
        return None;
    }
    Some(Seen {
        size_bytes: u64_at(&sector, 72).checked_shl(sector_shift),
        sector_bytes: Some(1 << sector_shift),
        cluster_bytes: Some(1 << (sector_shift + cluster_shift)),
        clusters: Some(u64::from(u32_at(&sector, 92))),
        // 3.1.13.2: bit 1 is VolumeDirty.
        dirty: Some(u16_at(&sector, 106) & 2 != 0),
        ..Seen::only(FileSystem::ExFat)
    })
}
