//! UDF, by its recognition sequence and its anchor (ECMA-167, part 2, 9 and part 3, 10.2; UDF 2.2.3).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u8_at, u16_at, u32_at};
use crate::volume::window::Window;

/// ECMA-167, part 2, 8.3: the sequence starts at byte 32,768.
const SEQUENCE: u64 = 32_768;
const MAX_DESCRIPTORS: u64 = 8;

/// They follow each other at 2,048 bytes, at larger blocks in a block each (UDF 2.1.2, from memory).
const SPACED: [u64; 2] = [2048, 4096];

fn names(window: &Window, apart: u64) -> Vec<[u8; 5]> {
    let name = |number: u64| match window.bytes::<7>(SEQUENCE + number * apart) {
        [_, name @ .., _] if name != [0; 5] => Some(name),
        _ => None,
    };
    (0..MAX_DESCRIPTORS).map_while(name).collect()
}

/// UDF 2.2.3: an anchor stands at sector 256, whatever the sector's size.
const ANCHOR_SECTOR: u32 = 256;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let names: Vec<[u8; 5]> = SPACED.into_iter().flat_map(|apart| names(window, apart)).collect();
    let has = |wanted: &[u8; 5]| names.iter().any(|name| name == wanted);
    if !has(b"NSR02") && !has(b"NSR03") {
        return None;
    }
    let anchored = [512, 2048, 4096].into_iter().find(|sector| is_anchor(window, *sector));
    let signs = Signs::first("its recognition sequence")
        .and(has(b"BEA01") && has(b"TEA01"), "the beginning and end of that sequence")
        .and(anchored.is_some(), "its anchor");
    let seen = Seen { cluster_bytes: anchored.map(u64::from), ..Seen::by(FileSystem::Udf, signs.all()) };
    Some(seen.named(&anchored.map(|block| label(window, u64::from(block))).unwrap_or_default()))
}

/// The anchor says in which blocks the volume descriptors stand (part 3, 10.2); the primary one, whose tag is 1, has the
/// name at byte 24 (10.1): its first byte says how wide letters are (UDF 2.1.1), its last how many bytes it has.
fn label(window: &Window, block: u64) -> String {
    let anchor = window.bytes::<32>(u64::from(ANCHOR_SECTOR) * block);
    let first = u64::from(u32_at(&anchor, 20));
    let descriptor = |number: u64| window.bytes::<56>((first + number) * block);
    let Some(primary) = (0..MAX_DESCRIPTORS).map(descriptor).find(|descriptor| u16_at(descriptor, 0) == 1) else {
        return String::new();
    };
    let length = usize::from(u8_at(&primary, 55)).saturating_sub(1).min(30);
    let text = primary.get(25..25 + length).unwrap_or_default();
    match u8_at(&primary, 24) {
        8 => text.iter().map(|byte| char::from(*byte)).collect(),
        16 => {
            let letters = text.chunks_exact(2).map(|pair| u16_at(pair, 0).swap_bytes());
            char::decode_utf16(letters).map(|letter| letter.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
        }
        _ => String::new(),
    }
}

/// ECMA-167, part 3, 7.2: a tag with the number 2 and its own place.
fn is_anchor(window: &Window, sector: u32) -> bool {
    let tag = window.bytes::<16>(u64::from(ANCHOR_SECTOR) * u64::from(sector));
    u16_at(&tag, 0) == 2 && u32_at(&tag, 12) == ANCHOR_SECTOR
}
