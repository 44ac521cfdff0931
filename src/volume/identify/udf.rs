//! UDF, by its recognition sequence and its anchor (ECMA-167, part 2, 9 and part 3, 10.2; UDF 2.2.3).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u16_at, u32_at};
use crate::volume::window::Window;

/// ECMA-167, part 2, 8.3: the sequence starts at byte 32,768, each descriptor in 2,048 bytes.
const SEQUENCE: u64 = 32_768;
const MAX_DESCRIPTORS: u64 = 8;

/// UDF 2.2.3: an anchor stands at sector 256, whatever the sector's size.
const ANCHOR_SECTOR: u32 = 256;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let name = |number: u64| match window.bytes::<7>(SEQUENCE + number * 2048) {
        [_, name @ .., _] if name != [0; 5] => Some(name),
        _ => None,
    };
    let names: Vec<[u8; 5]> = (0..MAX_DESCRIPTORS).map_while(name).collect();
    let has = |wanted: &[u8; 5]| names.iter().any(|name| name == wanted);
    if !has(b"NSR02") && !has(b"NSR03") {
        return None;
    }
    let anchored = [512, 2048, 4096].into_iter().find(|sector| is_anchor(window, *sector));
    let signs = Signs::first("its recognition sequence")
        .and(has(b"BEA01") && has(b"TEA01"), "the beginning and end of that sequence")
        .and(anchored.is_some(), "its anchor");
    Some(Seen { sector_bytes: anchored, ..Seen::by(FileSystem::Udf, signs.all()) })
}

/// ECMA-167, part 3, 7.2: a tag with the number 2 and its own place.
fn is_anchor(window: &Window, sector: u32) -> bool {
    let tag = window.bytes::<16>(u64::from(ANCHOR_SECTOR) * u64::from(sector));
    u16_at(&tag, 0) == 2 && u32_at(&tag, 12) == ANCHOR_SECTOR
}
