//! Clusters that are in use but belong to no file, and folders among them.

use super::super::choice::is_text;
use super::super::directory::Entry;
use super::super::table::Link;
use super::folders::Folder;
use super::{Lost, Walk};
use crate::finding::NotChecked;
use crate::volume::stored::FileState;

/// So many lost chains are looked into; each costs a read.
const MAX_LOOKED_INTO: usize = 1_024;

impl Walk<'_> {
    /// Enters the folders whose own entry is gone, and counts what is then left without an owner.
    pub(super) fn add_lost(&mut self) {
        let mut heads = self.lost_heads();
        for start in heads.clone().into_iter().take(MAX_LOOKED_INTO) {
            if self.is_folder(start) && !self.claims.is_taken(start) {
                self.out.lost.folders += 1;
                self.enter_lost(start);
            }
        }
        if self.out.lost.folders > 0 {
            self.add_files();
            heads = self.lost_heads();
        }
        self.count_lost(&heads);
        let more = heads.len().saturating_sub(MAX_LOOKED_INTO);
        if more > 0 {
            self.out.not_checked.push(NotChecked::new(
                format!("what {more} further chains without a file hold"),
                format!("only the first {MAX_LOOKED_INTO} are looked into"),
            ));
        }
    }

    /// The first cluster of every chain in use without an owner: no other such cluster leads to it.
    fn lost_heads(&self) -> Vec<u32> {
        let mut lost: Vec<u32> = self.clusters().filter(|cluster| self.is_lost(*cluster)).collect();
        if lost.is_empty() {
            return lost;
        }
        let mut led_to = vec![false; self.tables.first.len()];
        for cluster in &lost {
            if let Link::Next(next) = self.tables.first.link(*cluster)
                && let Some(place) = led_to.get_mut(next as usize)
            {
                *place = true;
            }
        }
        lost.retain(|cluster| led_to.get(*cluster as usize) == Some(&false));
        lost
    }

    fn clusters(&self) -> impl Iterator<Item = u32> + use<> {
        2..u32::try_from(self.tables.first.len()).unwrap_or(u32::MAX)
    }

    /// Where the tables differ, one of them is wrong, and the cluster may well be free.
    fn is_lost(&self, cluster: u32) -> bool {
        let used = || matches!(self.tables.first.link(cluster), Link::Next(_) | Link::End);
        !self.claims.is_taken(cluster) && used() && self.tables.other_link(cluster).is_none()
    }

    fn count_lost(&mut self, heads: &[u32]) {
        let looked_into = heads.iter().take(MAX_LOOKED_INTO);
        self.out.lost = Lost {
            clusters: self.clusters().filter(|cluster| self.is_lost(*cluster)).count() as u64,
            chains: heads.len() as u64,
            first: heads.first().copied(),
            text: looked_into.filter(|cluster| self.begins_with_text(**cluster)).count() as u64,
            folders: self.out.lost.folders,
        };
    }

    /// A folder begins with `.`, which names its own cluster, and `..` (FAT05 "Directory Structure").
    pub(super) fn is_folder(&self, cluster: u32) -> bool {
        let head = self.window.bytes::<128>(self.boot.cluster_offset(cluster));
        let listing = self.list(&head, false);
        listing.dot == Some(cluster) && listing.dot_dot.is_some()
    }

    fn begins_with_text(&self, cluster: u32) -> bool {
        let head = self.window.bytes::<512>(self.boot.cluster_offset(cluster));
        let length = head.iter().position(|byte| *byte == 0).unwrap_or(head.len());
        let text = head.get(..length).unwrap_or_default();
        length >= 16 && is_text(text) && text.contains(&b'\n')
    }

    /// The files of a folder whose own name is gone are listed under the place where it was found.
    fn enter_lost(&mut self, cluster: u32) {
        let path = format!("folder without a name at cluster {cluster}");
        self.enter_all(vec![Folder::lost(path, cluster)]);
    }
}

/// What a file listed in a folder of this state is.
pub(super) const fn state_in(lost: bool, entry: &Entry) -> FileState {
    match (entry.deleted, lost) {
        (true, _) => FileState::Deleted,
        (false, true) => FileState::Lost,
        (false, false) => FileState::Live,
    }
}
