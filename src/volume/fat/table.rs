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
    /// The other, kept only where it differs.
    pub second: Option<Table>,
    /// How they differ.
    pub difference: Option<Difference>,
}

impl Tables {
    /// Loads and compares them.
    pub(super) fn load(window: &Window, boot: &BootSector) -> Self {
        // Bit 7 of the flags: one table alone is in use, and the other means nothing.
        let alone = boot.ext_flags & 0x80 != 0;
        let active = u32::from(boot.ext_flags & 0x0F);
        let active = if alone && active < boot.tables { active } else { 0 };
        let first = Table::load(window, boot, active);
        if alone || boot.tables < 2 {
            return Self { first, second: None, difference: None };
        }
        let second = Table::load(window, boot, 1);
        let difference = first.difference(&second);
        Self { first, second: difference.is_some().then_some(second), difference }
    }
}

impl Table {
    fn load(window: &Window, boot: &BootSector, number: u32) -> Self {
        let kind = boot.kind();
        let count = boot.usable_clusters().min(MAX_CLUSTERS) as usize + 2;
        let mut entries = Vec::with_capacity(count);
        // A block holds whole entries of every width, and whole pairs of 12-bit entries.
        let mut block = vec![0; 48 * 1024];
        let mut at = boot.table_offset(number);
        while entries.len() < count {
            window.read(at, &mut block);
            decode(kind, &block, count - entries.len(), &mut entries);
            at += block.len() as u64;
        }
        Self { kind, entries }
    }

    /// What the entry of `cluster` says.
    pub(super) fn link(&self, cluster: u32) -> Link {
        let Some(value) = self.entries.get(cluster as usize).copied().filter(|_| cluster >= 2) else {
            return Link::Outside(cluster);
        };
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

    /// Whether entry 1 says that the volume was left open (FAT05 "Reserved FAT Entries"); FAT12 has no such bit.
    pub(super) fn left_open(&self) -> Option<bool> {
        let flags = self.entries.get(1)?;
        let (open, error, end) = match self.kind {
            FatKind::Fat12 => return None,
            FatKind::Fat16 => (0x8000, 0x4000, 0xFFF8),
            FatKind::Fat32 => (0x0800_0000, 0x0400_0000, 0x0FFF_FFF8),
        };
        // The other bits are those of an end mark; where they are not, this is no entry 1 but damage.
        (flags | open | error >= end).then_some(flags & open == 0)
    }

    fn difference(&self, other: &Self) -> Option<Difference> {
        let mut differing = (0_u32..).zip(self.entries.iter().zip(&other.entries)).skip(2).filter(|(_, (a, b))| a != b);
        let (first, _) = differing.next()?;
        Some(Difference { first, count: 1 + u32::try_from(differing.count()).unwrap_or(u32::MAX - 1) })
    }
}

fn decode(kind: FatKind, block: &[u8], wanted: usize, entries: &mut Vec<u32>) {
    match kind {
        FatKind::Fat12 => {
            let pairs = block.chunks_exact(3).flat_map(|three| {
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
