//! Files: where the bytes of each lie.

use super::super::chain::{Chain, Stop, extents};
use super::super::directory::Entry;
use super::super::table::{Link, Table};
use super::{Chained, Owner, Problem, Walk};
use crate::finding::NotChecked;
use crate::volume::stored::{FileState, StoredFile, total};

impl Walk<'_> {
    /// Adds a file that a directory lists.
    pub(super) fn add_live(&mut self, path: String, entry: &Entry) {
        let index = self.out.files.len();
        let size = u64::from(entry.size);
        let needed = size.div_ceil(self.boot.cluster_bytes().max(1));
        let (chain, wrong, second) = self.file_chain(entry, needed);
        let crossed = self.claim(&chain, Owner::File(index));
        let mut file = self.stored(path, entry, &chain, FileState::Live);
        file.by_second_table = second;
        if chain.clusters >= needed && !file.whole {
            self.out.beyond_medium.push(index);
        }
        if entry.clock_not_set {
            self.out.clock_not_set.push(index);
        }
        self.out.files.push(file);
        if let Some(what) = wrong {
            self.out.problems.push(Problem { file: index, what });
        }
        if let Some((cluster, with)) = crossed {
            self.add_crossed(index, cluster, with);
        }
    }

    fn file_chain(&mut self, entry: &Entry, needed: u64) -> (Chain, Option<Chained>, bool) {
        match (entry.cluster, needed) {
            // An empty file has no cluster (FAT05 "File Allocation").
            (0, 0) => (Chain::new(), None, false),
            (0, _) => (Chain::new(), Some(Chained::Stopped(Stop::Outside { after: None, named: 0 })), false),
            (start, _) => self.best_chain(start, needed),
        }
    }

    /// Two files cannot share a cluster: at least one of them has bytes of the other.
    fn add_crossed(&mut self, index: usize, cluster: u32, with: Owner) {
        self.out.problems.push(Problem { file: index, what: Chained::Crossed { with, cluster } });
        let other = if let Owner::File(other) = with { Some(other) } else { None };
        for place in [Some(index), other].into_iter().flatten() {
            if let Some(file) = self.out.files.get_mut(place) {
                file.whole = false;
            }
        }
    }

    /// Adds the deleted files, each as far as the clusters that follow its first one are still free.
    pub(super) fn add_deleted(&mut self) {
        let free = FreeRuns::of(&self.tables.first);
        let mut folders = 0;
        for deleted in std::mem::take(&mut self.deleted) {
            if deleted.entry.directory {
                folders += 1;
                continue;
            }
            let needed = u64::from(deleted.entry.size).div_ceil(self.boot.cluster_bytes().max(1));
            let chain = free.from(deleted.entry.cluster, needed);
            let file = self.stored(deleted.path, &deleted.entry, &chain, FileState::Deleted);
            self.out.files.push(file);
        }
        if folders > 0 {
            self.out.not_checked.push(NotChecked::new(
                format!("files inside {folders} deleted folders"),
                "deleted folders are not entered",
            ));
        }
    }

    fn stored(&self, path: String, entry: &Entry, chain: &Chain, state: FileState) -> StoredFile {
        let size_bytes = u64::from(entry.size);
        let (extents, beyond_size) = extents(self.window, self.boot, chain, size_bytes);
        StoredFile {
            path: Some(path),
            size_bytes,
            modified: entry.modified,
            state,
            whole: total(&extents) == size_bytes,
            extents,
            beyond_size,
            first_cluster: (entry.cluster != 0).then_some(entry.cluster),
            by_second_table: false,
            read_only: entry.read_only,
            sha256: None,
            loose: None,
        }
    }
}

/// How many clusters are free in a row, from each on: counted once, so that thousands of deleted entries over one large
/// free stretch cost no more than one.
struct FreeRuns {
    lengths: Vec<u32>,
}

impl FreeRuns {
    fn of(table: &Table) -> Self {
        let mut lengths = vec![0; table.len()];
        let mut length = 0_u32;
        for (cluster, place) in lengths.iter_mut().enumerate().rev() {
            let free = u32::try_from(cluster).is_ok_and(|cluster| table.link(cluster) == Link::Free);
            length = if free { length.saturating_add(1) } else { 0 };
            *place = length;
        }
        Self { lengths }
    }

    /// The free clusters from `start` on, `needed` at most. Deleting erases the chain, so their order is a guess.
    fn from(&self, start: u32, needed: u64) -> Chain {
        let free = self.lengths.get(start as usize).copied().unwrap_or(0);
        let count = u32::try_from(needed).unwrap_or(u32::MAX).min(free);
        Chain::of_run(start, count)
    }
}
