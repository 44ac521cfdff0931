//! Where everything stands on a FAT volume made here, by arithmetic of its own.
//!
//! Layout and entry widths: Microsoft FAT Specification, 30 Aug 2005, "Boot Sector and BPB" and "FAT".

use std::ops::Range;

use fatfs::FatType;

pub const SECTOR: usize = 512;

/// A directory entry, of a short name or of a piece of a long one.
pub const SLOT: usize = 32;

/// The sector in which FAT32 keeps its second boot sector.
pub const BACKUP_SECTOR: usize = 6;

#[derive(Debug, Clone)]
pub struct Geometry {
    pub kind: FatType,
    /// Where the volume begins on the medium, in bytes.
    pub start: usize,
    pub sectors_per_cluster: usize,
    pub reserved: usize,
    pub table_sectors: usize,
    pub root_entries: usize,
    pub clusters: usize,
}

impl Geometry {
    /// As small as the kind may be, sixteen clusters and more away from the next kind as the specification advises.
    pub fn smallest(kind: FatType) -> Self {
        let (sectors_per_cluster, reserved, root_entries, clusters) = match kind {
            FatType::Fat12 => (2, 1, 256, 2_000),
            FatType::Fat16 => (2, 4, 512, 4_200),
            FatType::Fat32 => (1, 32, 0, 65_600),
        };
        let table_sectors = ((clusters + 2) * Self::link_bits(kind)).div_ceil(8 * SECTOR);
        Self { kind, start: 0, sectors_per_cluster, reserved, table_sectors, root_entries, clusters }
    }

    fn link_bits(kind: FatType) -> usize {
        match kind {
            FatType::Fat12 => 12,
            FatType::Fat16 => 16,
            FatType::Fat32 => 32,
        }
    }

    pub fn cluster_bytes(&self) -> usize {
        self.sectors_per_cluster * SECTOR
    }

    pub fn total_sectors(&self) -> usize {
        (self.cluster(self.clusters as u32 + 1).end - self.start) / SECTOR
    }

    /// The boot sectors, the first one and on FAT32 its copy.
    pub fn boot_sectors(&self) -> Vec<usize> {
        let copy = (self.kind == FatType::Fat32).then_some(self.start + BACKUP_SECTOR * SECTOR);
        std::iter::once(self.start).chain(copy).collect()
    }

    /// The bytes of table 0 or 1.
    pub fn table(&self, number: usize) -> Range<usize> {
        let at = self.start + (self.reserved + number * self.table_sectors) * SECTOR;
        at..at + self.table_sectors * SECTOR
    }

    /// The root directory of fixed length; nothing on FAT32.
    pub fn root_area(&self) -> Range<usize> {
        let at = self.table(1).end;
        at..at + self.root_entries * SLOT
    }

    pub fn cluster(&self, number: u32) -> Range<usize> {
        let at = self.root_area().end + (number as usize - 2) * self.cluster_bytes();
        at..at + self.cluster_bytes()
    }

    /// The bytes that hold a cluster's link; on FAT12 it shares one of them with its neighbour.
    pub fn link_bytes(&self, table: usize, cluster: u32) -> Range<usize> {
        let bits = cluster as usize * Self::link_bits(self.kind);
        let at = self.table(table).start + bits / 8;
        at..at + Self::link_bits(self.kind).div_ceil(8)
    }

    /// What a table says of a cluster, without the bits that belong to its neighbour or are reserved; every mark of an
    /// end is the same. `None` where a byte is missing.
    pub fn link(&self, byte: impl Fn(usize) -> Option<u8>, table: usize, cluster: u32) -> Option<u32> {
        let bytes = self.link_bytes(table, cluster).map(byte).collect::<Option<Vec<_>>>()?;
        let value = bytes.iter().rev().fold(0_u32, |value, byte| value << 8 | u32::from(*byte));
        let (value, bad) = match self.kind {
            FatType::Fat12 if cluster.is_multiple_of(2) => (value & 0xFFF, 0xFF7),
            FatType::Fat12 => (value >> 4, 0xFF7),
            FatType::Fat16 => (value, 0xFFF7),
            FatType::Fat32 => (value & 0x0FFF_FFFF, 0x0FFF_FFF7),
        };
        Some(if value > bad { u32::MAX } else { value })
    }
}
