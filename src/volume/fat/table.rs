//! The file allocation tables: FAT05 "FAT Entry Values".

use super::boot::{BootSector, FatKind};
use crate::volume::little_endian::{u16_at, u32_at};
use crate::volume::window::Window;

/// The clusters that are looked at, at most; it bounds the memory to 256 MiB and covers 64 GiB in clusters of 4 KiB.
pub(super) const MAX_CLUSTERS: u32 = 1 << 24;

/// What an entry says of its cluster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) enum Link {
    /// In no use.
    Free,
    /// The file goes on in this cluster.
    Next(u32),
    /// The last cluster of a file.
    End,
    /// Marked as not to be used.
    Bad,
    /// The number of a cluster the volume does not have.
    Outside(u32),
}

/// One table in memory.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Table {
    kind: FatKind,
    /// Entries 0 and 1, which belong to no cluster, and those of the usable clusters.
    entries: Vec<u32>,
}

/// How the two tables differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) struct Difference {
    /// The first cluster whose entries differ.
    pub first: u32,
    /// How many entries differ.
    pub count: u32,
}

/// Both tables.
pub(super) struct Tables {
    /// The one in use.
    pub first: Table,
    /// The entries of the other that differ, by cluster, in order.
    differing: Vec<(u32, u32)>,
}

impl Tables {
    /// Loads and compares them.
    pub(super) fn load(window: &Window, boot: &BootSector) -> Self {
        // Bit 7 of the flags: one table alone is in use, and the other means nothing.
        let alone = boot.ext_flags & 0x80 != 0;
        let active = u32::from(boot.ext_flags & 0x0F);
        let active = if alone && active < boot.tables { active } else { 0 };
        let first = Table::load(window, boot, active);
        let differing = if alone || boot.tables < 2 { Vec::new() } else { first.differing(window, boot, 1) };
        Self { first, differing }
    }

    /// How they differ, if they do.
    pub(super) fn difference(&self) -> Option<Difference> {
        let (first, _) = *self.differing.first()?;
        Some(Difference { first, count: u32::try_from(self.differing.len()).unwrap_or(u32::MAX) })
    }

    /// What the second table says of `cluster`, where it differs from the first.
    pub(super) fn other_link(&self, cluster: u32) -> Option<Link> {
        let index = self.differing.binary_search_by_key(&cluster, |(cluster, _)| *cluster).ok()?;
        self.differing.get(index).map(|(_, value)| self.first.meaning(*value))
    }

    /// Whether neither table has `cluster` in use.
    pub(super) fn is_free(&self, cluster: u32) -> bool {
        self.first.link(cluster) == Link::Free && matches!(self.other_link(cluster), None | Some(Link::Free))
    }
}

/// A table is read in blocks of this many bytes (960 KiB): whole entries of every width, whole pairs of 12-bit ones, and
/// few enough reads that a stick of 8 GB is looked through in a second.
const BLOCK_BYTES: usize = 960 << 10;

impl Table {
    fn load(window: &Window, boot: &BootSector, number: u32) -> Self {
        let kind = boot.kind();
        let mut entries = Vec::with_capacity(entry_count(boot));
        each_block(window, boot, number, |block| entries.extend_from_slice(block));
        Self { kind, entries }
    }

    /// The entries of table `number` that differ from these.
    fn differing(&self, window: &Window, boot: &BootSector, number: u32) -> Vec<(u32, u32)> {
        let mut differing = Vec::new();
        let mut at = 0;
        each_block(window, boot, number, |block| {
            let own = self.entries.get(at..).unwrap_or_default();
            // Tables are mostly alike: whole blocks are compared before single entries.
            if own.get(..block.len()) != Some(block) {
                let pairs = (at..).zip(block.iter().zip(own)).filter(|(cluster, (a, b))| *cluster >= 2 && a != b);
                differing.extend(pairs.map(|(cluster, (value, _))| (cluster as u32, *value)));
            }
            at += block.len();
        });
        differing
    }

    /// What the entry of `cluster` says.
    pub(super) fn link(&self, cluster: u32) -> Link {
        let value = self.entries.get(cluster as usize).copied().filter(|_| cluster >= 2);
        value.map_or(Link::Outside(cluster), |value| self.meaning(value))
    }

    /// FAT05 "FAT Entry Values".
    fn meaning(&self, value: u32) -> Link {
        let (bad, end) = match self.kind {
            FatKind::Fat12 => (0xFF7, 0xFF8),
            FatKind::Fat16 => (0xFFF7, 0xFFF8),
            FatKind::Fat32 => (0x0FFF_FFF7, 0x0FFF_FFF8),
        };
        match value {
            0 => Link::Free,
            _ if value >= end => Link::End,
            _ if value == bad => Link::Bad,
            _ if self.has(value) => Link::Next(value),
            _ => Link::Outside(value),
        }
    }

    /// Whether the volume has this cluster.
    pub(super) fn has(&self, cluster: u32) -> bool {
        cluster >= 2 && (cluster as usize) < self.entries.len()
    }

    /// How many entries there are, the first two included.
    pub(super) fn len(&self) -> usize {
        self.entries.len()
    }

    /// How many clusters are in no use.
    pub(super) fn free(&self) -> u64 {
        self.entries.iter().skip(2).filter(|entry| **entry == 0).count() as u64
    }

    /// How many clusters are marked as not to be used.
    pub(super) fn bad(&self) -> u64 {
        self.entries.iter().skip(2).filter(|entry| self.meaning(**entry) == Link::Bad).count() as u64
    }

    /// What entry 1 says of the volume (FAT05 "Reserved FAT Entries"); FAT12 has no such bits.
    pub(super) fn marks(&self) -> Option<Marks> {
        let flags = self.entries.get(1)?;
        let (open, error, end) = match self.kind {
            FatKind::Fat12 => return None,
            FatKind::Fat16 => (0x8000, 0x4000, 0xFFF8),
            FatKind::Fat32 => (0x0800_0000, 0x0400_0000, 0x0FFF_FFF8),
        };
        // The other bits are those of an end mark; where they are not, this is no entry 1 but damage.
        (flags | open | error >= end).then_some(Marks { left_open: flags & open == 0, hard_error: flags & error == 0 })
    }
}

/// What a volume's table says of its last use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Marks {
    /// It was not closed.
    pub left_open: bool,
    /// A writer met a place that could not be read or written.
    pub hard_error: bool,
}

/// How many entries of a table are of use.
fn entry_count(boot: &BootSector) -> usize {
    boot.usable_clusters().min(MAX_CLUSTERS) as usize + 2
}

/// Reads table `number` block by block, and no byte behind its last entry of use.
fn each_block(window: &Window, boot: &BootSector, number: u32, mut take: impl FnMut(&[u32])) {
    let kind = boot.kind();
    let mut left = entry_count(boot);
    let bytes = (left as u64 * u64::from(kind.entry_bits())).div_ceil(8);
    let mut at = boot.table_offset(number);
    let end = at.saturating_add(bytes);
    let mut block = vec![0; BLOCK_BYTES.min(usize::try_from(bytes).unwrap_or(BLOCK_BYTES))];
    let mut entries = Vec::new();
    while left > 0 && at < end {
        let length = usize::try_from(end - at).unwrap_or(BLOCK_BYTES).min(block.len());
        let piece = block.get_mut(..length).unwrap_or_default();
        window.read(at, piece);
        entries.clear();
        decode(kind, piece, left, &mut entries);
        take(&entries);
        left = left.saturating_sub(entries.len().max(1));
        at = at.saturating_add(length as u64);
    }
}

fn decode(kind: FatKind, block: &[u8], wanted: usize, entries: &mut Vec<u32>) {
    match kind {
        FatKind::Fat12 => {
            // The last two bytes may hold one entry alone.
            let pairs = block.chunks(3).flat_map(|three| {
                let bits = u32_at(three, 0);
                [bits & 0xFFF, bits >> 12 & 0xFFF]
            });
            entries.extend(pairs.take(wanted));
        }
        FatKind::Fat16 => {
            entries.extend(block.chunks_exact(2).take(wanted).map(|two| u32::from(u16_at(two, 0))));
        }
        // The upper four bits are reserved and no part of the number.
        FatKind::Fat32 => {
            entries.extend(block.chunks_exact(4).take(wanted).map(|four| u32_at(four, 0) & 0x0FFF_FFFF));
        }
    }
}
