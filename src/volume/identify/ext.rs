//! ext2, ext3 and ext4, by the superblock at byte 1024, the description of the first group and the copy in the second one
//! (layout from memory; Linux kernel documentation "ext4 Super Block").

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{text_at, u16_at, u32_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let block = window.bytes::<256>(1024);
    let volume = Volume::parse(&block)?;
    let map = u64::from(u32_at(&window.bytes::<4>((volume.first + 1) * volume.block_bytes), 0));
    let copy = window.bytes::<256>((volume.first + volume.per_group) * volume.block_bytes);
    let signs = Signs::first("its superblock")
        .and((volume.first + 1..volume.blocks).contains(&map), "the description of its first group")
        .and(is_superblock(&copy) && copy.get(104..120) == block.get(104..120), "the copy of its superblock");
    Some(volume.seen(&block, signs))
}

/// By the copy of the superblock in the second group, where the first is gone. A group has as many blocks as a block has
/// bits, and blocks of 1 KiB are counted from 1.
pub(super) fn by_copy(window: &Window) -> Option<Seen> {
    [1024_u64, 2048, 4096].into_iter().find_map(|block_bytes| {
        let block = window.bytes::<256>((u64::from(block_bytes == 1024) + 8 * block_bytes) * block_bytes);
        let volume = Volume::parse(&block).filter(|volume| volume.block_bytes == block_bytes)?;
        // The copy states the group it stands in.
        let placed = u16_at(&block, 90) == 1;
        placed
            .then(|| volume.seen(&block, Signs::first("the copy of its superblock").and(true, "the place that states")))
    })
}

struct Volume {
    block_bytes: u64,
    blocks: u64,
    /// The block of the superblock.
    first: u64,
    /// Blocks of a group.
    per_group: u64,
}

impl Volume {
    fn parse(block: &[u8; 256]) -> Option<Self> {
        let shift = u32_at(block, 24);
        (is_superblock(block) && shift <= 6).then(|| Self {
            block_bytes: 1024 << shift,
            blocks: u64::from(u32_at(block, 4)),
            first: u64::from(u32_at(block, 20)),
            per_group: u64::from(u32_at(block, 32)),
        })
    }

    fn seen(&self, block: &[u8; 256], signs: Signs) -> Seen {
        let seen = Seen {
            size_bytes: self.blocks.checked_mul(self.block_bytes),
            cluster_bytes: Some(self.block_bytes),
            clusters: Some(self.blocks),
            ..Seen::by(FileSystem::Ext, signs.all())
        };
        seen.named(&text_at(block, 120, 16))
    }
}

fn is_superblock(block: &[u8; 256]) -> bool {
    u16_at(block, 56) == 0xEF53 && u32_at(block, 0) != 0 && u32_at(block, 4) != 0 && u32_at(block, 40) != 0
}
