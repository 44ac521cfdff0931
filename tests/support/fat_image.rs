//! Small FAT volumes and readable ways of damaging them.
//!
//! The crate `fatfs` formats and fills them; the damage is done by this file's own arithmetic on the bytes.

use std::io::{Cursor, Write};

use fatfs::{Date, DateTime, FatType, FileSystem, FormatVolumeOptions, FsOptions, Time, TimeProvider};

pub const EVERY_KIND: [FatType; 3] = [FatType::Fat12, FatType::Fat16, FatType::Fat32];

/// The name people know a kind by.
pub fn kind_name(kind: FatType) -> &'static str {
    match kind {
        FatType::Fat12 => "FAT12",
        FatType::Fat16 => "FAT16",
        FatType::Fat32 => "FAT32",
    }
}

/// 7 March 2025, 13:05:42, whenever the test runs.
#[derive(Debug)]
struct SaleDay;

impl TimeProvider for SaleDay {
    fn get_current_date(&self) -> Date {
        Date { year: 2025, month: 3, day: 7 }
    }

    fn get_current_date_time(&self) -> DateTime {
        DateTime { date: self.get_current_date(), time: Time { hour: 13, min: 5, sec: 42, millis: 0 } }
    }
}

/// The text of an export: a header and `drafts` rows.
pub fn export(drafts: usize) -> Vec<u8> {
    let mut text = b"No,Date,Time,Head,Weight\r\n".to_vec();
    for number in 1..=drafts {
        let minute = number % 60;
        writeln!(text, "{number:05},2025-03-07,13:{minute:02},12,{}\r", 14_000 + number * 7).unwrap();
    }
    text
}

/// A volume in memory: clusters of 512 bytes, as few as its kind allows, times that do not change.
#[derive(Clone)]
pub struct FatImage {
    pub kind: FatType,
    pub bytes: Vec<u8>,
}

impl FatImage {
    pub fn blank(kind: FatType) -> Self {
        let sectors = match kind {
            FatType::Fat12 => 600,
            FatType::Fat16 => 4_300,
            FatType::Fat32 => 67_000,
        };
        Self::formatted(kind, sectors)
    }

    fn formatted(kind: FatType, sectors: usize) -> Self {
        let mut disk = Cursor::new(vec![0; sectors * 512]);
        let options = FormatVolumeOptions::new()
            .fat_type(kind)
            .bytes_per_cluster(512)
            .max_root_dir_entries(64)
            .volume_label(*b"SALE DAY   ");
        fatfs::format_volume(&mut disk, options).unwrap();
        Self { kind, bytes: disk.into_inner() }
    }

    /// A volume with two exports and one in a folder: `TX0001.CSV` of 40 rows, `TX0002.CSV` of 30,
    /// `OLD/A longer name.csv` of 20.
    pub fn with_exports(kind: FatType) -> Self {
        let mut image = Self::as_fatfs_leaves(kind);
        image.settle_dots(b"OLD        ");
        image
    }

    /// The same with a folder whose two dots have long names, as fatfs writes them.
    pub fn as_fatfs_leaves(kind: FatType) -> Self {
        let mut image = Self::blank(kind);
        image.write("TX0001.CSV", &export(40));
        image.write("TX0002.CSV", &export(30));
        image.write("OLD/A longer name.csv", &export(20));
        image
    }

    /// fatfs puts long names before a folder's two dots, and on FAT32 says where the root directory begins where a zero
    /// belongs. By the FAT specification (2005, "Directory Structure") the dots are the first two entries and have no
    /// long names, and above a folder of the root directory is cluster 0.
    fn settle_dots(&mut self, folder: &[u8; 11]) {
        let start = self.cluster(self.first_cluster(folder));
        let slots: Vec<[u8; 32]> =
            self.bytes[start..start + 512].chunks_exact(32).map(|slot| slot.try_into().unwrap()).collect();
        let is_piece = |slot: &[u8; 32]| slot[11] == 0x0F;
        let of_dot = |at: usize| slots[at..].iter().find(|slot| !is_piece(slot)).is_some_and(|entry| entry[0] == b'.');
        let mut kept: Vec<[u8; 32]> =
            (0..slots.len()).filter(|at| !(is_piece(&slots[*at]) && of_dot(*at))).map(|at| slots[at]).collect();
        for place in [20, 21, 26, 27] {
            kept[1][place] = 0;
        }
        kept.resize(slots.len(), [0; 32]);
        self.bytes[start..start + 512].copy_from_slice(&kept.concat());
    }

    /// Writes a file, and the folder it stands in.
    pub fn write(&mut self, path: &str, content: &[u8]) {
        let options = FsOptions::new().time_provider(&SaleDay);
        let volume = FileSystem::new(Cursor::new(&mut self.bytes), options).unwrap();
        let root = volume.root_dir();
        if let Some((folder, _)) = path.rsplit_once('/') {
            root.create_dir(folder).unwrap();
        }
        let mut file = root.create_file(path).unwrap();
        file.truncate().unwrap();
        file.write_all(content).unwrap();
    }

    pub fn delete(&mut self, path: &str) {
        let volume = FileSystem::new(Cursor::new(&mut self.bytes), FsOptions::new()).unwrap();
        volume.root_dir().remove(path).unwrap();
    }

    pub fn u16_at(&self, at: usize) -> usize {
        usize::from(u16::from_le_bytes([self.bytes[at], self.bytes[at + 1]]))
    }

    fn u32_at(&self, at: usize) -> usize {
        self.u16_at(at) | self.u16_at(at + 2) << 16
    }

    fn table_sectors(&self) -> usize {
        if self.kind == FatType::Fat32 { self.u32_at(36) } else { self.u16_at(22) }
    }

    /// Where table 0 or 1 begins.
    pub fn table(&self, number: usize) -> usize {
        (self.u16_at(14) + number * self.table_sectors()) * 512
    }

    /// Where the root directory begins.
    pub fn root(&self) -> usize {
        if self.kind == FatType::Fat32 { self.cluster(self.u32_at(44)) } else { self.table(2) }
    }

    /// Where a cluster begins.
    pub fn cluster(&self, number: usize) -> usize {
        self.table(2) + self.u16_at(17) * 32 + (number - 2) * 512
    }

    /// Where the directory entry of this short name stands; `name` is as stored, in eleven characters.
    pub fn entry(&self, name: &[u8; 11]) -> usize {
        (self.table(2)..self.bytes.len()).step_by(32).find(|at| self.bytes[*at..].starts_with(name)).unwrap()
    }

    /// The first cluster of a file.
    pub fn first_cluster(&self, name: &[u8; 11]) -> usize {
        let entry = self.entry(name);
        self.u16_at(entry + 26) | if self.kind == FatType::Fat32 { self.u16_at(entry + 20) << 16 } else { 0 }
    }

    /// Sets what a table says of a cluster.
    pub fn link(&mut self, table: usize, cluster: usize, value: u32) {
        let table = self.table(table);
        match self.kind {
            FatType::Fat12 => {
                let at = table + cluster * 3 / 2;
                let old = self.u16_at(at) as u16;
                let value = value as u16 & 0xFFF;
                let new = if cluster.is_multiple_of(2) { old & 0xF000 | value } else { old & 0x000F | value << 4 };
                self.bytes[at..at + 2].copy_from_slice(&new.to_le_bytes());
            }
            FatType::Fat16 => {
                self.bytes[table + cluster * 2..][..2].copy_from_slice(&(value as u16).to_le_bytes());
            }
            FatType::Fat32 => self.bytes[table + cluster * 4..][..4].copy_from_slice(&value.to_le_bytes()),
        }
    }

    /// The same in both tables.
    pub fn link_both(&mut self, cluster: usize, value: u32) {
        self.link(0, cluster, value);
        self.link(1, cluster, value);
    }

    /// The number that marks a bad cluster.
    pub fn bad(&self) -> u32 {
        match self.kind {
            FatType::Fat12 => 0xFF7,
            FatType::Fat16 => 0xFFF7,
            FatType::Fat32 => 0x0FFF_FFF7,
        }
    }

    /// The number that marks the end of a file.
    pub fn end(&self) -> u32 {
        self.bad() | 0xF
    }
}

/// Puts a volume into the only partition of a disk: table in sector 0, volume from sector 63 on.
pub fn in_partition(volume: &[u8], type_byte: u8) -> Vec<u8> {
    let mut disk = vec![0; 63 * 512];
    disk.extend_from_slice(volume);
    disk[446 + 4] = type_byte;
    disk[446 + 8..446 + 12].copy_from_slice(&63_u32.to_le_bytes());
    disk[446 + 12..446 + 16].copy_from_slice(&(volume.len() as u32 / 512).to_le_bytes());
    disk[510..512].copy_from_slice(&[0x55, 0xAA]);
    disk
}
