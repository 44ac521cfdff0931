//! Folders: each entered once, its entries sorted into files, folders and what was deleted.

use super::super::chain::{Chain, Stop, extents};
use super::super::directory::{self, Entry, Listing, MAX_DIRECTORY_BYTES};
use super::files::Pending;
use super::lost::state_in;
use super::{DirectoryFault, FullFolder, MAX_DEPTH, MAX_FILES, MAX_PATH_BYTES, Owner, Walk, joined};
use crate::volume::stored::{Extent, FileState, total};

/// A folder to enter.
pub(super) struct Folder {
    path: String,
    cluster: u32,
    /// The cluster of the folder above; `None` where that is not known, or there is none.
    above: Option<u32>,
    depth: usize,
    /// Whether its own entry is gone.
    lost: bool,
}

impl Folder {
    const fn root(cluster: u32) -> Self {
        Self { path: String::new(), cluster, above: None, depth: 0, lost: false }
    }

    /// A folder listed in one whose own cluster is not known any more.
    pub(super) const fn named(path: String, cluster: u32) -> Self {
        Self { path, cluster, above: None, depth: 1, lost: false }
    }

    /// A folder whose own entry is gone.
    pub(super) const fn lost(path: String, cluster: u32) -> Self {
        Self { path, cluster, above: None, depth: 1, lost: true }
    }
}

impl Walk<'_> {
    /// Lists the root and every folder below it.
    pub(super) fn add_folders(&mut self) {
        let mut waiting = Vec::new();
        if self.boot.fat32_layout {
            waiting.push(Folder::root(self.boot.root_cluster));
        } else {
            self.add_fixed_root(&mut waiting);
        }
        self.enter_all(waiting);
    }

    /// Enters these folders and every one below them.
    pub(super) fn enter_all(&mut self, mut waiting: Vec<Folder>) {
        while let Some(folder) = waiting.pop() {
            if self.out.folders.len() < MAX_FILES {
                self.enter(&folder, &mut waiting);
            }
        }
    }

    /// The root of FAT12 and FAT16 has its own place, ahead of the clusters.
    fn add_fixed_root(&mut self, waiting: &mut Vec<Folder>) {
        let boot = self.boot;
        let at = boot.root_sector() * u64::from(boot.bytes_per_sector);
        let mut bytes = vec![0; usize::try_from(boot.root_bytes().min(MAX_DIRECTORY_BYTES)).unwrap_or(0)];
        self.window.read(at, &mut bytes);
        let root = Folder::root(0);
        self.out.folders.push(String::new());
        let listing = self.list(&bytes, true);
        self.out.root_slots_free = Some(listing.free_slots);
        self.note_room("", &listing);
        self.add_listing(&root, listing, waiting);
    }

    pub(super) fn list(&self, bytes: &[u8], root: bool) -> Listing {
        let has = |cluster| self.tables.first.has(cluster);
        directory::list(bytes, &directory::Volume { wide: self.boot.fat32_layout, has: &has, root })
    }

    /// A folder that cannot grow, with less room than the longest of its names takes.
    fn note_room(&mut self, path: &str, listing: &Listing) {
        let live = listing.entries.iter().filter(|entry| !entry.deleted);
        let needed = live.map(|entry| entry.slots).max().unwrap_or(1);
        if listing.free_run < needed {
            self.out.full_folders.push(FullFolder { path: path.to_owned(), free: listing.free_run, needed });
        }
    }

    fn enter(&mut self, folder: &Folder, waiting: &mut Vec<Folder>) {
        let index = self.out.folders.len();
        self.out.folders.push(folder.path.clone());
        let chain = self.folder_chain(folder);
        if chain.second_links > 0 {
            self.out.folders_by_second_table += 1;
        } else if let Some(what) = stop_in_words(chain.stop) {
            self.fault(folder, what);
        }
        if let Some(shared) = self.claims.claim(&chain, Owner::Folder(index)) {
            self.fault(folder, format!("cluster {} belongs to another file or folder as well", shared.cluster));
            return;
        }
        let bytes = self.folder_bytes(folder, &chain);
        let listing = self.list(&bytes, folder.depth == 0);
        self.check_dots(folder, &listing);
        if bytes.len() as u64 >= MAX_DIRECTORY_BYTES {
            self.note_room(&folder.path, &listing);
        }
        self.add_listing(folder, listing, waiting);
    }

    /// FAT05 "Directory Structure": every folder but the root begins with itself and the one above; the root counts as 0.
    fn check_dots(&mut self, folder: &Folder, listing: &Listing) {
        if folder.depth == 0 {
            return;
        }
        let (Some(dot), Some(above)) = (listing.dot, listing.dot_dot) else {
            self.fault(folder, "it does not begin with the two entries every folder begins with".to_owned());
            return;
        };
        if dot != folder.cluster {
            self.fault(folder, format!("it stands in cluster {} and says that it stands in {dot}", folder.cluster));
        }
        let root = if self.boot.fat32_layout { self.boot.root_cluster } else { 0 };
        let named_root = |cluster: u32| if cluster == root { 0 } else { cluster };
        if folder.above.is_some_and(|wanted| named_root(wanted) != named_root(above)) {
            self.fault(folder, format!("it says that the folder above it stands in cluster {above}, which is not so"));
        }
    }

    /// Of several ways the one that ends properly, in clusters no other folder has, and lists most.
    fn folder_chain(&mut self, folder: &Folder) -> Chain {
        let mut ways = self.follower.ways(&self.tables, folder.cluster);
        self.out.names_outside |= ways.iter().any(|way| matches!(way.stop, Stop::Outside { .. }));
        if ways.len() == 1 {
            return ways.pop().unwrap_or_else(Chain::new);
        }
        let all =
            ways.iter().map(|way| way.clusters.saturating_mul(self.boot.cluster_bytes()).min(MAX_DIRECTORY_BYTES));
        let compared = self.compare_left.checked_sub(all.fold(0, u64::saturating_add));
        self.compare_left = compared.unwrap_or(0);
        let rank = |way: &Chain| {
            let bytes = compared.map(|_| self.bytes_of(way).0).unwrap_or_default();
            let listing = self.list(&bytes, folder.depth == 0);
            let entries = listing.entries.len();
            let first = std::cmp::Reverse(way.second_links);
            (
                way.is_sound(),
                std::cmp::Reverse(self.claims.taken(way)),
                std::cmp::Reverse(listing.nonsense),
                entries,
                first,
            )
        };
        ways.into_iter().max_by_key(rank).unwrap_or_else(Chain::new)
    }

    /// The bytes of a folder's clusters, and how many of them the medium has.
    pub(super) fn bytes_of(&self, chain: &Chain) -> (Vec<u8>, u64) {
        let (pieces, _) = extents(self.window, self.boot, chain, MAX_DIRECTORY_BYTES);
        let mut bytes = Vec::new();
        for Extent { medium_offset, length, .. } in &pieces {
            let from = bytes.len();
            bytes.resize(from + usize::try_from(*length).unwrap_or(0), 0);
            let at = medium_offset.saturating_sub(self.window.on_medium(0));
            self.window.read(at, bytes.get_mut(from..).unwrap_or_default());
        }
        (bytes, total(&pieces))
    }

    fn folder_bytes(&mut self, folder: &Folder, chain: &Chain) -> Vec<u8> {
        let stated = chain.clusters.saturating_mul(self.boot.cluster_bytes());
        if stated > MAX_DIRECTORY_BYTES {
            self.fault(folder, "it is longer than 65,536 entries; those behind were passed over".to_owned());
        }
        let (bytes, had) = self.bytes_of(chain);
        if had < stated.min(MAX_DIRECTORY_BYTES) {
            self.fault(folder, "a part of it lies beyond the end of the medium".to_owned());
        }
        bytes
    }

    fn add_listing(&mut self, folder: &Folder, listing: Listing, waiting: &mut Vec<Folder>) {
        if listing.nonsense > 0 {
            let what = format!("entries that are not those of a file or folder: {}", listing.nonsense);
            self.fault(folder, what);
        }
        if listing.stray_slots > 0 {
            let what = format!("parts of long names that belong to no file in it: {}", listing.stray_slots);
            self.name_fault(&folder.path, what);
        }
        if listing.impossible_names > 0 {
            let what = format!("names that are there twice, or not allowed: {}", listing.impossible_names);
            self.name_fault(&folder.path, what);
        }
        let live = listing.entries.iter().filter(|entry| !entry.deleted);
        let odd = live.clone().filter(|entry| entry.short.is_odd()).count();
        self.names_seen += live.count();
        if odd > 0 {
            self.odd_names.push((folder.path.clone(), odd));
        }
        if folder.depth == 0 {
            self.out.label = listing.label.filter(|label| !label.is_empty());
        }
        for entry in listing.behind_end {
            let path = joined(&folder.path, &entry.name);
            if self.behind_end.len() < MAX_FILES && path.len() <= MAX_PATH_BYTES {
                self.behind_end.push(Pending { path, state: state_in(folder.lost, &entry), entry });
            }
        }
        for entry in listing.entries {
            self.add_entry(folder, entry, waiting);
        }
    }

    fn add_entry(&mut self, folder: &Folder, entry: Entry, waiting: &mut Vec<Folder>) {
        let path = joined(&folder.path, &entry.name);
        let depth = folder.depth + 1;
        let known =
            self.out.files.len() + self.pending.len() + self.deleted.len() + self.out.folders.len() + waiting.len();
        if known >= MAX_FILES || path.len() > MAX_PATH_BYTES || depth > MAX_DEPTH {
            self.not_entered += 1;
        } else if entry.deleted {
            self.deleted.push(Pending { path, entry, state: FileState::Deleted });
        } else if entry.directory {
            let above = Some(folder.cluster);
            waiting.push(Folder { path, cluster: entry.cluster, above, depth, lost: folder.lost });
        } else {
            self.pending.push(Pending { path, state: state_in(folder.lost, &entry), entry });
        }
    }

    /// Where few names of a volume hold letters that writers do not put there, those were damaged; where most do, that is how
    /// its writer writes them.
    pub(super) fn tell_odd_names(&mut self) {
        let odd: usize = self.odd_names.iter().map(|(_, count)| count).sum();
        if odd * 2 < self.names_seen {
            for (path, count) in std::mem::take(&mut self.odd_names) {
                self.name_fault(&path, format!("names with letters that no writer puts there: {count}"));
            }
        }
    }

    fn name_fault(&mut self, path: &str, what: String) {
        self.out.directory_faults.push(DirectoryFault { path: path.to_owned(), what, names_only: true });
    }

    fn fault(&mut self, folder: &Folder, what: String) {
        self.out.directory_faults.push(DirectoryFault { path: folder.path.clone(), what, names_only: false });
    }
}

fn stop_in_words(stop: Stop) -> Option<String> {
    match stop {
        Stop::End => None,
        Stop::Free(at) => Some(format!("cluster {at} of it is marked as free")),
        Stop::Bad(at) => Some(format!("cluster {at} of it is marked as bad")),
        Stop::Outside { named, .. } => Some(format!("it names cluster {named}, which the volume does not have")),
        Stop::Loop(at) => Some(format!("its chain leads back to cluster {at}")),
        Stop::TooLong => Some("its chain is longer than any sound volume needs".to_owned()),
    }
}
