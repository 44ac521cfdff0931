//! The classic partition table (MBR) in the first sector: four entries.

use super::extended::{self, Container};
use super::{Layout, SECTORS, Slot, Stated, TableFault};
use crate::stick::ByteSource;
use crate::volume::identify;
use crate::volume::little_endian::{u8_at, u32_at};
use crate::volume::survey::PartitionTable;
use crate::volume::window::Window;

/// A classic table and what it says of a GUID table.
pub(super) struct Classic {
    /// Its partitions.
    pub layout: Layout,
    /// Whether an entry says that a GUID table holds.
    pub protective: bool,
}

/// An entry of a classic table or of a link in the chain of an extended partition.
#[derive(Debug, Clone, Copy)]
pub(super) struct Entry {
    pub status: u8,
    pub kind: u8,
    /// In sectors.
    pub first: u64,
    /// In sectors.
    pub count: u64,
}

/// Protects a GUID table from programs that know only classic ones.
const PROTECTIVE: u8 = 0xEE;

impl Entry {
    pub(super) const fn is_used(&self) -> bool {
        self.kind != 0 && self.count != 0
    }

    pub(super) const fn is_extended(&self) -> bool {
        matches!(self.kind, 0x05 | 0x0F | 0x85)
    }

    /// A status is 80 for the partition to start from, else 00.
    pub(super) const fn is_plausible(&self) -> bool {
        matches!(self.status, 0x00 | 0x80)
    }
}

/// The four entries at byte 446, each of 16 bytes (layout: libvsmbr's documentation).
pub(super) fn entries(sector: &[u8; 512]) -> Vec<Entry> {
    let places = sector.get(446..510).unwrap_or_default().chunks_exact(16);
    let entry = |bytes: &[u8]| Entry {
        status: u8_at(bytes, 0),
        kind: u8_at(bytes, 4),
        first: u64::from(u32_at(bytes, 8)),
        count: u64::from(u32_at(bytes, 12)),
    };
    places.map(entry).collect()
}

pub(super) fn is_signed(sector: &[u8; 512]) -> bool {
    sector.ends_with(&[0x55, 0xAA])
}

/// Reads the table of the first sector, if there is one. Where its signature or a status is wrong it holds all the same
/// if a volume stands where an entry says: two structures that agree are no accident.
pub(super) fn read(source: &dyn ByteSource, window: &Window) -> Option<Classic> {
    let sector = window.bytes::<512>(0);
    let entries = entries(&sector);
    let used: Vec<Entry> = entries.iter().copied().filter(Entry::is_used).collect();
    let sector_bytes = borne_out(source, &used);
    let faults = faults(&sector, &entries);
    if sector_bytes.is_none() && (!faults.is_empty() || used.is_empty() && begins_volume(window, &sector)) {
        return None;
    }
    Some(classic(source, &used, sector_bytes, faults))
}

fn faults(sector: &[u8; 512], entries: &[Entry]) -> Vec<TableFault> {
    let signature =
        (!is_signed(sector)).then(|| TableFault::hiding("the table's signature is missing: not 55 AA at byte 510"));
    let implausible = entries.iter().filter(|entry| !entry.is_plausible());
    let status = implausible.map(|entry| {
        TableFault::harmless(format!("an entry of the table has the status {:02X}, neither 00 nor 80", entry.status))
    });
    signature.into_iter().chain(status).collect()
}

/// The sector size at which a volume, or a chain of further partitions, stands where an entry says. The table counts in
/// sectors of the drive, whose size it does not state.
fn borne_out(source: &dyn ByteSource, used: &[Entry]) -> Option<u32> {
    SECTORS.into_iter().find(|sector| {
        used.iter().filter(|entry| entry.first != 0).any(|entry| {
            let Some(offset) = entry.first.checked_mul(u64::from(*sector)) else { return false };
            let there = Window::new(source, offset);
            if entry.is_extended() { extended::begins(&there) } else { identify::by_first_sector(&there).is_some() }
        })
    })
}

/// The first sector of a volume may end in the same signature with zeros before it; its jump, or what follows it, tells it
/// apart from an empty table.
fn begins_volume(window: &Window, sector: &[u8; 512]) -> bool {
    matches!(sector, [0xEB, _, 0x90, ..] | [0xE9, ..]) || !identify::any(window).is_nameless()
}

fn classic(source: &dyn ByteSource, used: &[Entry], borne_out: Option<u32>, mut faults: Vec<TableFault>) -> Classic {
    let sector = borne_out.unwrap_or(512);
    let (extended, primary): (Vec<Entry>, Vec<Entry>) = used.iter().partition(|entry| entry.is_extended());
    let volumes = primary.iter().filter(|entry| entry.kind != PROTECTIVE);
    let mut slots: Vec<Slot> = volumes.filter_map(|entry| slot(entry, 0, sector)).collect();
    for entry in &extended {
        let container = Container { source, first: entry.first, count: entry.count, sector_bytes: sector };
        let (inside, wrong) = container.partitions();
        slots.extend(inside);
        faults.extend(wrong);
    }
    let layout = Layout {
        table: Some(PartitionTable::Mbr),
        slots,
        sector_bytes: borne_out.filter(|sector| *sector != 512),
        faults,
        ..Layout::default()
    };
    Classic { layout, protective: primary.iter().any(|entry| entry.kind == PROTECTIVE) }
}

/// The place an entry speaks of; it counts from `base`, in sectors. No place is beyond what 64 bits hold: 32-bit counts of
/// at most 4096 bytes.
pub(super) fn slot(entry: &Entry, base: u64, sector_bytes: u32) -> Option<Slot> {
    let sector = u64::from(sector_bytes);
    Some(Slot {
        offset: base.checked_add(entry.first)?.checked_mul(sector)?,
        size: entry.count.checked_mul(sector),
        stated: Stated::Byte(entry.kind),
        logical: false,
    })
}
