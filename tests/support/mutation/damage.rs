//! Seeded damage to a volume: bytes and blocks changed, the medium cut short; always an overlay on a base that is only read.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::ops::Range;

use fatfs::FatType;

use super::super::memory::{Numbers, Patched};
use super::base::Base;
use super::geometry::{BACKUP_SECTOR, SECTOR, SLOT};

/// What is done, in the words of the table of results.
pub const KINDS: [&str; 15] = [
    "1 byte, boot sector",
    "some bytes, boot sector",
    "1 byte, table 1",
    "some bytes, table 1",
    "1 byte, table 2",
    "some bytes, table 2",
    "some bytes, both tables",
    "1 byte, directory",
    "some bytes, directories",
    "cut short",
    "block over a table",
    "block over a directory",
    "block over the boot sector",
    "block over data",
    "several of these",
];

/// The bytes that are other than on the base, and the length that is left.
///
/// The partition table is never touched: readers that are told where the volume begins would have an advantage that says
/// nothing about their reading of FAT.
#[derive(Debug, Clone)]
pub struct Damage {
    pub kind: &'static str,
    pub changed: BTreeMap<usize, u8>,
    pub length: usize,
}

impl Damage {
    pub fn none(base: &Base) -> Self {
        Self { kind: "nothing", changed: BTreeMap::new(), length: base.bytes.len() }
    }

    /// The damage of this seed; the same in every run.
    pub fn seeded(base: &Base, seed: u64) -> Self {
        let mut numbers = Numbers(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..8 {
            numbers.next();
        }
        let kind = numbers.below(KINDS.len());
        let mut maker = Maker { base, numbers, damage: Self { kind: KINDS[kind], ..Self::none(base) } };
        maker.make(kind);
        maker.damage
    }

    pub fn change(&mut self, base: &Base, at: usize, byte: u8) {
        if base.bytes[at] == byte {
            self.changed.remove(&at);
        } else {
            self.changed.insert(at, byte);
        }
    }

    /// A byte as it is now; `None` beyond the cut.
    pub fn byte(&self, base: &Base, at: usize) -> Option<u8> {
        (at < self.length).then(|| self.changed.get(&at).copied().unwrap_or(base.bytes[at]))
    }

    /// Whether all these bytes are there and as they were.
    pub fn spares(&self, range: Range<usize>) -> bool {
        range.end <= self.length && self.changed.range(range).next().is_none()
    }

    pub fn over<'a>(&self, base: &'a Base) -> Patched<'a> {
        let mut medium = Patched::cut(&base.bytes, self.length);
        for (at, byte) in self.changed.range(..self.length) {
            medium.change(*at, *byte);
        }
        medium
    }

    /// The places of the first few changes, by name.
    pub fn described(&self, base: &Base) -> String {
        let mut out = self.kind.to_owned();
        if self.length < base.bytes.len() {
            write!(out, "; cut at byte {} ({})", self.length, place(base, self.length)).unwrap();
        }
        for (at, byte) in self.changed.iter().take(4) {
            write!(out, "; {} {:02X}>{byte:02X}", place(base, *at), base.bytes[*at]).unwrap();
        }
        if self.changed.len() > 4 {
            write!(out, "; {} bytes in all", self.changed.len()).unwrap();
        }
        out
    }
}

/// What stands at a byte of the base.
fn place(base: &Base, at: usize) -> String {
    let geometry = &base.geometry;
    for (number, boot) in geometry.boot_sectors().into_iter().enumerate() {
        if (boot..boot + SECTOR).contains(&at) {
            return format!("boot sector {} +{}", number + 1, at - boot);
        }
    }
    for number in 0..2 {
        let table = geometry.table(number);
        if table.contains(&at) {
            return format!("table {} +{}", number + 1, at - table.start);
        }
    }
    let slots = base.slots.iter().find_map(|(folder, slots)| {
        let slot = slots.iter().position(|slot| (*slot..slot + SLOT).contains(&at))?;
        let name = folder.map_or_else(|| "root".to_owned(), |folder| base.path(folder));
        Some(format!("directory {name}, slot {slot} +{}", at - slots[slot]))
    });
    slots.unwrap_or_else(|| {
        let owner = base
            .files()
            .find(|file| base.nodes[*file].clusters.iter().any(|cluster| geometry.cluster(*cluster).contains(&at)));
        owner.map_or_else(|| format!("byte {at}"), |file| format!("content of {}", base.path(file)))
    })
}

struct Maker<'a> {
    base: &'a Base,
    numbers: Numbers,
    damage: Damage,
}

impl Maker<'_> {
    fn make(&mut self, kind: usize) {
        match kind {
            0 => self.bytes(1, Self::boot_place),
            1 => self.some_bytes(7, Self::boot_place),
            2 => self.bytes(1, |maker| maker.table_place(0)),
            3 => self.some_bytes(15, |maker| maker.table_place(0)),
            4 => self.bytes(1, |maker| maker.table_place(1)),
            5 => self.some_bytes(15, |maker| maker.table_place(1)),
            6 => self.both_tables(),
            7 => self.bytes(1, Self::directory_place),
            8 => self.some_bytes(15, Self::directory_place),
            9 => self.cut(),
            10 => self.table_block(),
            11 => {
                let at = self.directory_place();
                self.block(at);
            }
            12 => {
                let at = self.boot_sector();
                self.block(at);
            }
            13 => {
                let at = self.data_place();
                self.block(at);
            }
            _ => {
                for _ in 0..2 + self.numbers.below(3) {
                    let kind = self.numbers.below(KINDS.len() - 1);
                    self.make(kind);
                }
            }
        }
    }

    fn one_in(&mut self, many: usize) -> bool {
        self.numbers.below(many) == 0
    }

    fn some_bytes(&mut self, most_more: usize, place: impl FnMut(&mut Self) -> usize) {
        let count = 2 + self.numbers.below(most_more);
        self.bytes(count, place);
    }

    fn bytes(&mut self, count: usize, mut place: impl FnMut(&mut Self) -> usize) {
        for _ in 0..count {
            let at = place(self);
            self.byte(at);
        }
    }

    /// Another byte: any, one bit other, all ones, all zeros, or one more or less.
    fn byte(&mut self, at: usize) {
        let old = self.base.bytes[at];
        let new = match self.numbers.below(8) {
            0 => 0x00,
            1 => 0xFF,
            2 => old.wrapping_add(1),
            3 => old.wrapping_sub(1),
            4 | 5 => old ^ 1 << self.numbers.below(8),
            _ => self.numbers.next() as u8,
        };
        self.damage.change(self.base, at, if new == old { !old } else { new });
    }

    /// The first boot sector; on FAT32 one time in four the second.
    fn boot_sector(&mut self) -> usize {
        let copy = self.base.geometry.kind == FatType::Fat32 && self.one_in(4);
        self.base.geometry.start + if copy { BACKUP_SECTOR * SECTOR } else { 0 }
    }

    /// Mostly where the volume is described.
    fn boot_place(&mut self) -> usize {
        let place = if self.one_in(4) { self.numbers.below(SECTOR) } else { self.numbers.below(64) };
        let place = if self.one_in(16) { 510 + place % 2 } else { place };
        self.boot_sector() + place
    }

    /// A cluster of some file or folder.
    fn used_cluster(&mut self) -> u32 {
        let chains: Vec<_> = self.base.chains().collect();
        let chain = chains[self.numbers.below(chains.len())];
        chain[self.numbers.below(chain.len())]
    }

    /// Mostly the link of a cluster in use.
    fn table_place(&mut self, number: usize) -> usize {
        let whole = self.base.geometry.table(number);
        if self.one_in(4) {
            return whole.start + self.numbers.below(whole.len());
        }
        let cluster = self.used_cluster();
        let link = self.base.geometry.link_bytes(number, cluster);
        link.start + self.numbers.below(link.len())
    }

    /// Bytes in both tables; half the time the same in both, as a writer makes them.
    fn both_tables(&mut self) {
        let same = self.one_in(2);
        let apart = self.base.geometry.table(1).start - self.base.geometry.table(0).start;
        for _ in 0..1 + self.numbers.below(8) {
            let at = self.table_place(0);
            self.byte(at);
            if same {
                let byte = self.damage.changed.get(&at).copied().unwrap_or(self.base.bytes[at]);
                self.damage.change(self.base, at + apart, byte);
            } else {
                let at = self.table_place(1);
                self.byte(at);
            }
        }
    }

    /// Mostly a slot in use, of any directory.
    fn directory_place(&mut self) -> usize {
        let directories: Vec<_> = self.base.slots.values().collect();
        let slots = directories[self.numbers.below(directories.len())];
        let used = slots.iter().filter(|at| self.base.bytes[**at] != 0).count();
        let among = if self.one_in(8) { slots.len() } else { used };
        slots[self.numbers.below(among)] + self.numbers.below(SLOT)
    }

    /// Mostly within what is in use.
    fn cut(&mut self) {
        let used = self.base.chains().flatten().max().copied().unwrap_or(2);
        let end = self.base.geometry.cluster(used).end;
        let most = if self.one_in(3) { self.base.bytes.len() } else { end };
        let length = self.numbers.below(most);
        self.damage.length = self.damage.length.min(length);
    }

    fn table_block(&mut self) {
        let tables = [vec![0], vec![0], vec![1], vec![0, 1]];
        for table in &tables[self.numbers.below(tables.len())] {
            let at = self.table_place(*table);
            self.block(at);
        }
    }

    fn data_place(&mut self) -> usize {
        let files: Vec<_> = self.base.files().filter(|file| !self.base.nodes[*file].clusters.is_empty()).collect();
        let clusters = &self.base.nodes[files[self.numbers.below(files.len())]].clusters;
        self.base.geometry.cluster(clusters[self.numbers.below(clusters.len())]).start
    }

    /// A sector, a cluster or 4 KiB of ones or zeros, from the sector on that holds the byte.
    fn block(&mut self, at: usize) {
        let sizes = [SECTOR, self.base.geometry.cluster_bytes(), 4 << 10];
        let (start, size) = (at - at % SECTOR, sizes[self.numbers.below(sizes.len())]);
        let fill = if self.one_in(2) { 0x00 } else { 0xFF };
        for at in start..(start + size).min(self.base.bytes.len()) {
            self.damage.change(self.base, at, fill);
        }
    }
}
