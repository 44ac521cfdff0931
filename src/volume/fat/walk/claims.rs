//! Which file or folder uses which cluster; a cluster can belong to one only.

use super::super::chain::Chain;
use super::Owner;

/// For each cluster nothing (0), or its owner's place in the list plus one; folders with bit 31.
pub(super) struct Claims {
    owners: Vec<u32>,
}

const FOLDER_BIT: u32 = 1 << 31;

/// A cluster that two claim.
pub(super) struct Shared {
    pub cluster: u32,
    /// Who claimed it first.
    pub with: Owner,
}

impl Claims {
    pub(super) fn new(entries: usize) -> Self {
        Self { owners: vec![0; entries] }
    }

    /// Marks the clusters of a chain as used by `owner`; gives the first that was used already.
    pub(super) fn claim(&mut self, chain: &Chain, owner: Owner) -> Option<Shared> {
        let mark = mark_of(owner);
        let mut shared = None;
        for cluster in chain.each() {
            let Some(slot) = self.owners.get_mut(cluster as usize) else { continue };
            if *slot == 0 {
                *slot = mark;
            } else if shared.is_none() && *slot != mark {
                shared = Some(Shared { cluster, with: owner_of(*slot) });
            }
        }
        shared
    }

    /// Whether anyone uses the cluster.
    pub(super) fn is_taken(&self, cluster: u32) -> bool {
        self.owners.get(cluster as usize).is_some_and(|mark| *mark != 0)
    }

    /// How many clusters of a chain someone uses already.
    pub(super) fn taken(&self, chain: &Chain) -> usize {
        chain.each().filter(|cluster| self.is_taken(*cluster)).count()
    }
}

fn mark_of(owner: Owner) -> u32 {
    match owner {
        Owner::File(index) => u32::try_from(index).unwrap_or(FOLDER_BIT - 2).min(FOLDER_BIT - 2) + 1,
        Owner::Folder(index) => u32::try_from(index).unwrap_or(FOLDER_BIT - 1) | FOLDER_BIT,
    }
}

const fn owner_of(mark: u32) -> Owner {
    if mark & FOLDER_BIT != 0 { Owner::Folder((mark & !FOLDER_BIT) as usize) } else { Owner::File(mark as usize - 1) }
}
