//! ext2, ext3 and ext4, by the superblock at byte 1024, the description of the first group and the copy in the second one
//! (layout from memory; Linux kernel documentation "ext4 Super Block").

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u16_at, u32_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let block = window.bytes::<256>(1024);
    let shift = u32_at(&block, 24);
    if !is_superblock(&block) || shift > 6 {
        return None;
    }
    let block_bytes = 1024_u64 << shift;
    let blocks = u64::from(u32_at(&block, 4));
    let (first, per_group) = (u64::from(u32_at(&block, 20)), u64::from(u32_at(&block, 32)));
    let map = u64::from(u32_at(&window.bytes::<4>((first + 1) * block_bytes), 0));
    let copy = window.bytes::<256>((first + per_group) * block_bytes);
    let signs = Signs::first("its superblock")
        .and((first + 1..blocks).contains(&map), "the description of its first group")
        .and(is_superblock(&copy) && copy.get(104..120) == block.get(104..120), "the copy of its superblock");
    let name = block.get(120..136).unwrap_or_default();
    let name: String = name.iter().take_while(|byte| **byte != 0).map(|byte| char::from(*byte)).collect();
    Some(Seen {
        size_bytes: blocks.checked_mul(block_bytes),
        cluster_bytes: Some(block_bytes),
        clusters: Some(blocks),
        label: (!name.is_empty()).then_some(name),
        ..Seen::by(FileSystem::Ext, signs.all())
    })
}

fn is_superblock(block: &[u8; 256]) -> bool {
    u16_at(block, 56) == 0xEF53 && u32_at(block, 0) != 0 && u32_at(block, 4) != 0 && u32_at(block, 40) != 0
}
