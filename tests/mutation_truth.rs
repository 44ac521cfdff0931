//! The mutator's statement of what damage leaves intact, against statements written by hand on tiny volumes.

use std::collections::BTreeMap;

use fatfs::FatType;

use crate::support::fat_image::EVERY_KIND;
use crate::support::mutation::base::Base;
use crate::support::mutation::damage::Damage;
use crate::support::mutation::geometry::Geometry;
use crate::support::mutation::tree::Node;
use crate::support::mutation::truth::{Standing, Truth};

/// Four files, told by their first letters. Clusters of 512 bytes:
///
/// ```text
/// A.CSV          2 > 3         in the root directory, slot 0
/// PEN/           4             slot 1
/// PEN/B.CSV      5 > 7         in PEN, slot 2, behind the two dots
/// Long name.csv  6             slot 3, its long name in slot 2
/// E.CSV          none          slot 4, empty
/// root           8 > 9         on FAT32
/// ```
const EVERY_FILE: &str = "ABLE";

/// A tiny volume and where things stand on it, counted out by hand.
struct Tiny {
    base: Base,
    tables: [usize; 2],
    root: usize,
}

/// Places of damage: which byte, and the bits that are turned.
type Turned = Vec<(usize, u8)>;

impl Tiny {
    /// FAT12 and FAT16: first sector, two tables of a sector, root directory of a sector, clusters. FAT32: eight sectors,
    /// two tables of a sector, clusters.
    fn new(kind: FatType) -> Self {
        let wide = kind == FatType::Fat32;
        let (reserved, root_entries) = if wide { (8, 0) } else { (1, 16) };
        let geometry =
            Geometry { kind, start: 0, sectors_per_cluster: 1, reserved, table_sectors: 1, root_entries, clusters: 20 };
        let (tables, root) = if wide { ([4096, 4608], 8192) } else { ([512, 1024], 1536) };
        // Nothing is zero where nothing is said, so that no slot ends a directory.
        let bytes = vec![0x20; if wide { 15_360 } else { 12_288 }];
        let (nodes, slots) = (Vec::new(), BTreeMap::new());
        let chain = if wide { vec![8, 9] } else { Vec::new() };
        let base = Base { name: "tiny".to_owned(), bytes, geometry, nodes, root: chain, slots };
        let mut tiny = Self { base, tables, root };
        tiny.fill();
        tiny
    }

    fn fill(&mut self) {
        let root: Vec<usize> = (0..16).map(|slot| self.root + slot * 32).collect();
        let pen: Vec<usize> = (0..16).map(|slot| self.cluster(4) + slot * 32).collect();
        let node = |name: &str, parent: Option<usize>, clusters: &[u32], bytes: usize, place: usize| Node {
            name: name.to_owned(),
            short: *b"HANDMADECSV",
            parent,
            folder: name == "PEN",
            deleted: false,
            content: vec![b'x'; bytes],
            clusters: clusters.to_vec(),
            entry: if parent.is_some() { pen[place] } else { root[place] },
            name_slots: if name.starts_with('L') { vec![root[2]] } else { Vec::new() },
            place,
        };
        self.base.nodes = vec![
            node("A.CSV", None, &[2, 3], 600, 0),
            node("PEN", None, &[4], 0, 1),
            node("B.CSV", Some(1), &[5, 7], 700, 2),
            node("Long name.csv", None, &[6], 10, 3),
            node("E.CSV", None, &[], 0, 4),
        ];
        self.base.slots = BTreeMap::from([(None, root), (Some(1), pen)]);
        for (cluster, next) in [(2, 3), (3, END), (4, END), (5, 7), (6, END), (7, END), (8, 9), (9, END)] {
            self.set_link(cluster, next);
        }
    }

    fn wide(&self) -> bool {
        self.base.geometry.kind == FatType::Fat32
    }

    fn cluster(&self, number: usize) -> usize {
        (if self.wide() { 5120 } else { 2048 }) + (number - 2) * 512
    }

    /// The first byte of a link: 12 bits, 2 bytes or 4 bytes each.
    fn link(&self, table: usize, cluster: usize) -> usize {
        self.tables[table]
            + match self.base.geometry.kind {
                FatType::Fat12 => cluster * 3 / 2,
                FatType::Fat16 => cluster * 2,
                FatType::Fat32 => cluster * 4,
            }
    }

    fn set_link(&mut self, cluster: usize, next: u32) {
        for table in [0, 1] {
            let at = self.link(table, cluster);
            let bytes = &mut self.base.bytes;
            match self.base.geometry.kind {
                FatType::Fat12 if cluster.is_multiple_of(2) => {
                    bytes[at] = next as u8;
                    bytes[at + 1] = bytes[at + 1] & 0xF0 | (next >> 8) as u8 & 0x0F;
                }
                FatType::Fat12 => {
                    bytes[at] = bytes[at] & 0x0F | (next << 4) as u8;
                    bytes[at + 1] = (next >> 4) as u8;
                }
                FatType::Fat16 => bytes[at..at + 2].copy_from_slice(&(next as u16).to_le_bytes()),
                FatType::Fat32 => bytes[at..at + 4].copy_from_slice(&next.to_le_bytes()),
            }
        }
    }

    /// The highest bit of a link's first byte turned, in these tables: never only another mark of an end.
    fn broken_link(&self, tables: &[usize], cluster: usize) -> Turned {
        tables.iter().map(|table| (self.link(*table, cluster), 0x80)).collect()
    }

    fn damage(&self, turned: &Turned) -> Damage {
        let mut damage = Damage::none(&self.base);
        for (at, bits) in turned {
            damage.change(&self.base, *at, self.base.bytes[*at] ^ bits);
        }
        damage
    }

    /// The first letters of the files of which something holds.
    fn letters(&self, damage: &Damage, holds: impl Fn(Standing) -> bool) -> String {
        let truth = Truth { base: &self.base, damage };
        let files = self.base.files().filter(|file| holds(truth.standing(*file)));
        files.map(|file| self.base.nodes[file].name.chars().next().unwrap()).collect()
    }

    fn assert_intact(&self, what: &str, turned: &Turned, expected: &str) {
        let kind = self.base.geometry.kind;
        assert_eq!(self.letters(&self.damage(turned), |standing| standing.intact), expected, "{what}, {kind:?}");
    }
}

/// The mark of a chain's end; the upper half of what it has on FAT32 is cut off on the others.
const END: u32 = 0x0FFF_FFFF;

fn on_every_kind(check: impl Fn(&Tiny)) {
    EVERY_KIND.into_iter().map(Tiny::new).for_each(|tiny| check(&tiny));
}

#[test]
fn without_damage_all_is_intact() {
    on_every_kind(|tiny| {
        tiny.assert_intact("nothing", &vec![], EVERY_FILE);
        assert_eq!(tiny.letters(&Damage::none(&tiny.base), |standing| standing.hidden), "");
    });
}

/// FAT specification 2005, "Boot Sector and BPB": which fields tell where things lie.
#[test]
fn first_sector() {
    on_every_kind(|tiny| {
        let alone = if tiny.wide() { EVERY_FILE } else { "" };
        for (field, at) in [("sector size", 11), ("cluster size", 13), ("reserved", 14), ("tables", 16), ("mark", 510)]
        {
            tiny.assert_intact(field, &vec![(at, 0x10)], alone);
        }
        let without_place = [("jump", 0), ("maker", 3), ("media", 21), ("heads", 26), ("code", 300)];
        for (field, at) in without_place.into_iter().chain([("label", if tiny.wide() { 71 } else { 43 })]) {
            tiny.assert_intact(field, &vec![(at, 0x10)], EVERY_FILE);
        }
    });
}

/// FAT32 has its copy in sector 6, at byte 3072.
#[test]
fn first_sector_and_its_copy() {
    let tiny = Tiny::new(FatType::Fat32);
    tiny.assert_intact("copy alone", &vec![(3072 + 11, 0x10)], EVERY_FILE);
    tiny.assert_intact("both, one field", &vec![(11, 0x10), (3072 + 11, 0x10)], "");
    tiny.assert_intact("both, two fields", &vec![(11, 0x10), (3072 + 44, 0x10)], "");
    tiny.assert_intact("root cluster of both", &vec![(44, 0x10), (3072 + 44, 0x10)], "");
    tiny.assert_intact("a field and a label", &vec![(11, 0x10), (3072 + 71, 0x10)], EVERY_FILE);
    tiny.assert_intact("where the copy is", &vec![(50, 0x10), (3072 + 50, 0x10)], EVERY_FILE);
    for kind in [FatType::Fat12, FatType::Fat16] {
        Tiny::new(kind).assert_intact("no copy", &vec![(11, 0x10)], "");
    }
}

#[test]
fn links() {
    on_every_kind(|tiny| {
        for (cluster, left) in [(2, "BLE"), (3, "BLE"), (4, "ALE"), (5, "ALE"), (6, "ABE"), (7, "ALE"), (12, "ABLE")] {
            tiny.assert_intact("table 1", &tiny.broken_link(&[0], cluster), EVERY_FILE);
            tiny.assert_intact("table 2", &tiny.broken_link(&[1], cluster), EVERY_FILE);
            tiny.assert_intact(&format!("link {cluster} of both"), &tiny.broken_link(&[0, 1], cluster), left);
        }
        // Another mark of the end: F8 for FF.
        let marks = [0, 1].map(|table| (tiny.link(table, 4), 0x07));
        tiny.assert_intact("end of PEN", &marks.to_vec(), EVERY_FILE);
    });
}

/// Each table has lost one link of A: neither is whole, the two together are.
#[test]
fn links_lost_in_turn() {
    on_every_kind(|tiny| {
        let turned = [tiny.broken_link(&[0], 2), tiny.broken_link(&[1], 3)].concat();
        tiny.assert_intact("A", &turned, "BLE");
        assert_eq!(tiny.letters(&tiny.damage(&turned), |standing| standing.by_link), EVERY_FILE);
        // The folder's chain from one table, the file's from the other.
        let turned = [tiny.broken_link(&[0], 4), tiny.broken_link(&[1], 5)].concat();
        tiny.assert_intact("B", &turned, EVERY_FILE);
    });
}

#[test]
fn links_and_their_neighbours() {
    let tiny = Tiny::new(FatType::Fat12);
    // Clusters 6 and 7 share byte 10: its lower half belongs to 6, its upper half to 7.
    tiny.assert_intact("lower half", &vec![(512 + 10, 0x08), (1024 + 10, 0x08)], "ABE");
    tiny.assert_intact("upper half", &vec![(512 + 10, 0x80), (1024 + 10, 0x80)], "ALE");
    let tiny = Tiny::new(FatType::Fat32);
    // The upper four bits are reserved (FAT specification 2005, "FAT Data Structure").
    tiny.assert_intact("reserved bits", &vec![(4096 + 11, 0xF0), (4608 + 11, 0xF0)], EVERY_FILE);
    tiny.assert_intact("used bits", &vec![(4096 + 11, 0x01), (4608 + 11, 0x01)], "BLE");
    tiny.assert_intact("root's link in one", &vec![(4096 + 32, 0x01)], EVERY_FILE);
    tiny.assert_intact("root's link in both", &vec![(4096 + 32, 0x01), (4608 + 32, 0x01)], "");
}

/// Places in an entry by the FAT specification 2005, "Directory Structure".
#[test]
fn entries() {
    on_every_kind(|tiny| {
        let upper = if tiny.wide() { "BLE" } else { EVERY_FILE };
        let of_a = [
            ("first letter", 0, 0x10, "BLE"),
            ("last letter", 10, 0x10, "BLE"),
            ("folder bit", 11, 0x10, "BLE"),
            ("label bit", 11, 0x08, "BLE"),
            ("read-only bit", 11, 0x01, EVERY_FILE),
            ("archive bit", 11, 0x20, EVERY_FILE),
            ("letter case", 12, 0x08, EVERY_FILE),
            ("time", 22, 0x10, EVERY_FILE),
            ("date", 25, 0x10, EVERY_FILE),
            ("first cluster, upper half", 20, 0x01, upper),
            ("first cluster", 26, 0x01, "BLE"),
            ("size", 28, 0x01, "BLE"),
            ("size, last byte", 31, 0x01, "BLE"),
        ];
        for (what, at, bits, left) in of_a {
            tiny.assert_intact(what, &vec![(tiny.root + at, bits)], left);
        }
        let slot = |number: usize| tiny.root + number * 32;
        tiny.assert_intact("folder's name", &vec![(slot(1), 0x10)], "ALE");
        tiny.assert_intact("folder's first cluster", &vec![(slot(1) + 26, 0x01)], "ALE");
        tiny.assert_intact("folder's size", &vec![(slot(1) + 28, 0x01)], EVERY_FILE);
        tiny.assert_intact("long name", &vec![(slot(2) + 5, 0x10)], EVERY_FILE);
        tiny.assert_intact("its short name", &vec![(slot(3) + 5, 0x10)], "ABE");
        tiny.assert_intact("first cluster of the empty file", &vec![(slot(4) + 26, 0x01)], "ABL");
        tiny.assert_intact("unused slot", &vec![(slot(5), 0x10)], EVERY_FILE);
        let pen = tiny.cluster(4);
        tiny.assert_intact("dot", &vec![(pen + 26, 0x01)], EVERY_FILE);
        tiny.assert_intact("name in PEN", &vec![(pen + 64, 0x10)], "ALE");
    });
}

/// A first letter of 00 ends a directory: what stands behind it is intact by the letter, and told apart.
#[test]
fn a_false_end_hides_what_is_behind() {
    on_every_kind(|tiny| {
        let damage = tiny.damage(&vec![(tiny.root + 32, 0x20)]);
        assert_eq!(tiny.letters(&damage, |standing| standing.intact), "ALE");
        assert_eq!(tiny.letters(&damage, |standing| standing.hidden), "LE");
        let before_the_last = tiny.damage(&vec![(tiny.root + 3 * 32, 0x20)]);
        assert_eq!(tiny.letters(&before_the_last, |standing| standing.hidden), "E");
        let in_pen = tiny.damage(&vec![(tiny.cluster(4), 0x20)]);
        assert_eq!(tiny.letters(&in_pen, |standing| standing.hidden), "B");
    });
}

#[test]
fn contents() {
    on_every_kind(|tiny| {
        tiny.assert_intact("first byte of A", &vec![(tiny.cluster(2), 0x10)], "BLE");
        tiny.assert_intact("last byte of A", &vec![(tiny.cluster(3) + 87, 0x10)], "BLE");
        tiny.assert_intact("behind the end of A", &vec![(tiny.cluster(3) + 511, 0x10)], "BLE");
        tiny.assert_intact("second piece of B", &vec![(tiny.cluster(7), 0x10)], "ALE");
        tiny.assert_intact("a free cluster", &vec![(tiny.cluster(12), 0x10)], EVERY_FILE);
        tiny.assert_intact("A and B", &vec![(tiny.cluster(2), 0x10), (tiny.cluster(5), 0x10)], "LE");
    });
}

#[test]
fn what_is_beyond_a_cut_is_lost() {
    on_every_kind(|tiny| {
        let cut = |at: usize| Damage { length: at, ..Damage::none(&tiny.base) };
        let left = |at: usize| tiny.letters(&cut(at), |standing| standing.intact);
        // The root directory of FAT32 stands in clusters 8 and 9; no entry is read from the second.
        assert_eq!(left(tiny.cluster(9)), EVERY_FILE);
        let narrow = |letters: &'static str| if tiny.wide() { "" } else { letters };
        assert_eq!(left(tiny.cluster(8) - 1), narrow("ALE"));
        assert_eq!(left(tiny.cluster(6)), narrow("AE"));
        assert_eq!(left(tiny.tables[1]), "");
    });
}

/// The same damage twice is the damage once; a byte put back is no damage.
#[test]
fn damage_done_twice() {
    on_every_kind(|tiny| {
        let turned = tiny.broken_link(&[0, 1], 2);
        let once = tiny.damage(&turned);
        let twice = tiny.damage(&[turned.clone(), turned.clone()].concat());
        assert_eq!(once.changed, twice.changed);
        tiny.assert_intact("twice", &[turned.clone(), turned.clone()].concat(), "BLE");
        let mut back = once;
        for (at, _) in &turned {
            back.change(&tiny.base, *at, tiny.base.bytes[*at]);
        }
        assert!(back.changed.is_empty());
    });
}

/// Same number, same damage; and numbers differ in what they do.
#[test]
fn a_number_always_does_the_same() {
    for kind in EVERY_KIND {
        let (one, other) = (Base::new(kind, true), Base::new(kind, true));
        assert!(one.bytes == other.bytes, "the volumes themselves");
        let done = |base: &Base, number: u64| {
            let damage = Damage::seeded(base, number);
            (damage.kind, damage.changed, damage.length)
        };
        let all: Vec<_> = (1..=150).map(|number| done(&one, number)).collect();
        for (number, first) in (1..=150).zip(&all) {
            assert!(*first == done(&other, number), "number {number}, {kind:?}");
        }
        let kinds: std::collections::BTreeSet<_> = all.iter().map(|(kind, ..)| *kind).collect();
        assert_eq!(kinds.len(), 15, "every kind of damage comes up");
        let alike = all.iter().enumerate().filter(|(at, damage)| all[..*at].contains(damage)).count();
        assert!(alike < 10, "{alike} of 150 repeat an earlier one");
    }
}

/// And on every machine: the first few, in words.
#[test]
fn the_first_numbers_do_what_they_did() {
    let described = |kind| {
        let base = Base::new(kind, false);
        (1..=8).map(|number| Damage::seeded(&base, number).described(&base)).collect::<Vec<_>>().join("\n")
    };
    insta::assert_snapshot!("first-damages", EVERY_KIND.map(described).join("\n\n"));
}
