//! ext2, ext3 and ext4, by the superblock at byte 1024 (layout from memory; Linux kernel documentation "ext4 Super Block").

use super::Seen;
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u16_at, u32_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let block = window.bytes::<256>(1024);
    let block_shift = u32_at(&block, 24);
    let inodes = u32_at(&block, 0);
    if u16_at(&block, 56) != 0xEF53 || block_shift > 6 || inodes == 0 {
        return None;
    }
    let block_bytes = 1024_u64 << block_shift;
    let blocks = u64::from(u32_at(&block, 4));
    let name = block.get(120..136).unwrap_or_default();
    let name: String = name.iter().take_while(|byte| **byte != 0).map(|byte| char::from(*byte)).collect();
    Some(Seen {
        size_bytes: blocks.checked_mul(block_bytes),
        cluster_bytes: Some(block_bytes),
        clusters: Some(blocks),
        label: (!name.is_empty()).then_some(name),
        ..Seen::only(FileSystem::Ext)
    })
}
