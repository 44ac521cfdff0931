//! A volume of the Linux volume manager, by its label (LVM2 label header; places from memory).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::u64_at;
use crate::volume::window::Window;

/// The label stands in one of the first four sectors, usually the second.
const SECTORS: std::ops::Range<u64> = 0..4;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let label = |sector: &u64| window.bytes::<32>(sector * 512);
    let sector = SECTORS.into_iter().find(|sector| label(sector).starts_with(b"LABELONE"))?;
    let label = label(&sector);
    let signs = Signs::first("its label")
        .and(u64_at(&label, 8) == sector, "the place the label states")
        .and(label.get(24..32) == Some(b"LVM2 001"), "the version of the label");
    Some(Seen::by(FileSystem::Lvm, signs.all()))
}
