//! The undamaged volumes: two tables, nested folders, long names, interleaved chains, old rows in slack and free clusters.

use std::collections::BTreeMap;

use fatfs::FatType;

use super::super::fat_image::{FatImage, in_partition, kind_name};
use super::super::memory::Numbers;
use super::geometry::{BACKUP_SECTOR, Geometry, SECTOR, SLOT};
use super::tree::{self, Node};

const LABEL: &[u8; 11] = b"SALE DAY   ";

/// A medium with one volume, and the whole map of it.
pub struct Base {
    pub name: String,
    pub bytes: Vec<u8>,
    pub geometry: Geometry,
    pub nodes: Vec<Node>,
    /// The chain of the root directory; empty where its place is fixed.
    pub root: Vec<u32>,
    /// Where each directory's slots stand, in order; `None`: the root directory.
    pub slots: BTreeMap<Option<usize>, Vec<usize>>,
}

impl Base {
    /// The volume alone on its medium, or in its only partition.
    pub fn new(kind: FatType, partitioned: bool) -> Self {
        let mut writer = Writer::new(Geometry::smallest(kind));
        writer.allocate();
        writer.write_boot();
        writer.write_links();
        writer.write_directories();
        writer.write_contents();
        let mut base = writer.base;
        if partitioned {
            let types = [(FatType::Fat12, 0x01), (FatType::Fat16, 0x04), (FatType::Fat32, 0x0B)];
            let (_, type_byte) = types.into_iter().find(|(of, _)| *of == kind).unwrap();
            base.bytes = in_partition(&base.bytes, type_byte);
            base.name.push_str(" in a partition");
            base.moved(base.bytes.len() - base.geometry.total_sectors() * SECTOR);
        }
        base
    }

    fn moved(&mut self, by: usize) {
        self.geometry.start += by;
        for node in &mut self.nodes {
            node.entry += by;
            node.name_slots.iter_mut().for_each(|at| *at += by);
        }
        self.slots.values_mut().flatten().for_each(|at| *at += by);
    }

    /// The files that are there, by their index among the nodes.
    pub fn files(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.nodes.len()).filter(|index| !self.nodes[*index].folder && !self.nodes[*index].deleted)
    }

    /// A node and the folders it stands in, outermost first.
    pub fn way(&self, index: usize) -> Vec<&Node> {
        let mut way: Vec<_> =
            std::iter::successors(Some(index), |at| self.nodes[*at].parent).map(|at| &self.nodes[at]).collect();
        way.reverse();
        way
    }

    pub fn path(&self, index: usize) -> String {
        self.way(index).iter().map(|node| node.name.as_str()).collect::<Vec<_>>().join("/")
    }

    /// Every chain: of the root directory, of folders, of files.
    pub fn chains(&self) -> impl Iterator<Item = &[u32]> {
        let nodes = self.nodes.iter().filter(|node| !node.deleted).map(|node| node.clusters.as_slice());
        std::iter::once(self.root.as_slice()).chain(nodes).filter(|chain| !chain.is_empty())
    }
}

struct Writer {
    base: Base,
    numbers: Numbers,
}

impl Writer {
    fn new(geometry: Geometry) -> Self {
        let mut numbers = Numbers(0x5A1E_0DA7);
        let nodes = tree::nodes(&geometry, &mut numbers);
        let bytes = vec![0; geometry.total_sectors() * SECTOR];
        let name = kind_name(geometry.kind).to_owned();
        Self { base: Base { name, bytes, geometry, nodes, root: Vec::new(), slots: BTreeMap::new() }, numbers }
    }

    /// Gives out clusters the way writers do that keep several files open: in turns of a few each. The root directory,
    /// where it has a chain, begins at cluster 2 and grows between the others.
    fn allocate(&mut self) {
        let mut wanting: Vec<(Option<usize>, usize)> =
            (0..self.base.nodes.len()).map(|at| self.wants(Some(at))).collect();
        if self.base.geometry.kind == FatType::Fat32 {
            wanting.insert(0, self.wants(None));
        }
        wanting.retain(|(_, clusters)| *clusters > 0);
        let mut next = 2;
        let mut first = true;
        while !wanting.is_empty() {
            let turn = if first { 0 } else { self.numbers.below(wanting.len().min(4)) };
            let length = if first { 1 } else { (1 + self.numbers.below(5)).min(wanting[turn].1) };
            first = false;
            let chain = match wanting[turn].0 {
                Some(node) => &mut self.base.nodes[node].clusters,
                None => &mut self.base.root,
            };
            chain.extend(next..next + length as u32);
            next += length as u32 + u32::from(self.numbers.below(40) == 0) * 2;
            wanting[turn].1 -= length;
            wanting.retain(|(_, clusters)| *clusters > 0);
        }
    }

    fn wants(&self, of: Option<usize>) -> (Option<usize>, usize) {
        let bytes = match of {
            Some(node) if !self.base.nodes[node].folder => self.base.nodes[node].content.len(),
            folder => {
                let inside = self.base.nodes.iter().filter(|node| node.parent == folder);
                (2 + inside.map(Node::slots).sum::<usize>()) * SLOT
            }
        };
        (of, bytes.div_ceil(self.base.geometry.cluster_bytes()))
    }

    fn put(&mut self, at: usize, bytes: &[u8]) {
        self.base.bytes[at..at + bytes.len()].copy_from_slice(bytes);
    }

    fn write_boot(&mut self) {
        let sector = boot_sector(&self.base.geometry, self.base.root.first().copied());
        for at in self.base.geometry.boot_sectors() {
            self.put(at, &sector);
        }
        if self.base.geometry.kind == FatType::Fat32 {
            let used: usize = self.base.chains().map(<[u32]>::len).sum();
            let free = (self.base.geometry.clusters - used) as u32;
            let sector = free_count_sector(free);
            self.put(SECTOR, &sector);
            self.put((BACKUP_SECTOR + 1) * SECTOR, &sector);
        }
    }

    fn write_links(&mut self) {
        let kind = self.base.geometry.kind;
        let mut image = FatImage { kind, bytes: std::mem::take(&mut self.base.bytes) };
        image.link_both(0, image.end() & !0xFF | 0xF8);
        image.link_both(1, image.end());
        let end = image.end();
        for chain in self.base.chains() {
            for (at, cluster) in chain.iter().enumerate() {
                image.link_both(*cluster as usize, chain.get(at + 1).copied().unwrap_or(end));
            }
        }
        self.base.bytes = image.bytes;
    }

    fn write_directories(&mut self) {
        let folders = (0..self.base.nodes.len()).filter(|at| self.base.nodes[*at].folder).map(Some);
        for folder in std::iter::once(None).chain(folders).collect::<Vec<_>>() {
            self.write_directory(folder);
        }
    }

    fn write_directory(&mut self, folder: Option<usize>) {
        let geometry = self.base.geometry.clone();
        let chain = folder.map_or_else(|| self.base.root.clone(), |at| self.base.nodes[at].clusters.clone());
        let area = |cluster: &u32| geometry.cluster(*cluster).step_by(SLOT);
        let mut slots: Vec<usize> = chain.iter().flat_map(area).collect();
        if chain.is_empty() {
            slots = geometry.root_area().step_by(SLOT).collect();
        }
        let mut next = 0;
        for slot in self.first_slots(folder) {
            self.put(slots[next], &slot);
            next += 1;
        }
        for index in 0..self.base.nodes.len() {
            if self.base.nodes[index].parent != folder {
                continue;
            }
            let stored = self.base.nodes[index].stored_slots(geometry.kind);
            for (slot, at) in stored.iter().zip(&slots[next..]) {
                self.put(*at, slot);
            }
            next += stored.len();
            let node = &mut self.base.nodes[index];
            node.place = next - 1;
            node.entry = slots[node.place];
            node.name_slots = slots[next - stored.len()..next - 1].to_vec();
        }
        self.base.slots.insert(folder, slots);
    }

    /// The label in the root directory; the two dots elsewhere.
    fn first_slots(&self, folder: Option<usize>) -> Vec<[u8; SLOT]> {
        let kind = self.base.geometry.kind;
        let Some(folder) = folder else {
            let mut label = tree::entry(LABEL, false, 0, 0, kind);
            label[11] = 0x08;
            return vec![label];
        };
        let first = |node: usize| self.base.nodes[node].clusters[0];
        let parent = self.base.nodes[folder].parent.map_or(0, first);
        vec![
            tree::entry(b".          ", true, first(folder), 0, kind),
            tree::entry(b"..         ", true, parent, 0, kind),
        ]
    }

    /// The contents; behind their ends, old rows.
    fn write_contents(&mut self) {
        for index in 0..self.base.nodes.len() {
            let node = self.base.nodes[index].clone();
            if node.folder {
                continue;
            }
            let mut content = node.content;
            content.extend(tree::rows(999, node.clusters.len() * self.base.geometry.cluster_bytes() - content.len()));
            for (cluster, piece) in node.clusters.iter().zip(content.chunks(self.base.geometry.cluster_bytes())) {
                self.put(self.base.geometry.cluster(*cluster).start, piece);
            }
        }
    }
}

/// Microsoft FAT Specification, 30 Aug 2005, "Boot Sector and BPB".
fn boot_sector(geometry: &Geometry, root: Option<u32>) -> Vec<u8> {
    let wide = geometry.kind == FatType::Fat32;
    let mut sector = vec![0; SECTOR];
    let mut put = |at: usize, bytes: &[u8]| sector[at..at + bytes.len()].copy_from_slice(bytes);
    let (sectors, table) = (geometry.total_sectors() as u32, geometry.table_sectors as u32);
    put(0, if wide { b"\xEB\x58\x90MSDOS5.0" } else { b"\xEB\x3C\x90MSDOS5.0" });
    put(11, &(SECTOR as u16).to_le_bytes());
    put(13, &[geometry.sectors_per_cluster as u8]);
    put(14, &(geometry.reserved as u16).to_le_bytes());
    put(16, &[2]);
    put(17, &(geometry.root_entries as u16).to_le_bytes());
    put(21, &[0xF8]);
    put(24, &[63, 0, 255, 0]);
    let described = if wide { 64 } else { 36 };
    put(described, &[0x80, 0, 0x29, 0x25, 0x03, 0x07, 0x20]);
    put(described + 7, LABEL);
    put(described + 18, format!("{:<8}", kind_name(geometry.kind)).as_bytes());
    put(described + 26, b"\xF4\xEB\xFDNo system here; take the stick out.\r\n");
    put(510, &[0x55, 0xAA]);
    if wide {
        put(32, &sectors.to_le_bytes());
        put(36, &table.to_le_bytes());
        put(44, &root.unwrap_or(2).to_le_bytes());
        put(48, &[1, 0, BACKUP_SECTOR as u8, 0]);
    } else {
        put(19, &(sectors as u16).to_le_bytes());
        put(22, &(table as u16).to_le_bytes());
    }
    sector
}

/// Microsoft FAT Specification, 30 Aug 2005, "FSInfo".
fn free_count_sector(free: u32) -> Vec<u8> {
    let mut sector = vec![0; SECTOR];
    for (at, value) in [(0, 0x4161_5252), (484, 0x6141_7272), (488, free), (492, 0xFFFF_FFFF), (508, 0xAA55_0000_u32)] {
        sector[at..at + 4].copy_from_slice(&value.to_le_bytes());
    }
    sector
}
