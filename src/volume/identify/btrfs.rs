//! Btrfs, by its superblock at 64 KiB, the place that states, and its copy at 64 MiB (Linux fs/btrfs, from memory).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{text_at, u32_at, u64_at};
use crate::volume::window::Window;

const PLACES: [u64; 2] = [64 << 10, 64 << 20];

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let [first, copy] = PLACES.map(|at| (at, window.bytes::<560>(at)));
    let named = |block: &[u8; 560]| block.get(64..72) == Some(b"_BHRfS_M");
    if !named(&first.1) {
        return None;
    }
    let signs = Signs::first("its superblock")
        .and(u64_at(&first.1, 48) == first.0, "the place the superblock states")
        .and(named(&copy.1) && u64_at(&copy.1, 48) == copy.0, "the copy of its superblock");
    let seen = Seen {
        size_bytes: Some(u64_at(&first.1, 112)),
        cluster_bytes: Some(u64::from(u32_at(&first.1, 144))),
        ..Seen::by(FileSystem::Btrfs, signs.all())
    };
    Some(seen.named(&text_at(&first.1, 299, 256)))
}
