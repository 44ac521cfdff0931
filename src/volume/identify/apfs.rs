//! APFS, by the superblock of its container and the checksum of that (Apple File System Reference, from memory).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u32_at, u64_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let block = window.bytes::<4096>(0);
    if block.get(32..36) != Some(b"NXSB") {
        return None;
    }
    let block_bytes = u64::from(u32_at(&block, 36));
    let blocks = u64_at(&block, 40);
    let known = block_bytes.is_power_of_two() && (4096..=65_536).contains(&block_bytes);
    let signs = Signs::first("the superblock of its container").and(known, "its size of a block").and(
        block_bytes == 4096 && fletcher(block.get(8..).unwrap_or_default()) == u64_at(&block, 0),
        "the checksum of the superblock",
    );
    Some(Seen {
        size_bytes: blocks.checked_mul(block_bytes).filter(|_| known),
        cluster_bytes: known.then_some(block_bytes),
        clusters: known.then_some(blocks),
        ..Seen::by(FileSystem::Apfs, signs.all())
    })
}

/// Fletcher's checksum with 64 bits over numbers of 32, chosen so that the block with it sums up to zero.
fn fletcher(bytes: &[u8]) -> u64 {
    const MODULUS: u64 = 0xFFFF_FFFF;
    let (mut simple, mut weighted) = (0, 0);
    for place in (0..bytes.len()).step_by(4) {
        simple = (simple + u64::from(u32_at(bytes, place))) % MODULUS;
        weighted = (weighted + simple) % MODULUS;
    }
    let low = MODULUS - (simple + weighted) % MODULUS;
    let high = MODULUS - (simple + low) % MODULUS;
    high << 32 | low
}
