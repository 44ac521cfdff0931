//! Files: where the bytes of each lie.

use std::cmp::Reverse;

use super::super::chain::{Chain, Stop, extents};
use super::super::choice::{COMPARED_BYTES, text_reach};
use super::super::directory::Entry;
use super::claims::Shared;
use super::folders::Folder;
use super::{Chained, DirectoryFault, Owner, Problem, Walk};
use crate::volume::stored::{FileState, StoredFile, total};

/// A file that a folder lists.
pub(super) struct Pending {
    pub path: String,
    pub entry: Entry,
    pub state: FileState,
}

/// Where a file's bytes lie, and what is wrong with that.
struct Placed {
    chain: Chain,
    /// What is wrong with the chain that is taken first where the tables leave a choice.
    wrong: Option<Chained>,
    /// Whether the chain ends where the recorded size says.
    exact: bool,
}

impl Walk<'_> {
    /// Looks up every listed file. Those of which the tables leave no doubt claim their clusters first, so that the others
    /// can be told from them.
    pub(super) fn add_files(&mut self) {
        let pending = std::mem::take(&mut self.pending);
        let first_index = self.out.files.len();
        let ways: Vec<Vec<Chain>> = pending.iter().map(|file| self.ways(&file.entry)).collect();
        let mut shared: Vec<(usize, Shared)> = Vec::new();
        let mut chosen: Vec<(usize, Placed)> = Vec::new();
        for index in self.claiming_order(&pending, &ways) {
            let (Some(file), Some(ways)) = (pending.get(index), ways.get(index)) else { continue };
            let place = self.choose(&file.entry, ways);
            let claimed = self.claims.claim(&place.chain, Owner::File(first_index + index));
            shared.extend(claimed.map(|shared| (first_index + index, shared)));
            chosen.push((index, place));
        }
        chosen.sort_by_key(|(index, _)| *index);
        for (file, (_, place)) in pending.into_iter().zip(chosen) {
            self.add_placed(file, place);
        }
        shared.sort_by_key(|(index, _)| *index);
        for (index, shared) in shared {
            self.add_crossed(index, &shared);
        }
    }

    /// Files with one way first, and of these the ones that end where their size says.
    fn claiming_order(&self, pending: &[Pending], ways: &[Vec<Chain>]) -> Vec<usize> {
        let key = |index: &usize| {
            let (Some(file), Some(ways)) = (pending.get(*index), ways.get(*index)) else { return (true, true) };
            let disputed = ways.len() > 1 || ways.iter().any(|way| way.second_links > 0);
            let needed = self.needed(&file.entry);
            (disputed, !ways.iter().any(|way| is_exact(way, needed)))
        };
        let mut order: Vec<usize> = (0..pending.len()).collect();
        order.sort_by_key(key);
        order
    }

    fn ways(&mut self, entry: &Entry) -> Vec<Chain> {
        if entry.cluster == 0 { Vec::new() } else { self.follower.ways(&self.tables, entry.cluster) }
    }

    /// The clusters the recorded size takes.
    pub(super) fn needed(&self, entry: &Entry) -> u64 {
        u64::from(entry.size).div_ceil(self.boot.cluster_bytes().max(1))
    }

    /// The best of the ways: one that ends where the size says, in clusters no other file has; then the one whose bytes
    /// go on longest as the text they began as; then the one with most of its links from the first table.
    fn choose(&mut self, entry: &Entry, ways: &[Chain]) -> Placed {
        let needed = self.needed(entry);
        let Some(first) = ways.first() else {
            let empty = needed == 0;
            let wrong = (!empty).then_some(Chained::Stopped(Stop::Outside { after: None, named: 0 }));
            return Placed { chain: Chain::new(), wrong, exact: empty };
        };
        self.out.names_outside |= ways.iter().any(|way| matches!(way.stop, Stop::Outside { .. }));
        let rank = |chain: &Chain| {
            let sound = chain.is_sound() && chain.clusters >= needed;
            let exact = is_exact(chain, needed);
            let had = chain.clusters.min(needed);
            (sound, exact, Reverse(self.claims.taken(chain)), had)
        };
        let best = ways.iter().map(rank).max();
        let equal: Vec<&Chain> = ways.iter().filter(|way| Some(rank(way)) == best).collect();
        let chosen = if let [only] = equal[..] { only } else { self.longest_text(&equal, entry).unwrap_or(first) };
        Placed { chain: chosen.clone(), wrong: wrong_with(first, needed), exact: is_exact(chosen, needed) }
    }

    /// The longest text; of equals, and once as much was compared as is worth while, the most links of the first table.
    fn longest_text<'b>(&mut self, ways: &[&'b Chain], entry: &Entry) -> Option<&'b Chain> {
        let size = u64::from(entry.size).min(COMPARED_BYTES);
        let all = size.saturating_mul(ways.len() as u64);
        let compared = self.compare_left.checked_sub(all);
        self.compare_left = compared.unwrap_or(0);
        let reach = |way: &Chain| match compared {
            Some(_) => text_reach(self.window, &extents(self.window, self.boot, way, size).0),
            None => 0,
        };
        ways.iter().copied().max_by_key(|way| (reach(way), Reverse(way.second_links)))
    }

    fn add_placed(&mut self, file: Pending, place: Placed) {
        let index = self.out.files.len();
        let needed = self.needed(&file.entry);
        let Placed { chain, wrong, exact } = place;
        let mut stored = self.stored(&file, &chain);
        stored.by_second_table = chain.second_links > 0;
        if chain.clusters >= needed && !stored.whole {
            self.out.beyond_medium.push(index);
        }
        if file.entry.clock_not_set && file.state == FileState::Live {
            self.out.clock_not_set.push(index);
        }
        self.out.files.push(stored);
        self.exact.push(exact);
        self.out.problems.extend(wrong.map(|what| Problem { file: index, what }));
    }

    /// Two files cannot share a cluster. Where the one that claimed it first ends exactly where its size says and the other
    /// does not, it is taken for the first one's; otherwise either may have bytes of the other.
    fn add_crossed(&mut self, index: usize, shared: &Shared) {
        let Shared { cluster, with } = *shared;
        self.out.problems.push(Problem { file: index, what: Chained::Crossed { with, cluster } });
        let is_exact = |index: usize| self.exact.get(index).copied().unwrap_or(false);
        let other = match with {
            Owner::File(other) => Some(other).filter(|other| is_exact(index) || !is_exact(*other)),
            Owner::Folder(_) => None,
        };
        for place in [Some(index), other].into_iter().flatten() {
            if let Some(file) = self.out.files.get_mut(place) {
                file.whole = false;
            }
        }
    }

    /// Adds the files and folders behind the end of a folder's list whose clusters the table has in use and no other file
    /// has: the mark that ends the list is then damage.
    pub(super) fn add_behind_end(&mut self) {
        let (folders, files): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.behind_end).into_iter().partition(|behind| behind.entry.directory);
        for Pending { path, entry, .. } in folders {
            if !self.claims.is_taken(entry.cluster) && self.is_folder(entry.cluster) {
                self.tell_false_end(&path, "folder", &entry.name);
                self.enter_all(vec![Folder::named(path, entry.cluster)]);
            }
        }
        self.add_files();
        for file in files {
            let ways = self.ways(&file.entry);
            let place = self.choose(&file.entry, &ways);
            if !place.exact || place.chain.clusters == 0 || self.claims.taken(&place.chain) > 0 {
                continue;
            }
            self.tell_false_end(&file.path, "file", &file.entry.name);
            self.claims.claim(&place.chain, Owner::File(self.out.files.len()));
            self.add_placed(file, place);
        }
    }

    fn tell_false_end(&mut self, path: &str, what: &str, name: &str) {
        let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
        let what = format!("the mark of its end stands before the {what} “{name}”");
        self.out.directory_faults.push(DirectoryFault { path: folder, what, names_only: false });
    }

    pub(super) fn stored(&self, file: &Pending, chain: &Chain) -> StoredFile {
        let Pending { path, entry, state } = file;
        let size_bytes = u64::from(entry.size);
        let (extents, beyond_size) = extents(self.window, self.boot, chain, size_bytes);
        StoredFile {
            path: Some(path.clone()),
            size_bytes,
            modified: entry.modified,
            state: *state,
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

fn wrong_with(chain: &Chain, needed: u64) -> Option<Chained> {
    let had = chain.clusters;
    match chain.stop {
        Stop::End if had < needed => Some(Chained::Short { had, needed }),
        Stop::End if had > needed => Some(Chained::Long { had, needed }),
        Stop::End => None,
        stop => Some(Chained::Stopped(stop)),
    }
}

/// Whether a chain ends where the recorded size says.
fn is_exact(chain: &Chain, needed: u64) -> bool {
    chain.is_sound() && chain.clusters == needed
}
