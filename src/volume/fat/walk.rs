//! Walks a whole volume: every directory, every file, every chain, each cluster claimed once.

mod claims;
mod deleted;
mod files;
mod folders;
mod lost;

use claims::Claims;
use files::Pending;

use super::boot::BootSector;
use super::boot_copies::{FatBoot, tables_begun};
use super::chain::{Follower, Stop};
use super::choice::ALL_COMPARED_BYTES;
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
    /// Whether it concerns names alone: the files are read all the same.
    pub names_only: bool,
}

/// A folder without room.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::volume) struct FullFolder {
    /// Its path; empty for the root.
    pub path: String,
    /// Places left, the most in a row.
    pub free: usize,
    /// Places the longest name in it takes.
    pub needed: usize,
}

/// Clusters that are in use but belong to no file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(in crate::volume) struct Lost {
    /// How many clusters.
    pub clusters: u64,
    /// How many chains they form.
    pub chains: u64,
    /// The first cluster of the first chain.
    pub first: Option<u32>,
    /// How many of the chains begin with lines of text.
    pub text: u64,
    /// Folders among them, whose own entry is gone.
    pub folders: u64,
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
    /// Folders that have no room for another name as long as those they hold; the root of fixed length among them.
    pub full_folders: Vec<FullFolder>,
    /// Clusters in use that belong to no file.
    pub lost: Lost,
    /// Clusters the table marks as not to be used.
    pub bad_clusters: u64,
    /// Whether a writer left the mark of having met a place that could not be read or written.
    pub hard_error: bool,
    /// Whether nothing that begins like a table stands where the boot sector says.
    pub no_table_begins: bool,
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
        claims: Claims::new(tables.first.len()),
        tables,
        pending: Vec::new(),
        behind_end: Vec::new(),
        deleted: Vec::new(),
        out: FatVolume::default(),
        exact: Vec::new(),
        compare_left: ALL_COMPARED_BYTES.min(window.available()),
        names_seen: 0,
        odd_names: Vec::new(),
        not_entered: 0,
    };
    walk.add_volume_facts();
    walk.add_folders();
    walk.add_files();
    walk.add_behind_end();
    walk.add_lost();
    walk.add_deleted();
    walk.tell_odd_names();
    walk.add_limits();
    walk.out
}

struct Walk<'a> {
    window: &'a Window<'a>,
    boot: &'a BootSector,
    tables: Tables,
    follower: Follower,
    claims: Claims,
    /// Files that are listed and not yet looked up.
    pending: Vec<Pending>,
    /// Entries behind the end of their folder's list.
    behind_end: Vec<Pending>,
    deleted: Vec<Pending>,
    out: FatVolume,
    /// Of each file that is listed so far, whether its chain ends where its size says.
    exact: Vec<bool>,
    /// How many bytes may still be read to choose between ways.
    compare_left: u64,
    /// How many names were looked at.
    names_seen: usize,
    /// Folders with names that hold letters writers do not put there, and how many.
    odd_names: Vec<(String, usize)>,
    /// Folders and files passed over because of a bound.
    not_entered: usize,
}

impl Walk<'_> {
    fn add_volume_facts(&mut self) {
        let boot = self.boot;
        let table_end = boot.table_offset(1);
        let complete = table_end <= self.window.available() && boot.usable_clusters() <= MAX_CLUSTERS;
        let table = &self.tables.first;
        self.out.clusters = u64::from(boot.usable_clusters());
        self.out.free_clusters = complete.then(|| table.free());
        self.out.recorded_free = self.recorded_free();
        self.out.difference = self.tables.difference().filter(|_| complete);
        self.out.bad_clusters = table.bad();
        self.out.no_table_begins = complete && tables_begun(self.window, boot) == 0;
        let by_table = table.marks().filter(|_| complete);
        self.out.dirty = Some(boot.state & 1 != 0 || by_table.is_some_and(|marks| marks.left_open));
        self.out.hard_error = boot.state & 2 != 0 || by_table.is_some_and(|marks| marks.hard_error);
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

/// A path of a folder and a name in it.
fn joined(folder: &str, name: &str) -> String {
    if folder.is_empty() { name.to_owned() } else { format!("{folder}/{name}") }
}
