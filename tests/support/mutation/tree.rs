//! What stands on the volumes: folders and exports as an indicator leaves them over some months, and how they are named.

use fatfs::FatType;

use super::super::memory::Numbers;
use super::geometry::{Geometry, SLOT};

/// A file or folder, and where everything stands that leads to it.
#[derive(Debug, Clone)]
pub struct Node {
    /// As a person sees it.
    pub name: String,
    pub short: [u8; 11],
    /// Its folder; `None`: the root directory.
    pub parent: Option<usize>,
    pub folder: bool,
    /// Deleted before the damage; it is nobody's loss.
    pub deleted: bool,
    pub content: Vec<u8>,
    /// Its chain.
    pub clusters: Vec<u32>,
    /// Where on the medium its entry stands.
    pub entry: usize,
    /// Where the pieces of its long name stand.
    pub name_slots: Vec<usize>,
    /// Its entry's place in its directory.
    pub place: usize,
}

/// Path, whole clusters, and bytes beyond (or, below zero, short of) them. `!` before a path: written and deleted.
type Planned = (&'static str, usize, isize);

const FILES: [Planned; 34] = [
    ("TX0001.CSV", 37, 211),
    ("TX0002.CSV", 1, 0),
    ("TX0003.CSV", 0, 0),
    ("!TX0004.CSV", 5, 17),
    ("TX0005.CSV", 0, 1),
    ("Saturday sale, pens 1 to 9.csv", 23, 90),
    ("2025/JAN/TX0101.CSV", 3, 0),
    ("2025/JAN/TX0102.CSV", 2, -1),
    ("2025/JAN/TX0103.CSV", 2, 1),
    ("2025/FEB/TX0201.CSV", 14, 100),
    ("2025/FEB/TX0202.CSV", 0, 400),
    ("2025/FEB/TX0203.CSV", 0, 0),
    ("2025/FEB/late weighings.csv", 9, 300),
    ("2025/MAR/TX0301.CSV", 18, 0),
    ("2025/MAR/!TX0302.CSV", 6, 44),
    ("2025/MAR/TX0303.CSV", 11, 7),
    ("2025/MAR/TX0304.CSV", 1, 13),
    ("2025/MAR/TX0305.CSV", 28, 333),
    ("EMPTY/", 0, 0),
    ("OLD/2024/NOV/30/TX1130.CSV", 12, 5),
    ("OLD/2024/NOV/30/TX1131.CSV", 1, 0),
    ("OLD/2024/NOV/30/A name longer than thirteen letters.csv", 4, 250),
    ("OLD/2024/TOTALS.TXT", 0, 77),
    ("Weighings of the spring/pen 1.csv", 4, 12),
    ("Weighings of the spring/pen 2.csv", 0, 0),
    ("Weighings of the spring/Pens 3 and 4, after the rain.csv", 7, 0),
    ("Weighings of the spring/TX0401.CSV", 16, 401),
    ("Weighings of the spring/TX0402.CSV", 2, 0),
    ("Weighings of the spring/Old/TX0390.CSV", 5, -20),
    ("SUMMARY.TXT", 0, 350),
    ("!TX0006.CSV", 3, 200),
    ("TX0007.CSV", 44, -3),
    ("Sunday sale, all pens together, second half.csv", 6, 129),
    ("TX0008.CSV", 8, 0),
];

/// Files of one large folder, whose directory takes several clusters.
const NIGHTS: usize = 40;

/// Every node, folders before what is in them.
pub fn nodes(geometry: &Geometry, numbers: &mut Numbers) -> Vec<Node> {
    let mut nodes = Vec::new();
    for (path, clusters, more) in FILES {
        let size = (clusters * geometry.cluster_bytes()).checked_add_signed(more).unwrap();
        add(&mut nodes, path, size);
    }
    for night in 1..=NIGHTS {
        let size = numbers.below(7 * geometry.cluster_bytes());
        let name = if night % 5 == 0 { format!("Night {night}, second ring.csv") } else { format!("NS{night:04}.CSV") };
        add(&mut nodes, &format!("NIGHTS/{name}"), size);
    }
    nodes
}

fn add(nodes: &mut Vec<Node>, path: &str, size: usize) {
    let (folders, name) = path.rsplit_once('/').unwrap_or(("", path));
    let deleted = path.contains('!');
    let folders = folders.trim_start_matches('!');
    let mut parent = None;
    for folder in folders.split('/').filter(|name| !name.is_empty()) {
        parent = Some(find(nodes, parent, folder).unwrap_or_else(|| push(nodes, parent, folder, true)));
    }
    if !name.is_empty() {
        let number = nodes.len();
        let node = push(nodes, parent, name.trim_start_matches('!'), false);
        nodes[node].content = rows(number, size);
        nodes[node].deleted = deleted;
    }
}

fn find(nodes: &[Node], parent: Option<usize>, name: &str) -> Option<usize> {
    nodes.iter().position(|node| node.folder && node.parent == parent && node.name == name)
}

fn push(nodes: &mut Vec<Node>, parent: Option<usize>, name: &str, folder: bool) -> usize {
    let number = nodes.iter().filter(|node| node.parent == parent && plain(&node.name).is_none()).count() + 1;
    nodes.push(Node {
        name: name.to_owned(),
        short: plain(name).unwrap_or_else(|| shortened(name, number)),
        parent,
        folder,
        deleted: false,
        content: Vec::new(),
        clusters: Vec::new(),
        entry: 0,
        name_slots: Vec::new(),
        place: 0,
    });
    nodes.len() - 1
}

/// The text of an export in which every row names its file, so that a byte from elsewhere shows.
pub fn rows(file: usize, size: usize) -> Vec<u8> {
    let row =
        |number: usize| format!("{file:03}{number:05},2025-03-07,13:{:02},{},{}\r\n", number % 60, file, number * 7);
    let mut text = String::new();
    let mut number = 1;
    while text.len() < size {
        text.push_str(&row(number));
        number += 1;
    }
    let mut bytes = text.into_bytes();
    bytes.truncate(size);
    bytes
}

/// A name that needs no long one, as stored.
fn plain(name: &str) -> Option<[u8; 11]> {
    let (base, extension) = name.split_once('.').unwrap_or((name, ""));
    let allowed = |text: &str| text.bytes().all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit());
    (base.len() <= 8 && extension.len() <= 3 && allowed(base) && allowed(extension)).then(|| stored(base, extension))
}

fn shortened(name: &str, number: usize) -> [u8; 11] {
    let (base, extension) = name.rsplit_once('.').unwrap_or((name, ""));
    let letters: String = base.to_ascii_uppercase().chars().filter(char::is_ascii_alphanumeric).collect();
    let tail = format!("~{number}");
    let kept = letters.len().min(8 - tail.len());
    stored(&format!("{}{tail}", &letters[..kept]), &extension.to_ascii_uppercase())
}

fn stored(base: &str, extension: &str) -> [u8; 11] {
    format!("{base:<8}{extension:<3}").into_bytes().try_into().unwrap()
}

impl Node {
    pub fn has_long_name(&self) -> bool {
        plain(&self.name).is_none()
    }

    /// Its short name as people see it.
    pub fn short_name(&self) -> String {
        let text = String::from_utf8_lossy(&self.short).into_owned();
        let (base, extension) = (text[..8].trim_end(), text[8..].trim_end());
        if extension.is_empty() { base.to_owned() } else { format!("{base}.{extension}") }
    }

    /// How many directory slots it takes.
    pub fn slots(&self) -> usize {
        1 + if self.has_long_name() { self.name.encode_utf16().count().div_ceil(13) } else { 0 }
    }

    /// Its slots as stored: pieces of the long name, the last piece first, then the entry.
    pub fn stored_slots(&self, kind: FatType) -> Vec<[u8; SLOT]> {
        let mut slots = if self.has_long_name() { long_name(&self.name, &self.short) } else { Vec::new() };
        slots.push(entry(
            &self.short,
            self.folder,
            self.clusters.first().copied().unwrap_or(0),
            self.content.len(),
            kind,
        ));
        if self.deleted {
            slots.iter_mut().for_each(|slot| slot[0] = 0xE5);
        }
        slots
    }
}

/// A short entry, written on 7 March 2025 at 13:05:42.
pub fn entry(short: &[u8; 11], folder: bool, first: u32, size: usize, kind: FatType) -> [u8; SLOT] {
    let mut slot = [0; SLOT];
    slot[..11].copy_from_slice(short);
    slot[11] = if folder { 0x10 } else { 0x20 };
    for (at, value) in [(14, 0x68B5_u16), (16, 0x5A67), (18, 0x5A67), (22, 0x68B5), (24, 0x5A67)] {
        slot[at..at + 2].copy_from_slice(&value.to_le_bytes());
    }
    if kind == FatType::Fat32 {
        slot[20..22].copy_from_slice(&((first >> 16) as u16).to_le_bytes());
    }
    slot[26..28].copy_from_slice(&(first as u16).to_le_bytes());
    slot[28..32].copy_from_slice(&(size as u32).to_le_bytes());
    slot
}

/// The slots of a long name: Microsoft FAT Specification, "Long File Name".
fn long_name(name: &str, short: &[u8; 11]) -> Vec<[u8; SLOT]> {
    let sum = short.iter().fold(0_u8, |sum, byte| sum.rotate_right(1).wrapping_add(*byte));
    let mut units: Vec<u16> = name.encode_utf16().collect();
    if !units.len().is_multiple_of(13) {
        units.push(0);
    }
    let pieces: Vec<_> = units.chunks(13).collect();
    let last = pieces.len();
    let slot = |(index, piece): (usize, &&[u16])| {
        let mut slot = [0xFF; SLOT];
        slot[0] = (index + 1) as u8 | if index + 1 == last { 0x40 } else { 0 };
        slot[11..14].copy_from_slice(&[0x0F, 0, sum]);
        slot[26..28].fill(0);
        let places = (1..11).chain(14..26).chain(28..32).collect::<Vec<_>>();
        for (unit, at) in piece.iter().zip(places.chunks(2)) {
            slot[at[0]..at[0] + 2].copy_from_slice(&unit.to_le_bytes());
        }
        slot
    };
    pieces.iter().enumerate().rev().map(slot).collect()
}
