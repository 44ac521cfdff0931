//! HFS+ and HFSX, by the volume header and its copy before the end (Apple Technical Note 1150, from memory). Its numbers
//! stand highest byte first.

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let header = window.bytes::<64>(1024);
    if !named(&header) {
        return None;
    }
    let number =
        |at: usize| header.get(at..at + 4).and_then(|bytes| bytes.try_into().ok()).map_or(0, u32::from_be_bytes);
    let (block_bytes, blocks) = (u64::from(number(40)), u64::from(number(44)));
    let size = blocks * block_bytes;
    let copy = size.checked_sub(1024).is_some_and(|at| at > 1024 && named(&window.bytes(at)));
    let known = block_bytes.is_power_of_two() && block_bytes >= 512;
    let signs =
        Signs::first("its volume header").and(known, "its size of a block").and(copy, "the copy of its volume header");
    Some(Seen {
        size_bytes: known.then_some(size),
        cluster_bytes: known.then_some(block_bytes),
        clusters: known.then_some(blocks),
        ..Seen::by(FileSystem::HfsPlus, signs.all())
    })
}

/// The mark and its version.
fn named(header: &[u8; 64]) -> bool {
    header.starts_with(b"H+\0\x04") || header.starts_with(b"HX\0\x05")
}
