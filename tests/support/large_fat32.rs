//! Large FAT32 volumes in sparse files: everything that tells where files lie is written, their content is left as holes.
//!
//! Files are added one after the other, as an indicator would: a folder grows among its files, so that it lies in pieces.

use std::fs::File;
use std::io::{Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::Path;

use counterfoil::volume::fat::long_name_checksum;

const SECTOR: u64 = 512;
const RESERVED_SECTORS: u64 = 32;
const END: u32 = 0x0FFF_FFFF;
const LABEL: &[u8; 11] = b"SALE DAY   ";

/// What to build.
#[derive(Debug, Clone, Copy)]
pub struct Shape {
    pub size_bytes: u64,
    pub cluster_bytes: u64,
    pub folders: u32,
    pub files_in_each: u32,
    pub large_file_bytes: u32,
}

/// What was built.
pub struct Built {
    /// The length of both tables together.
    pub table_bytes: u64,
    /// The length of the clusters of all folders, the root among them.
    pub folder_bytes: u64,
    /// Where the content of files lies, in order.
    content: Vec<Range<u64>>,
}

impl Built {
    /// The least that tells where every file lies.
    pub fn structure_bytes(&self) -> u64 {
        self.table_bytes + self.folder_bytes
    }

    /// Whether a run of bytes touches the content of a file.
    pub fn holds_content(&self, run: &Range<u64>) -> bool {
        let index = self.content.partition_point(|content| content.end <= run.start);
        self.content.get(index).is_some_and(|content| content.start < run.end)
    }
}

/// Builds a volume in a new file.
pub fn build(path: &Path, shape: Shape) -> Built {
    let mut volume = Volume::new(shape);
    let mut root = Folder::new(&mut volume);
    root.add(&mut volume, &label());
    for number in 0..shape.folders {
        add_folder(&mut volume, &mut root, number);
    }
    let large = volume.claim_file(shape.large_file_bytes);
    root.add(
        &mut volume,
        &named("Season so far, all scales.csv", *b"SEASON~1CSV", 0x20, large, shape.large_file_bytes),
    );
    volume.folders.push(root);
    volume.write(&mut File::create_new(path).unwrap());
    Built {
        table_bytes: volume.table_sectors * SECTOR * 2,
        folder_bytes: volume.folders.iter().map(|folder| folder.clusters.len() as u64 * shape.cluster_bytes).sum(),
        content: volume.content,
    }
}

fn add_folder(volume: &mut Volume, root: &mut Folder, number: u32) {
    let day = format!("2026-{:02}-{:02}", 1 + number / 25 % 12, 1 + number % 25);
    let mut folder = Folder::new(volume);
    let start = folder.clusters[0];
    root.add(volume, &named(&format!("Sale day {day}"), short_name(number, b"   "), 0x10, start, 0));
    folder.add(volume, &entry(*b".          ", 0x10, start, 0));
    folder.add(volume, &entry(*b"..         ", 0x10, 0, 0));
    for draft in 1..=volume.shape.files_in_each {
        let size = 400 + (number * 1_009 + draft * 977) % 15_000;
        let start = volume.claim_file(size);
        let name = format!("Sale day {day} drafts {draft:04}.csv");
        folder.add(volume, &named(&name, short_name(draft, b"CSV"), 0x20, start, size));
    }
    volume.folders.push(folder);
}

/// One folder: its clusters, and its entries.
struct Folder {
    clusters: Vec<u32>,
    bytes: Vec<u8>,
}

impl Folder {
    fn new(volume: &mut Volume) -> Self {
        Self { clusters: vec![volume.claim()], bytes: Vec::new() }
    }

    fn add(&mut self, volume: &mut Volume, entries: &[u8]) {
        self.bytes.extend_from_slice(entries);
        while self.bytes.len() as u64 > self.clusters.len() as u64 * volume.shape.cluster_bytes {
            let next = volume.claim();
            volume.table[self.clusters[self.clusters.len() - 1] as usize] = next;
            self.clusters.push(next);
        }
    }
}

struct Volume {
    shape: Shape,
    table_sectors: u64,
    cluster_count: u64,
    table: Vec<u32>,
    content: Vec<Range<u64>>,
    folders: Vec<Folder>,
}

impl Volume {
    fn new(shape: Shape) -> Self {
        // The smallest tables that describe what they leave room for.
        let counted = |table_sectors: u64| {
            (shape.size_bytes - (RESERVED_SECTORS + 2 * table_sectors) * SECTOR) / shape.cluster_bytes
        };
        let table_sectors = (1..).find(|sectors| (counted(*sectors) + 2) * 4 <= sectors * SECTOR).unwrap();
        let table = vec![0x0FFF_FFF8, END];
        let cluster_count = counted(table_sectors);
        Self { shape, table_sectors, cluster_count, table, content: Vec::new(), folders: Vec::new() }
    }

    /// Where a cluster begins.
    fn place(&self, cluster: u32) -> u64 {
        (RESERVED_SECTORS + 2 * self.table_sectors) * SECTOR + u64::from(cluster - 2) * self.shape.cluster_bytes
    }

    /// The next free cluster, marked as an end.
    fn claim(&mut self) -> u32 {
        self.table.push(END);
        assert!(self.table.len() as u64 <= self.cluster_count + 2, "the volume is full");
        self.table.len() as u32 - 1
    }

    /// Clusters in a row for a file; its first one.
    fn claim_file(&mut self, size: u32) -> u32 {
        let first = self.claim();
        for next in 1..u64::from(size).div_ceil(self.shape.cluster_bytes) as u32 {
            assert_eq!(self.claim(), first + next);
            self.table[(first + next - 1) as usize] = first + next;
        }
        let start = self.place(first);
        self.content.push(start..start + u64::from(size));
        first
    }

    fn write(&self, file: &mut File) {
        file.set_len(self.shape.size_bytes).unwrap();
        for copy in [0, 6] {
            put(file, copy * SECTOR, &self.boot_sector());
            put(file, (copy + 1) * SECTOR, &self.info_sector());
        }
        let table: Vec<u8> = self.table.iter().flat_map(|link| link.to_le_bytes()).collect();
        for number in 0..2 {
            put(file, (RESERVED_SECTORS + number * self.table_sectors) * SECTOR, &table);
        }
        for folder in &self.folders {
            for (piece, cluster) in folder.bytes.chunks(self.shape.cluster_bytes as usize).zip(&folder.clusters) {
                put(file, self.place(*cluster), piece);
            }
        }
    }

    /// Microsoft FAT Specification, 30 August 2005, "Boot Sector and BPB".
    fn boot_sector(&self) -> [u8; 512] {
        let mut sector = [0; 512];
        sector[..11].copy_from_slice(b"\xEB\x58\x90SALE DAY");
        sector[11..13].copy_from_slice(&(SECTOR as u16).to_le_bytes());
        sector[13] = (self.shape.cluster_bytes / SECTOR) as u8;
        sector[14..16].copy_from_slice(&(RESERVED_SECTORS as u16).to_le_bytes());
        sector[16] = 2;
        sector[21] = 0xF8;
        sector[24] = 63;
        sector[26] = 255;
        sector[32..36].copy_from_slice(&((self.shape.size_bytes / SECTOR) as u32).to_le_bytes());
        sector[36..40].copy_from_slice(&(self.table_sectors as u32).to_le_bytes());
        sector[44] = 2;
        sector[48] = 1;
        sector[50] = 6;
        sector[64] = 0x80;
        sector[66..71].copy_from_slice(&[0x29, 0x07, 0x03, 0x26, 0x20]);
        sector[71..82].copy_from_slice(LABEL);
        sector[82..90].copy_from_slice(b"FAT32   ");
        sector[510..].copy_from_slice(&[0x55, 0xAA]);
        sector
    }

    /// The same, "FSInfo".
    fn info_sector(&self) -> [u8; 512] {
        let mut sector = [0; 512];
        let used = self.table.len() as u32 - 2;
        sector[..4].copy_from_slice(b"RRaA");
        sector[484..488].copy_from_slice(b"rrAa");
        sector[488..492].copy_from_slice(&(self.cluster_count as u32 - used).to_le_bytes());
        sector[492..496].copy_from_slice(&(self.table.len() as u32).to_le_bytes());
        sector[510..].copy_from_slice(&[0x55, 0xAA]);
        sector
    }
}

fn put(file: &mut File, at: u64, bytes: &[u8]) {
    file.seek(SeekFrom::Start(at)).unwrap();
    file.write_all(bytes).unwrap();
}

fn label() -> [u8; 32] {
    let mut bytes = entry(*LABEL, 0x08, 0, 0);
    bytes[20..22].fill(0);
    bytes
}

/// A short name no other number has.
fn short_name(number: u32, extension: &[u8; 3]) -> [u8; 11] {
    let mut name = *b"SA0000~1   ";
    name[2..6].copy_from_slice(format!("{number:04X}").as_bytes());
    name[8..].copy_from_slice(extension);
    name
}

/// A directory entry, last written on 7 March 2026, 13:05:42.
fn entry(name: [u8; 11], kind: u8, start: u32, size: u32) -> [u8; 32] {
    let mut bytes = [0; 32];
    bytes[..11].copy_from_slice(&name);
    bytes[11] = kind;
    bytes[20..22].copy_from_slice(&((start >> 16) as u16).to_le_bytes());
    bytes[22..26].copy_from_slice(&[0xB5, 0x68, 0x67, 0x5C]);
    bytes[26..28].copy_from_slice(&(start as u16).to_le_bytes());
    bytes[28..32].copy_from_slice(&size.to_le_bytes());
    bytes
}

/// A directory entry behind the slots of its long name.
fn named(long: &str, short: [u8; 11], kind: u8, start: u32, size: u32) -> Vec<u8> {
    let mut units: Vec<u16> = long.encode_utf16().collect();
    let slots = units.len().div_ceil(13);
    if !units.len().is_multiple_of(13) {
        units.push(0);
        units.resize(slots * 13, 0xFFFF);
    }
    let mut bytes = Vec::new();
    for (index, part) in units.chunks(13).enumerate().rev() {
        let mut slot = [0; 32];
        slot[0] = (index as u8 + 1) | if index + 1 == slots { 0x40 } else { 0 };
        slot[11] = 0x0F;
        slot[13] = long_name_checksum(&short);
        for (unit, at) in part.iter().zip([1, 3, 5, 7, 9, 14, 16, 18, 20, 22, 24, 28, 30]) {
            slot[at..at + 2].copy_from_slice(&unit.to_le_bytes());
        }
        bytes.extend_from_slice(&slot);
    }
    bytes.extend_from_slice(&entry(short, kind, start, size));
    bytes
}
