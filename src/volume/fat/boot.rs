//! The boot sector, field by field, each limit beside its source: FAT05 "Boot Sector and BPB".

use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u8_at, u16_at, u32_at};

/// How wide the entries of the file allocation table are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FatKind {
    /// 12 bits.
    Fat12,
    /// 16 bits.
    Fat16,
    /// 32 bits, of which 28 are used.
    Fat32,
}

impl FatKind {
    /// The kind, by the number of clusters alone (FAT05 "FAT Type Determination").
    #[must_use]
    pub const fn of_clusters(count: u32) -> Self {
        match count {
            0..4085 => Self::Fat12,
            4085..65_525 => Self::Fat16,
            _ => Self::Fat32,
        }
    }

    /// The width of an entry in bits.
    #[must_use]
    pub const fn entry_bits(self) -> u32 {
        match self {
            Self::Fat12 => 12,
            Self::Fat16 => 16,
            Self::Fat32 => 32,
        }
    }

    /// The file system of this name.
    #[must_use]
    pub const fn file_system(self) -> FileSystem {
        match self {
            Self::Fat12 => FileSystem::Fat12,
            Self::Fat16 => FileSystem::Fat16,
            Self::Fat32 => FileSystem::Fat32,
        }
    }
}

/// A boot sector whose fields are all within their limits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BootSector {
    /// Bytes in a sector: 512, 1024, 2048 or 4096.
    pub bytes_per_sector: u32,
    /// Sectors in a cluster: a power of two up to 128.
    pub sectors_per_cluster: u32,
    /// Sectors before the first table.
    pub reserved_sectors: u32,
    /// File allocation tables: 1 or 2.
    pub tables: u32,
    /// Entries of the root directory; 0 on FAT32.
    pub root_entries: u32,
    /// Sectors of the volume.
    pub total_sectors: u32,
    /// Media byte, repeated in the table's first entry.
    pub media: u8,
    /// Sectors of one table.
    pub table_sectors: u32,
    /// FAT32: bit 7 tells that one table alone is in use, bits 0 to 3 which.
    pub ext_flags: u16,
    /// FAT32: where the root directory begins.
    pub root_cluster: u32,
    /// FAT32: the sector that holds the recorded free count.
    pub info_sector: u32,
    /// Bit 0: left open. Reserved in FAT05; used so by Windows, Linux and dosfstools.
    pub state: u8,
    /// Whether the fields are laid out as FAT32 has them: no 16-bit size of the table.
    pub fat32_layout: bool,
}

impl BootSector {
    /// Reads the fields.
    ///
    /// # Errors
    /// Every field outside its limit, with its limit, one line each.
    pub fn parse(sector: &[u8; 512]) -> Result<Self, Vec<String>> {
        let (boot, mut faults) = Self::parse_places(sector);
        faults.splice(0..0, boot.formal_faults(sector));
        if faults.is_empty() { Ok(boot) } else { Err(faults) }
    }

    /// The fields, and those outside their limits from which the places of tables and clusters follow.
    pub(super) fn parse_places(sector: &[u8; 512]) -> (Self, Vec<String>) {
        let boot = Self::fields(sector);
        let mut faults = Vec::new();
        boot.check_units(&mut faults);
        if boot.fat32_layout {
            // Volumes too small for FAT32 state their sectors here alone, against the specification.
            let short_total = if u32_at(sector, 32) == 0 { 0 } else { u16_at(sector, 19) };
            boot.check_fat32(u16_at(sector, 42), short_total, &mut faults);
        }
        if faults.is_empty() {
            boot.check_sizes(&mut faults);
        }
        (boot, faults)
    }

    /// What must be so and says nothing of any place.
    pub(super) fn formal_faults(&self, sector: &[u8; 512]) -> Vec<String> {
        let signature = (!sector.ends_with(&[0x55, 0xAA])).then(|| "signature: not 55 AA at byte 510".to_owned());
        let media = (!is_media_byte(self.media)).then(|| format!("media byte: {:02X} (F0, or F8 to FF)", self.media));
        signature.into_iter().chain(media).collect()
    }

    fn fields(sector: &[u8; 512]) -> Self {
        let (short_total, short_table) = (u16_at(sector, 19), u16_at(sector, 22));
        let fat32_layout = short_table == 0;
        Self {
            bytes_per_sector: u32::from(u16_at(sector, 11)),
            sectors_per_cluster: u32::from(u8_at(sector, 13)),
            reserved_sectors: u32::from(u16_at(sector, 14)),
            tables: u32::from(u8_at(sector, 16)),
            root_entries: u32::from(u16_at(sector, 17)),
            total_sectors: if short_total == 0 { u32_at(sector, 32) } else { u32::from(short_total) },
            media: u8_at(sector, 21),
            table_sectors: if fat32_layout { u32_at(sector, 36) } else { u32::from(short_table) },
            ext_flags: if fat32_layout { u16_at(sector, 40) } else { 0 },
            root_cluster: if fat32_layout { u32_at(sector, 44) } else { 0 },
            info_sector: if fat32_layout { u32::from(u16_at(sector, 48)) } else { 0 },
            state: u8_at(sector, if fat32_layout { 65 } else { 37 }),
            fat32_layout,
        }
    }

    fn check_units(&self, faults: &mut Vec<String>) {
        if !matches!(self.bytes_per_sector, 512 | 1024 | 2048 | 4096) {
            faults.push(format!("bytes in a sector: {} (512, 1024, 2048 or 4096)", self.bytes_per_sector));
        }
        if !self.sectors_per_cluster.is_power_of_two() || self.sectors_per_cluster > 128 {
            faults.push(format!("sectors in a cluster: {} (a power of two up to 128)", self.sectors_per_cluster));
        }
        if self.reserved_sectors == 0 {
            faults.push("reserved sectors: 0 (at least 1)".to_owned());
        }
        // "2 is recommended, 1 is acceptable"; no writer of anything else is known.
        if !matches!(self.tables, 1 | 2) {
            faults.push(format!("file allocation tables: {} (1 or 2)", self.tables));
        }
        if self.table_sectors == 0 {
            faults.push("sectors of a table: 0 (at least 1)".to_owned());
        }
    }

    fn check_fat32(&self, version: u16, short_total: u16, faults: &mut Vec<String>) {
        if self.root_entries != 0 {
            faults.push(format!("entries of the root directory: {} (0 on FAT32)", self.root_entries));
        }
        if version != 0 {
            faults.push(format!("version: {version} (0)"));
        }
        if short_total != 0 {
            faults.push(format!("16-bit count of sectors: {short_total} (0 on FAT32)"));
        }
        if self.root_cluster < 2 {
            faults.push(format!("cluster of the root directory: {} (at least 2)", self.root_cluster));
        }
    }

    fn check_sizes(&self, faults: &mut Vec<String>) {
        let count = self.cluster_count();
        if count == 0 {
            let (total, before) = (self.total_sectors, self.data_sector());
            faults.push(format!("sectors: {total} (more than the {before} that come before the first cluster)"));
        } else if !self.fat32_layout && FatKind::of_clusters(count) == FatKind::Fat32 {
            faults.push(format!("clusters: {count} (below 65525 without the fields of FAT32)"));
        } else if !self.fat32_layout && self.root_entries == 0 {
            faults.push("entries of the root directory: 0 (at least 1 on FAT12 and FAT16)".to_owned());
        } else if self.fat32_layout && self.root_cluster > count.saturating_add(1) {
            faults.push(format!("cluster of the root directory: {} (at most {})", self.root_cluster, count + 1));
        }
    }

    /// The kind of table. FAT05 goes by the count of clusters alone. One exception: a volume with the fields of FAT32
    /// but too few clusters for it (a formatter forced it) can only be read as FAT32, so it is.
    #[must_use]
    pub const fn kind(&self) -> FatKind {
        if self.fat32_layout { FatKind::Fat32 } else { FatKind::of_clusters(self.cluster_count()) }
    }

    /// Bytes in a cluster.
    #[must_use]
    pub const fn cluster_bytes(&self) -> u64 {
        self.bytes_per_sector as u64 * self.sectors_per_cluster as u64
    }

    /// The clusters the volume has room for (FAT05 "FAT Type Determination"); the first is number 2.
    #[must_use]
    pub const fn cluster_count(&self) -> u32 {
        let sectors = (self.total_sectors as u64).saturating_sub(self.data_sector());
        match sectors.checked_div(self.sectors_per_cluster as u64) {
            // At most the total of sectors, which has 32 bits.
            Some(count) => count as u32,
            None => 0,
        }
    }

    /// The clusters that can be used: no more than one table has entries for.
    #[must_use]
    pub fn usable_clusters(&self) -> u32 {
        let bits = u64::from(self.table_sectors) * u64::from(self.bytes_per_sector) * 8;
        let entries = bits / u64::from(self.kind().entry_bits());
        // FAT05: entry FFFFFF7 marks a bad cluster, so no cluster has a number from there on.
        let entries = entries.min(0x0FFF_FFF7).saturating_sub(2);
        self.cluster_count().min(u32::try_from(entries).unwrap_or(u32::MAX))
    }

    /// Whether a table has about as many entries as the volume has clusters: formatters round up by a few sectors only.
    #[must_use]
    pub fn table_fits_clusters(&self) -> bool {
        let bits = (u64::from(self.cluster_count()) + 2) * u64::from(self.kind().entry_bits());
        let needed = bits.div_ceil(u64::from(self.bytes_per_sector.max(1)) * 8);
        let spare = 16 + u64::from(self.sectors_per_cluster) + needed / 32;
        (needed..=needed + spare).contains(&u64::from(self.table_sectors))
    }

    /// The sector in which cluster 2 begins.
    #[must_use]
    pub const fn data_sector(&self) -> u64 {
        self.root_sector() + self.root_bytes().div_ceil(self.sector_divisor())
    }

    /// The sector after the tables: of the root directory on FAT12 and FAT16.
    #[must_use]
    pub const fn root_sector(&self) -> u64 {
        self.reserved_sectors as u64 + self.tables as u64 * self.table_sectors as u64
    }

    /// The bytes of the root directory of FAT12 and FAT16; 0 on FAT32.
    #[must_use]
    pub const fn root_bytes(&self) -> u64 {
        self.root_entries as u64 * 32
    }

    /// Where a table begins, in bytes from the start of the volume. The first is number 0.
    #[must_use]
    pub const fn table_offset(&self, number: u32) -> u64 {
        (self.reserved_sectors as u64 + number as u64 * self.table_sectors as u64) * self.bytes_per_sector as u64
    }

    /// Where a cluster begins, in bytes from the start of the volume.
    #[must_use]
    pub const fn cluster_offset(&self, cluster: u32) -> u64 {
        let sectors = (cluster.saturating_sub(2)) as u64 * self.sectors_per_cluster as u64;
        (self.data_sector() + sectors) * self.bytes_per_sector as u64
    }

    /// The bytes of the volume.
    #[must_use]
    pub const fn volume_bytes(&self) -> u64 {
        self.total_sectors as u64 * self.bytes_per_sector as u64
    }

    const fn sector_divisor(&self) -> u64 {
        if self.bytes_per_sector == 0 { 1 } else { self.bytes_per_sector as u64 }
    }
}

/// The values of the media byte (FAT05 "Boot Sector and BPB").
pub(super) const fn is_media_byte(byte: u8) -> bool {
    matches!(byte, 0xF0 | 0xF8..=0xFF)
}
