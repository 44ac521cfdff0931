//! LUKS, by its header and its key slots or the second header (LUKS1 and LUKS2 on-disk formats; places from memory).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::text_at;
use crate::volume::window::Window;

/// The first mark of a key slot of version 1: in use or not.
const SLOT_MARKS: [[u8; 4]; 2] = [[0x00, 0xAC, 0x71, 0xF3], [0x00, 0x00, 0xDE, 0xAD]];

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let header = window.bytes::<512>(0);
    if !header.starts_with(b"LUKS\xBA\xBE") {
        return None;
    }
    let signs = Signs::first("its header");
    let signs = match header.get(6..8) {
        Some([0, 1]) => {
            let slot = header.get(208..212).is_some_and(|mark| SLOT_MARKS.iter().any(|known| known == mark));
            signs.and(slot, "its key slots")
        }
        Some([0, 2]) => {
            // The size of a header stands highest byte first; the second one follows at once.
            let size = header.get(8..16).and_then(|bytes| bytes.try_into().ok()).map_or(0, u64::from_be_bytes);
            signs.and(window.bytes(size) == *b"SKUL\xBA\xBE", "its second header")
        }
        _ => signs,
    };
    let label = if header.get(6..8) == Some(&[0, 2]) { text_at(&header, 24, 48) } else { String::new() };
    Some(Seen::by(FileSystem::Luks, signs.all()).named(&label))
}

/// Where the second header of version 2 can stand: behind a first one of 16 KiB to 4 MiB, each twice the one before
/// (LUKS2 on-disk format, 2.2, from memory).
const SECOND: [u64; 9] = [16 << 10, 32 << 10, 64 << 10, 128 << 10, 256 << 10, 512 << 10, 1 << 20, 2 << 20, 4 << 20];

/// By the second header alone, where the first is gone. It states its own place.
pub(super) fn by_second_header(window: &Window) -> Option<Seen> {
    let at = SECOND.into_iter().find(|at| {
        let header = window.bytes::<264>(*at);
        header.starts_with(b"SKUL\xBA\xBE") && header.get(256..264) == Some(&at.to_be_bytes())
    })?;
    let label = text_at(&window.bytes::<512>(at), 24, 48);
    Some(
        Seen::by(FileSystem::Luks, Signs::first("its second header").and(true, "the place that states").all())
            .named(&label),
    )
}
