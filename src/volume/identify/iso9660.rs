//! ISO 9660, by its volume descriptors from sector 16 on (ECMA-119, 8.1 to 8.4).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u16_at, u32_at};
use crate::volume::window::Window;

/// In bytes; ECMA-119, 6.1.2.
const SECTOR: u64 = 2048;

/// How many descriptors are looked through for the one that ends the list.
const MAX_DESCRIPTORS: u64 = 16;

/// ECMA-119, 8.4.1 and 8.3.1: the type of the primary descriptor and of the one that ends the list.
const PRIMARY: u8 = 1;
const LAST: u8 = 255;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let kind = |number: u64| match window.bytes::<7>((16 + number) * SECTOR) {
        [kind, b'C', b'D', b'0', b'0', b'1', 1] => Some(kind),
        _ => None,
    };
    let first = kind(0)?;
    let ends = (1..MAX_DESCRIPTORS).map_while(kind).any(|kind| kind == LAST);
    let descriptor = window.bytes::<256>(16 * SECTOR);
    // ECMA-119, 8.4.12: the size of a block stands twice, lowest and highest byte first.
    let block = u16_at(&descriptor, 128);
    let signs = Signs::first("its volume descriptors")
        .and(
            first == PRIMARY && block.swap_bytes() == u16_at(&descriptor, 130),
            "both statements of its size of a block",
        )
        .and(ends, "the end of its descriptors");
    let label = descriptor.get(40..72).map(|name| String::from_utf8_lossy(name).trim_end().to_owned());
    Some(Seen {
        // 8.4.8: the number of blocks.
        size_bytes: Some(u64::from(u32_at(&descriptor, 80)) * u64::from(block)),
        label: label.filter(|label| !label.is_empty()),
        ..Seen::by(FileSystem::Iso9660, signs.all())
    })
}
