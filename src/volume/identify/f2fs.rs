//! F2FS, by its two superblocks (Linux include/linux/f2fs_fs.h, from memory).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u32_at, u64_at, wide_text_at};
use crate::volume::window::Window;

/// In the first and in the second block of 4096 bytes, 1024 bytes in.
const PLACES: [u64; 2] = [1024, 4096 + 1024];

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let named = PLACES.map(|at| window.bytes(at) == *b"\x10\x20\xF5\xF2");
    let signs = match named {
        [true, copy] => Signs::first("its superblock").and(copy, "the copy of its superblock"),
        [false, true] => Signs::first("the copy of its superblock"),
        [false, false] => return None,
    };
    let block = window.bytes::<1200>(if named == [false, true] { PLACES[1] } else { PLACES[0] });
    let shift = u32_at(&block, 16);
    let blocks = u64_at(&block, 36);
    let seen = Seen {
        size_bytes: blocks.checked_mul(4096),
        cluster_bytes: (shift == 12).then_some(4096),
        clusters: Some(blocks),
        ..Seen::by(FileSystem::F2fs, signs.and(shift == 12, "its size of a block").all())
    };
    Some(seen.named(&wide_text_at(&block, 124, 512)))
}
