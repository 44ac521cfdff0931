//! exFAT, by its boot region, the checksum of it, and its copy (Microsoft exFAT specification 1.00, 3.1 and 3.4).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u8_at, u16_at, u32_at, u64_at, wide_text_at};
use crate::volume::window::Window;

/// The boot sector, ten more, and one filled with the checksum of all eleven (3.1, table 3).
const REGION_SECTORS: u64 = 12;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let shift = sector_shift(&window.bytes(0))?;
    let region = REGION_SECTORS << shift;
    let signs = Signs::first("its boot sector")
        .and(checksum_holds(window, 0, shift), "the checksum over its boot region")
        .and(sector_shift(&window.bytes(region)) == Some(shift), "the copy of its boot sector");
    Some(seen(window, 0, signs))
}

/// By the copy of the boot region alone, which follows it (3.1): twelve sectors in.
pub(super) fn by_copy(window: &Window) -> Option<Seen> {
    let at = |shift: &u32| REGION_SECTORS << *shift;
    let shift = (9..=12).find(|shift| sector_shift(&window.bytes(at(shift))) == Some(*shift))?;
    let sound = checksum_holds(window, at(&shift), shift);
    Some(seen(
        window,
        at(&shift),
        Signs::first("the copy of its boot sector").and(sound, "the checksum over that copy"),
    ))
}

/// The power of two of a sector, if a sound boot sector is here: its name, the zeros after it and the signature; sectors of
/// 512 to 4096 bytes (3.1.14); clusters of at most 32 MiB (3.1.15).
fn sector_shift(sector: &[u8; 512]) -> Option<u32> {
    let named = sector.get(3..11) == Some(b"EXFAT   ") && sector.get(11..64)?.iter().all(|byte| *byte == 0);
    let shift = u32::from(u8_at(sector, 108));
    let sound = named && sector.ends_with(&[0x55, 0xAA]) && (9..=12).contains(&shift);
    (sound && u32::from(u8_at(sector, 109)) <= 25 - shift).then_some(shift)
}

fn seen(window: &Window, at: u64, signs: Signs) -> Seen {
    let sector = window.bytes::<512>(at);
    let sector_shift = u32::from(u8_at(&sector, 108));
    let cluster_shift = u32::from(u8_at(&sector, 109));
    let seen = Seen {
        size_bytes: u64_at(&sector, 72).checked_shl(sector_shift),
        sector_bytes: Some(1 << sector_shift),
        cluster_bytes: Some(1 << (sector_shift + cluster_shift)),
        clusters: Some(u64::from(u32_at(&sector, 92))),
        // 3.1.13.2: bit 1 is VolumeDirty. The copy is not kept up with it.
        dirty: (at == 0).then_some(u16_at(&sector, 106) & 2 != 0),
        ..Seen::by(FileSystem::ExFat, signs.all())
    };
    seen.named(&label(window, &sector))
}

/// The label is an entry of the root directory, usually one of its first (7.3): its kind, its length, its letters.
fn label(window: &Window, boot: &[u8; 512]) -> String {
    let sector_shift = u32::from(u8_at(boot, 108));
    let heap = u64::from(u32_at(boot, 88)) << sector_shift;
    let cluster = u64::from(u32_at(boot, 96)).saturating_sub(2);
    let root = heap + (cluster << (sector_shift + u32::from(u8_at(boot, 109))));
    let entries = window.bytes::<512>(root);
    let entry = entries.chunks_exact(32).find(|entry| u8_at(entry, 0) == 0x83).unwrap_or_default();
    wide_text_at(entry, 2, usize::from(u8_at(entry, 1)).min(11))
}

/// 3.4, figure 1: each byte of eleven sectors is added to the sum turned right by one; what may change while the volume is
/// in use is left out.
fn checksum_holds(window: &Window, at: u64, sector_shift: u32) -> bool {
    let mut sum = 0_u32;
    let sector_bytes = 1_u64 << sector_shift;
    for place in (0..(REGION_SECTORS - 1) * sector_bytes).step_by(512) {
        for (byte, number) in window.bytes::<512>(at + place).into_iter().zip(place..) {
            if !matches!(number, 106 | 107 | 112) {
                sum = sum.rotate_right(1).wrapping_add(u32::from(byte));
            }
        }
    }
    sum == u32_at(&window.bytes::<4>(at + (REGION_SECTORS - 1) * sector_bytes), 0)
}
