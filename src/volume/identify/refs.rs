//! ReFS, by the name and the mark in its first sector (as described by libfsrefs; places from memory).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u32_at, u64_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let sector = window.bytes::<512>(0);
    if sector.get(3..11) != Some(b"ReFS\0\0\0\0") {
        return None;
    }
    let sector_bytes = u32_at(&sector, 32);
    let known = matches!(sector_bytes, 512 | 4096);
    let signs = Signs::first("the name in its first sector")
        .and(sector.get(16..20) == Some(b"FSRS"), "the mark of its first sector")
        .and(known, "its size of a sector");
    Some(Seen {
        sector_bytes: known.then_some(sector_bytes),
        size_bytes: known.then(|| u64_at(&sector, 24).saturating_mul(u64::from(sector_bytes))),
        ..Seen::by(FileSystem::Refs, signs.all())
    })
}
