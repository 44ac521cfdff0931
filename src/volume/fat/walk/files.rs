//! Files: where the bytes of each lie.

use super::super::chain::{Chain, Stop, extents};
use super::super::choice::text_reach;
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
    /// What is wrong with the chain that the first table gives.
    wrong: Option<Chained>,
    /// Whether the chain ends where the recorded size says.
    exact: bool,
    /// Whether the tables leave a choice.
    disputed: bool,
}

impl Walk<'_> {
    /// Looks up every listed file. Those of which the tables leave no doubt claim their clusters first, so that the others
    /// can be told from them.
    pub(super) fn add_files(&mut self) {
        let pending = std::mem::take(&mut self.pending);
        let first_index = self.out.files.len();
        let ways: Vec<Vec<Chain>> = pending.iter().map(|file| self.ways(&file.entry)).collect();
        let mut placed: Vec<Placed> =
            pending.iter().zip(ways.iter()).map(|(file, ways)| self.choose(&file.entry, ways)).collect();
        let mut shared: Vec<(usize, Shared)> = Vec::new();
        let mut order: Vec<usize> = (0..placed.len()).collect();
        order.sort_by_key(|index| placed.get(*index).map(|placed| (placed.disputed, !placed.exact)));
        for index in order {
            let (Some(file), Some(ways), Some(place)) = (pending.get(index), ways.get(index), placed.get_mut(index))
            else {
                continue;
            };
            if place.disputed {
                *place = self.choose(&file.entry, ways);
            }
            let owner = Owner::File(first_index + index);
            shared.extend(self.claims.claim(&place.chain, owner).map(|shared| (index, shared)));
        }
        let sound: Vec<bool> = placed.iter().map(|placed| placed.exact).collect();
        for (index, (file, place)) in pending.into_iter().zip(placed).enumerate() {
            self.add_live(first_index + index, file, place);
        }
        shared.sort_by_key(|(index, _)| *index);
        for (index, shared) in shared {
            self.add_crossed(first_index, index, &shared, &sound);
        }
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
            return Placed { chain: Chain::new(), wrong, exact: empty, disputed: false };
        };
        self.out.names_outside |= ways.iter().any(|way| matches!(way.stop, Stop::Outside { .. }));
        let rank = |chain: &Chain| {
            let sound = u8::from(chain.is_sound() && chain.clusters >= needed);
            let exact = u8::from(sound == 1 && chain.clusters == needed);
            let had = chain.clusters.min(needed);
            (sound, exact, std::cmp::Reverse(self.claims.taken(chain)), had)
        };
        let best = ways.iter().map(rank).max();
        let equal: Vec<&Chain> = ways.iter().filter(|way| Some(rank(way)) == best).collect();
        let chosen = if let [only] = equal[..] { only } else { self.longest_text(&equal, entry).unwrap_or(first) };
        Placed {
            chain: chosen.clone(),
            wrong: wrong_with(first, needed),
            exact: chosen.is_sound() && chosen.clusters == needed,
            disputed: ways.len() > 1 || first.second_links > 0,
        }
    }

    fn longest_text<'b>(&self, ways: &[&'b Chain], entry: &Entry) -> Option<&'b Chain> {
        let reach =
            |way: &Chain| text_reach(self.window, &extents(self.window, self.boot, way, u64::from(entry.size)).0);
        ways.iter().copied().max_by_key(|way| (reach(way), std::cmp::Reverse(way.second_links)))
    }

    fn add_live(&mut self, index: usize, file: Pending, place: Placed) {
        let needed = self.needed(&file.entry);
        let Placed { chain, wrong, .. } = place;
        let mut stored = self.stored(&file, &chain);
        stored.by_second_table = chain.second_links > 0;
        if chain.clusters >= needed && !stored.whole {
            self.out.beyond_medium.push(index);
        }
        if file.entry.clock_not_set && file.state == FileState::Live {
            self.out.clock_not_set.push(index);
        }
        self.out.files.push(stored);
        // Where a link of the second table served, the first one's chain is what is wrong, whatever its length.
        let by_second = || (chain.second_links > 0).then_some(Chained::Short { had: chain.clusters, needed });
        if let Some(what) = wrong.or_else(|| by_second().filter(|_| chain.clusters != needed)) {
            self.out.problems.push(Problem { file: index, what });
        }
    }

    /// Two files cannot share a cluster. Where one of them ends exactly where its size says and the other does not, the
    /// cluster is taken for the first one's; otherwise either may have bytes of the other.
    fn add_crossed(&mut self, first_index: usize, index: usize, shared: &Shared, sound: &[bool]) {
        let Shared { cluster, with } = *shared;
        let place = first_index + index;
        self.out.problems.push(Problem { file: place, what: Chained::Crossed { with, cluster } });
        let is_sound = |index: usize| sound.get(index).copied().unwrap_or(false);
        let other = match with {
            Owner::File(other) => Some(other),
            Owner::Folder(_) => None,
        };
        let other_sound = other.is_none_or(|other| other.checked_sub(first_index).is_some_and(is_sound));
        let both = [Some(place), other.filter(|_| is_sound(index) || !other_sound)];
        for place in both.into_iter().flatten() {
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
            let index = self.out.files.len();
            self.claims.claim(&place.chain, Owner::File(index));
            self.add_live(index, file, place);
        }
    }

    fn tell_false_end(&mut self, path: &str, what: &str, name: &str) {
        let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
        let what = format!("the mark of its end stands before the {what} “{name}”");
        self.out.directory_faults.push(DirectoryFault { path: folder, what });
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
