//! BitLocker, by the name or the identifier in its first sector and the blocks of its own description (as described by
//! libbde; places from memory).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::u64_at;
use crate::volume::window::Window;

/// At the beginning of the first sector and of each of three blocks that describe the encryption.
const NAME: &[u8; 8] = b"-FVE-FS-";

/// Sticks carry a FAT boot sector for show, with this identifier in it: 4967D63B-2E29-4AD8-8399-F6A339E3D001.
const ON_STICKS: [u8; 16] =
    [0x3B, 0xD6, 0x67, 0x49, 0x29, 0x2E, 0xD8, 0x4A, 0x83, 0x99, 0xF6, 0xA3, 0x39, 0xE3, 0xD0, 0x01];

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let sector = window.bytes::<512>(0);
    let (sign, places) = if sector.get(3..11) == Some(NAME) {
        ("the name in its first sector", [176, 184, 192])
    } else if sector.get(424..440) == Some(&ON_STICKS) {
        ("the identifier in its first sector", [440, 448, 456])
    } else {
        return None;
    };
    let described = places.into_iter().any(|place| window.bytes(u64_at(&sector, place)) == *NAME);
    Some(Seen::by(
        FileSystem::BitLocker,
        Signs::first(sign).and(described, "a block that describes the encryption").all(),
    ))
}
