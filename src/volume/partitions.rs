//! Where the volumes of a medium begin.

use super::file_system::FileSystem;
use super::identify;
use super::little_endian::{u8_at, u32_at, u64_at};
use super::survey::PartitionTable;
use super::window::Window;
use crate::stick::ByteSource;

/// A place where a volume should begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Slot {
    /// In bytes from the start of the medium.
    pub offset: u64,
    /// In bytes, as the partition table states it; `None` without a table.
    pub size: Option<u64>,
}

/// How a medium is divided.
pub(super) struct Layout {
    pub table: Option<PartitionTable>,
    pub slots: Vec<Slot>,
    /// Whether a partition that holds further ones was passed over.
    pub extended: bool,
    /// The sector size the partition table speaks of, in bytes.
    pub sector_bytes: Option<u32>,
}

/// The sector sizes in use, in bytes; partition tables count in these.
const SECTORS: [u32; 2] = [512, 4096];

/// How many entries of a GUID partition table are read: the usual array has 128.
const MAX_GPT_ENTRIES: u64 = 1_024;

/// Finds the volumes of `source`.
pub(super) fn find(source: &dyn ByteSource) -> Layout {
    let window = Window::new(source, 0);
    if identify::by_first_sector(&window).is_some() {
        return bare();
    }
    if let Some(layout) = SECTORS.into_iter().find_map(|sector| gpt(&window, sector)) {
        return layout;
    }
    if let Some(layout) = mbr(source, &window) {
        return layout;
    }
    bare()
}

fn bare() -> Layout {
    Layout {
        table: Some(PartitionTable::None),
        slots: vec![Slot { offset: 0, size: None }],
        extended: false,
        sector_bytes: None,
    }
}

/// The header at sector 1 (UEFI 5.3, from memory; Intel EFI 1.10 table 11-1), then its array of entries.
fn gpt(window: &Window, sector_bytes: u32) -> Option<Layout> {
    let sector = u64::from(sector_bytes);
    let header = window.bytes::<92>(sector);
    let entry_bytes = u64::from(u32_at(&header, 84));
    if !header.starts_with(b"EFI PART") || !(128..=4096).contains(&entry_bytes) {
        return None;
    }
    let first = u64_at(&header, 72).checked_mul(sector)?;
    let count = u64::from(u32_at(&header, 80)).min(MAX_GPT_ENTRIES);
    let slots = (0..count).filter_map(|index| gpt_slot(window, first.checked_add(index * entry_bytes)?, sector));
    Some(Layout {
        table: Some(PartitionTable::Gpt),
        slots: slots.collect(),
        extended: false,
        sector_bytes: Some(sector_bytes),
    })
}

fn gpt_slot(window: &Window, at: u64, sector: u64) -> Option<Slot> {
    let entry = window.bytes::<128>(at);
    let (first, last) = (u64_at(&entry, 32), u64_at(&entry, 40));
    if entry.starts_with(&[0; 16]) || first == 0 || last < first {
        return None;
    }
    let size = (last - first).checked_add(1)?.checked_mul(sector)?;
    Some(Slot { offset: first.checked_mul(sector)?, size: Some(size) })
}

/// The classic table in sector 0: four entries at 446, signature at 510 (layout: libvsmbr's documentation).
fn mbr(source: &dyn ByteSource, window: &Window) -> Option<Layout> {
    let sector = window.bytes::<512>(0);
    let entries = sector.get(446..510)?.chunks_exact(16);
    let plausible = entries.clone().all(|entry| matches!(u8_at(entry, 0), 0x00 | 0x80));
    if !sector.ends_with(&[0x55, 0xAA]) || !plausible {
        return None;
    }
    let used: Vec<&[u8]> = entries.filter(|entry| u8_at(entry, 4) != 0 && u32_at(entry, 12) != 0).collect();
    // The first sector of a volume may end in the same signature with zeros before it; its jump, or what follows it,
    // tells it apart from an empty table.
    let begins_volume = || {
        let seen = identify::any(window).file_system;
        matches!(sector, [0xEB, _, 0x90, ..] | [0xE9, ..]) || !matches!(seen, FileSystem::Blank | FileSystem::Unknown)
    };
    if used.is_empty() && begins_volume() {
        return None;
    }
    let is_extended = |entry: &&[u8]| matches!(u8_at(entry, 4), 0x05 | 0x0F | 0x85);
    let extended = used.iter().any(is_extended);
    let slots = used.into_iter().filter(|entry| !is_extended(entry)).map(|entry| mbr_slot(source, entry)).collect();
    Some(Layout { table: Some(PartitionTable::Mbr), slots, extended, sector_bytes: None })
}

/// The table counts in sectors of the drive, whose size it does not state: the one at which a volume is found holds.
fn mbr_slot(source: &dyn ByteSource, entry: &[u8]) -> Slot {
    let (first, count) = (u64::from(u32_at(entry, 8)), u64::from(u32_at(entry, 12)));
    let slot = |sector: u32| Slot { offset: first * u64::from(sector), size: Some(count * u64::from(sector)) };
    let found = SECTORS.into_iter().find(|sector| {
        let window = Window::new(source, slot(*sector).offset);
        identify::by_first_sector(&window).is_some()
    });
    slot(found.unwrap_or(512))
}
