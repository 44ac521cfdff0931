//! Deleted files: as far as the clusters that follow the first one are still free.

use super::super::chain::Chain;
use super::super::table::Tables;
use super::Walk;
use super::files::Pending;
use crate::finding::NotChecked;

impl Walk<'_> {
    /// Adds the deleted files.
    pub(super) fn add_deleted(&mut self) {
        let (folders, files): (Vec<Pending>, Vec<Pending>) =
            std::mem::take(&mut self.deleted).into_iter().partition(|deleted| deleted.entry.directory);
        // Counting the whole table is of use only where something was deleted.
        let free = if files.is_empty() { FreeRuns { lengths: Vec::new() } } else { FreeRuns::of(&self.tables) };
        for file in files {
            let chain = free.from(file.entry.cluster, self.needed(&file.entry));
            let stored = self.stored(&file, &chain);
            self.out.files.push(stored);
        }
        if !folders.is_empty() {
            self.out.not_checked.push(NotChecked::new(
                format!("files inside {} deleted folders", folders.len()),
                "deleted folders are not entered",
            ));
        }
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
