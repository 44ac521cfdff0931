//! Walks a whole volume: every directory, every file, every chain, each cluster claimed once.

mod files;
mod folders;

use super::boot::{BootSector, FatBoot};
use super::chain::{Chain, Follower, Stop};
use super::table::{Difference, MAX_CLUSTERS, Tables};
use crate::finding::NotChecked;
use crate::volume::little_endian::u32_at;
use crate::volume::stored::StoredFile;
use crate::volume::window::Window;

/// How many files of a volume are listed.
const MAX_FILES: usize = 131_072;

/// How deep folders are entered.
const MAX_DEPTH: usize = 64;

/// The longest path in bytes; Windows itself stops at 260 characters.
const MAX_PATH_BYTES: usize = 1_024;

/// What is wrong with the chain of one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) enum Chained {
    /// It does not end as it should.
    Stopped(Stop),
    /// It ends before the recorded size.
    Short {
        /// Clusters there.
        had: u64,
        /// Clusters the recorded size takes.
        needed: u64,
    },
    /// It goes on behind the recorded size.
    Long {
        /// Clusters there.
        had: u64,
        /// Clusters the recorded size takes.
        needed: u64,
    },
    /// It goes through a cluster that another file or folder uses too.
    Crossed {
        /// The other one's path.
        with: Owner,
        /// The first such cluster.
        cluster: u32,
    },
}

/// Who uses a cluster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) enum Owner {
    /// The file at this place in the list.
    File(usize),
    /// The folder at this place in the list.
    Folder(usize),
}

/// Something wrong with the chain of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) struct Problem {
    /// The file's place in the list.
    pub file: usize,
    /// What is wrong.
    pub what: Chained,
}

/// Something wrong with a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::volume) struct DirectoryFault {
    /// Its path; empty for the root.
    pub path: String,
    /// What is wrong, in plain words.
    pub what: String,
}

/// Everything a walk found.
#[derive(Default)]
pub(in crate::volume) struct FatVolume {
    pub files: Vec<StoredFile>,
    /// The folders, by path; the root's is empty.
    pub folders: Vec<String>,
    pub label: Option<String>,
    pub clusters: u64,
    /// Clusters in no use; `None` where part of the table was not there to be counted.
    pub free_clusters: Option<u64>,
    /// The free count the volume itself records.
    pub recorded_free: Option<u32>,
    pub dirty: Option<bool>,
    pub difference: Option<Difference>,
    pub problems: Vec<Problem>,
    pub directory_faults: Vec<DirectoryFault>,
    /// Folders whose chain only the second table holds.
    pub folders_by_second_table: usize,
    /// Slots left in a root directory of fixed length.
    pub root_slots_free: Option<usize>,
    /// Live files whose date is that of a clock that was never set.
    pub clock_not_set: Vec<usize>,
    /// Live files of which a part lies beyond the end of the medium.
    pub beyond_medium: Vec<usize>,
    /// Whether some chain names a cluster the volume does not have.
    pub names_outside: bool,
    pub not_checked: Vec<NotChecked>,
}

impl FatVolume {
    /// Why a reader that trusts what it finds may not be let near the volume.
    pub(in crate::volume) fn not_for_ordinary(&self, boot: &FatBoot) -> Option<&'static str> {
        if !boot.faults.is_empty() {
            Some("the boot sector is damaged")
        } else if self.names_outside {
            Some("a file names clusters the volume does not have")
        } else if !self.directory_faults.is_empty() || self.folders_by_second_table > 0 {
            Some("a folder is damaged")
        } else {
            None
        }
    }
}

/// Reads the volume that begins where `window` does.
pub(in crate::volume) fn read(window: &Window, boot: &BootSector) -> FatVolume {
    let tables = Tables::load(window, boot);
    let mut walk = Walk {
        window,
        boot,
        follower: Follower::new(tables.first.len()),
        owners: vec![0; tables.first.len()],
        tables,
        deleted: Vec::new(),
        out: FatVolume::default(),
        not_entered: 0,
    };
    walk.add_volume_facts();
    walk.add_folders();
    walk.add_deleted();
    walk.add_limits();
    walk.out
}

/// A file or folder that was deleted.
struct Deleted {
    path: String,
    entry: super::directory::Entry,
}

struct Walk<'a> {
    window: &'a Window<'a>,
    boot: &'a BootSector,
    tables: Tables,
    follower: Follower,
    /// For each cluster nothing (0), or its owner's place in the list: folders with bit 31, files without, plus one.
    owners: Vec<u32>,
    deleted: Vec<Deleted>,
    out: FatVolume,
    /// Folders and files passed over because of a bound.
    not_entered: usize,
}

const FOLDER_BIT: u32 = 1 << 31;

impl Walk<'_> {
    fn add_volume_facts(&mut self) {
        let boot = self.boot;
        let table_end = boot.table_offset(1);
        let complete = table_end <= self.window.available() && boot.usable_clusters() <= MAX_CLUSTERS;
        self.out.clusters = u64::from(boot.usable_clusters());
        self.out.free_clusters = complete.then(|| self.tables.first.free());
        self.out.recorded_free = self.recorded_free();
        self.out.difference = self.tables.difference.filter(|_| complete);
        let by_table = self.tables.first.left_open().filter(|_| complete);
        self.out.dirty = Some(boot.state & 1 != 0 || by_table.unwrap_or(false));
    }

    /// FAT05 "FSInfo": advisory, and all ones where unknown.
    fn recorded_free(&self) -> Option<u32> {
        if !self.boot.fat32_layout || matches!(self.boot.info_sector, 0 | 0xFFFF) {
            return None;
        }
        let at = u64::from(self.boot.info_sector) * u64::from(self.boot.bytes_per_sector);
        let sector = self.window.bytes::<512>(at);
        let signed = u32_at(&sector, 0) == 0x4161_5252 && u32_at(&sector, 484) == 0x6141_7272;
        Some(u32_at(&sector, 488)).filter(|free| signed && *free != u32::MAX)
    }

    /// The chain that begins in `start`: the first table's, or the second's where only that one holds `needed`
    /// clusters and ends properly. With it, what is wrong with the first table's.
    fn best_chain(&mut self, start: u32, needed: u64) -> (Chain, Option<Chained>, bool) {
        let first = self.follower.follow(&self.tables.first, start);
        self.out.names_outside |= matches!(first.stop, Stop::Outside { .. });
        let wrong = match first.stop {
            Stop::End if first.clusters < needed => Some(Chained::Short { had: first.clusters, needed }),
            Stop::End if first.clusters > needed => Some(Chained::Long { had: first.clusters, needed }),
            Stop::End => None,
            stop => Some(Chained::Stopped(stop)),
        };
        let serves = |chain: &Chain| chain.is_sound() && chain.clusters >= needed;
        if !serves(&first)
            && let Some(table) = &self.tables.second
        {
            let second = self.follower.follow(table, start);
            if serves(&second) {
                return (second, wrong, true);
            }
        }
        (first, wrong, false)
    }

    /// Marks the clusters of a chain as used by `owner`; gives the first that was used already, and by whom.
    fn claim(&mut self, chain: &Chain, owner: Owner) -> Option<(u32, Owner)> {
        let mark = match owner {
            Owner::File(index) => u32::try_from(index).unwrap_or(FOLDER_BIT - 2) + 1,
            Owner::Folder(index) => u32::try_from(index).unwrap_or(FOLDER_BIT - 1) | FOLDER_BIT,
        };
        let mut crossed = None;
        for cluster in chain.each() {
            let Some(slot) = self.owners.get_mut(cluster as usize) else { continue };
            if *slot == 0 {
                *slot = mark;
            } else if crossed.is_none() {
                crossed = Some((cluster, owner_of(*slot)));
            }
        }
        crossed
    }

    fn add_limits(&mut self) {
        if self.boot.usable_clusters() > MAX_CLUSTERS {
            self.out.not_checked.push(NotChecked::new(
                format!("clusters behind number {MAX_CLUSTERS}"),
                "the volume has more clusters than are looked at; no stick of common size has",
            ));
        }
        if self.not_entered > 0 {
            self.out.not_checked.push(NotChecked::new(
                format!("{} files and folders of the volume", self.not_entered),
                format!(
                    "more than {MAX_FILES} files, {MAX_DEPTH} folders deep, or a path of over {MAX_PATH_BYTES} bytes"
                ),
            ));
        }
    }
}

const fn owner_of(mark: u32) -> Owner {
    if mark & FOLDER_BIT != 0 { Owner::Folder((mark & !FOLDER_BIT) as usize) } else { Owner::File(mark as usize - 1) }
}

/// A path of a folder and a name in it.
fn joined(folder: &str, name: &str) -> String {
    if folder.is_empty() { name.to_owned() } else { format!("{folder}/{name}") }
}
