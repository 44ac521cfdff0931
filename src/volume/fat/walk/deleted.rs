//! Deleted files: as far as the clusters that follow the first one are still free.

use std::collections::HashSet;

use super::super::chain::Chain;
use super::super::table::Tables;
use super::files::Pending;
use super::{MAX_FILES, MAX_PATH_BYTES, Walk, joined};
use crate::finding::NotChecked;
use crate::volume::stored::FileState;

impl Walk<'_> {
    /// Adds the deleted files, those of deleted folders too.
    pub(super) fn add_deleted(&mut self) {
        let mut waiting = std::mem::take(&mut self.deleted);
        if waiting.is_empty() {
            return;
        }
        // The last one is taken first: so they stay in the order of their folders.
        waiting.reverse();
        let free = FreeRuns::of(&self.tables);
        let mut entered = HashSet::new();
        let mut gone = 0;
        while let Some(deleted) = waiting.pop() {
            if !deleted.entry.directory {
                let chain = free.from(deleted.entry.cluster, self.needed(&deleted.entry));
                let stored = self.stored(&deleted, &chain);
                self.out.files.push(stored);
            } else if entered.insert(deleted.entry.cluster)
                && let Some(files) = self.in_deleted(&deleted, &free)
            {
                waiting.extend(files.into_iter().rev());
            } else {
                gone += 1;
            }
        }
        if gone > 0 {
            self.out.not_checked.push(NotChecked::new(
                format!("files inside {gone} deleted folders"),
                "other files stand where these folders stood",
            ));
        }
    }

    /// What a deleted folder listed in its first cluster, if that is still free and still its own.
    fn in_deleted(&self, folder: &Pending, free: &FreeRuns) -> Option<Vec<Pending>> {
        let chain = free.from(folder.entry.cluster, 1);
        if chain.clusters == 0 || !self.is_folder(folder.entry.cluster) {
            return None;
        }
        let listing = self.list(&self.bytes_of(&chain).0, false);
        let room = MAX_FILES.saturating_sub(self.out.files.len());
        let inside = listing.entries.into_iter().filter_map(|entry| {
            let path = joined(&folder.path, &entry.name);
            (path.len() <= MAX_PATH_BYTES).then_some(Pending { path, entry, state: FileState::Deleted })
        });
        Some(inside.take(room).collect())
    }
}

/// How many clusters are free in a row, from each on: counted once, so that thousands of deleted entries over one large
/// free stretch cost no more than one.
struct FreeRuns {
    lengths: Vec<u32>,
}

impl FreeRuns {
    fn of(tables: &Tables) -> Self {
        let mut lengths = vec![0; tables.first.len()];
        let mut length = 0_u32;
        for (cluster, place) in lengths.iter_mut().enumerate().rev() {
            let free = u32::try_from(cluster).is_ok_and(|cluster| tables.is_free(cluster));
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
