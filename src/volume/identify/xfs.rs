//! XFS, by its superblock, the two headers behind it, and the copy in its second group (Linux fs/xfs/libxfs/xfs_format.h,
//! from memory). Its numbers stand highest byte first.

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::text_at;
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let block = window.bytes::<256>(0);
    if !block.starts_with(b"XFSB") {
        return None;
    }
    let block_bytes = u64::from(u32_be(&block, 4));
    let sector_bytes = u64::from(u32_be(&block, 100) & 0xFFFF);
    let group_bytes = u64::from(u32_be(&block, 84)).saturating_mul(block_bytes);
    let signs = Signs::first("its superblock")
        .and(window.bytes(sector_bytes) == *b"XAGF", "the header of its free space")
        .and(window.bytes(2 * sector_bytes) == *b"XAGI", "the header of its inodes")
        .and(group_bytes > 0 && window.bytes(group_bytes) == *b"XFSB", "the copy of its superblock");
    let blocks = block.get(8..16).and_then(|bytes| bytes.try_into().ok()).map_or(0, u64::from_be_bytes);
    let seen = Seen {
        size_bytes: blocks.checked_mul(block_bytes),
        cluster_bytes: Some(block_bytes),
        clusters: Some(blocks),
        sector_bytes: u32::try_from(sector_bytes).ok(),
        ..Seen::by(FileSystem::Xfs, signs.all())
    };
    Some(seen.named(&text_at(&block, 108, 12)))
}

fn u32_be(bytes: &[u8], at: usize) -> u32 {
    bytes.get(at..at + 4).and_then(|bytes| bytes.try_into().ok()).map_or(0, u32::from_be_bytes)
}
