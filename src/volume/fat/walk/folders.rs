//! Folders: each entered once, its entries sorted into files, folders and what was deleted.

use super::super::chain::{Chain, Stop, extents};
use super::super::directory::{self, Entry, Listing, MAX_DIRECTORY_BYTES};
use super::{Deleted, DirectoryFault, MAX_DEPTH, MAX_FILES, MAX_PATH_BYTES, Owner, Walk, joined};
use crate::volume::stored::{Extent, total};

/// A folder to enter.
pub(super) struct Folder {
    path: String,
    cluster: u32,
    depth: usize,
}

impl Walk<'_> {
    /// Lists the root and every folder below it.
    pub(super) fn add_folders(&mut self) {
        let mut waiting = Vec::new();
        if self.boot.fat32_layout {
            waiting.push(Folder { path: String::new(), cluster: self.boot.root_cluster, depth: 0 });
        } else {
            self.add_fixed_root(&mut waiting);
        }
        while let Some(folder) = waiting.pop() {
            self.enter(&folder, &mut waiting);
        }
    }

    /// The root of FAT12 and FAT16 has its own place, ahead of the clusters.
    fn add_fixed_root(&mut self, waiting: &mut Vec<Folder>) {
        let boot = self.boot;
        let at = boot.root_sector() * u64::from(boot.bytes_per_sector);
        let mut bytes = vec![0; usize::try_from(boot.root_bytes().min(MAX_DIRECTORY_BYTES)).unwrap_or(0)];
        self.window.read(at, &mut bytes);
        let root = Folder { path: String::new(), cluster: 0, depth: 0 };
        self.out.folders.push(String::new());
        let listing = self.list(&bytes);
        self.out.root_slots_free = Some(listing.free_slots);
        self.add_listing(&root, listing, waiting);
    }

    fn list(&self, bytes: &[u8]) -> Listing {
        let has = |cluster| self.tables.first.has(cluster);
        directory::list(bytes, &directory::Volume { wide: self.boot.fat32_layout, has: &has })
    }

    fn enter(&mut self, folder: &Folder, waiting: &mut Vec<Folder>) {
        let index = self.out.folders.len();
        self.out.folders.push(folder.path.clone());
        let (chain, second) = self.folder_chain(folder);
        if second {
            self.out.folders_by_second_table += 1;
        } else if let Some(what) = stop_in_words(chain.stop) {
            self.fault(folder, what);
        }
        if let Some((cluster, _)) = self.claim(&chain, Owner::Folder(index)) {
            self.fault(folder, format!("cluster {cluster} belongs to another file or folder as well"));
            return;
        }
        let bytes = self.folder_bytes(folder, &chain);
        let listing = self.list(&bytes);
        if folder.depth > 0 && !listing.dots {
            self.fault(folder, "it does not begin with the two entries every folder begins with".to_owned());
        }
        self.add_listing(folder, listing, waiting);
    }

    fn folder_chain(&mut self, folder: &Folder) -> (Chain, bool) {
        let first = self.follower.follow(&self.tables.first, folder.cluster);
        self.out.names_outside |= matches!(first.stop, Stop::Outside { .. });
        if !first.is_sound()
            && let Some(table) = &self.tables.second
        {
            let second = self.follower.follow(table, folder.cluster);
            if second.is_sound() {
                return (second, true);
            }
        }
        (first, false)
    }

    fn folder_bytes(&mut self, folder: &Folder, chain: &Chain) -> Vec<u8> {
        let stated = chain.clusters.saturating_mul(self.boot.cluster_bytes());
        if stated > MAX_DIRECTORY_BYTES {
            self.fault(folder, "it is longer than 65,536 entries; those behind were passed over".to_owned());
        }
        let (pieces, _) = extents(self.window, self.boot, chain, MAX_DIRECTORY_BYTES);
        if total(&pieces) < stated.min(MAX_DIRECTORY_BYTES) {
            self.fault(folder, "a part of it lies beyond the end of the medium".to_owned());
        }
        let mut bytes = Vec::new();
        for Extent { medium_offset, length, .. } in pieces {
            let from = bytes.len();
            bytes.resize(from + usize::try_from(length).unwrap_or(0), 0);
            let at = medium_offset.saturating_sub(self.window.on_medium(0));
            self.window.read(at, bytes.get_mut(from..).unwrap_or_default());
        }
        bytes
    }

    fn add_listing(&mut self, folder: &Folder, listing: Listing, waiting: &mut Vec<Folder>) {
        if listing.nonsense > 0 {
            let what = format!("{} of its entries are not those of a file or folder", listing.nonsense);
            self.fault(folder, what);
        }
        if folder.depth == 0 {
            self.out.label = listing.label.filter(|label| !label.is_empty());
        }
        for entry in listing.entries {
            self.add_entry(folder, entry, waiting);
        }
    }

    fn add_entry(&mut self, folder: &Folder, entry: Entry, waiting: &mut Vec<Folder>) {
        let path = joined(&folder.path, &entry.name);
        let depth = folder.depth + 1;
        let known = self.out.files.len() + self.deleted.len() + self.out.folders.len() + waiting.len();
        if known >= MAX_FILES || path.len() > MAX_PATH_BYTES || depth > MAX_DEPTH {
            self.not_entered += 1;
        } else if entry.deleted {
            self.deleted.push(Deleted { path, entry });
        } else if entry.directory {
            waiting.push(Folder { path, cluster: entry.cluster, depth });
        } else {
            self.add_live(path, &entry);
        }
    }

    fn fault(&mut self, folder: &Folder, what: String) {
        self.out.directory_faults.push(DirectoryFault { path: folder.path.clone(), what });
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
