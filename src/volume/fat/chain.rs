//! The clusters of a file, in order.

use super::boot::BootSector;
use super::table::{Link, Tables};
use crate::volume::stored::Extent;
use crate::volume::window::Window;

/// Why a chain ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::volume) enum Stop {
    /// At a mark of the end.
    End,
    /// The entry of this cluster, which should name the next one, says that it is free.
    Free(u32),
    /// It says that it is bad.
    Bad(u32),
    /// It names a cluster the volume does not have.
    Outside {
        /// The last cluster; `None` where the directory itself names the wrong one.
        after: Option<u32>,
        /// What is named.
        named: u32,
    },
    /// It leads back to this cluster of the same file.
    Loop(u32),
    /// Following went on for longer than any sound volume needs.
    TooLong,
}

/// Clusters that follow each other on the medium.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Run {
    pub first: u32,
    pub count: u32,
}

/// A chain as far as it goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Chain {
    pub runs: Vec<Run>,
    pub clusters: u64,
    pub stop: Stop,
    /// How many links the second table gave, where the two differ.
    pub second_links: u32,
}

impl Chain {
    /// Whether it ends where a chain should.
    pub(super) fn is_sound(&self) -> bool {
        self.stop == Stop::End
    }

    /// Adds a cluster.
    pub(super) fn push(&mut self, cluster: u32) {
        self.clusters += 1;
        match self.runs.last_mut() {
            Some(run) if run.first.checked_add(run.count) == Some(cluster) => run.count += 1,
            _ => self.runs.push(Run { first: cluster, count: 1 }),
        }
    }

    /// No cluster yet.
    pub(super) const fn new() -> Self {
        Self { runs: Vec::new(), clusters: 0, stop: Stop::End, second_links: 0 }
    }

    /// Clusters that follow each other; none where `count` is 0.
    pub(super) fn of_run(first: u32, count: u32) -> Self {
        let runs = if count == 0 { Vec::new() } else { vec![Run { first, count }] };
        Self { runs, clusters: u64::from(count), stop: Stop::End, second_links: 0 }
    }

    /// The last cluster so far.
    pub(super) fn last(&self) -> Option<u32> {
        self.runs.last().map(|run| run.first.saturating_add(run.count.saturating_sub(1)))
    }

    /// Every cluster, in order.
    pub(super) fn each(&self) -> impl Iterator<Item = u32> {
        self.runs.iter().flat_map(|run| run.first..run.first.saturating_add(run.count))
    }
}

/// The ways a chain can go on where the two tables differ, at most; damage that gives more is not worth following.
const MAX_WAYS: usize = 64;

/// Follows chains and sees when one comes back to itself.
pub(super) struct Follower {
    /// The number of the chain that last went through a cluster.
    seen: Vec<u32>,
    chain: u32,
    /// Steps left for all chains together, so that thousands of files cannot each share one long chain.
    steps: u64,
}

/// A chain on its way, and the cluster it goes on in.
struct Way {
    chain: Chain,
    next: u32,
}

impl Follower {
    /// For a table of `entries` entries.
    pub(super) fn new(entries: usize) -> Self {
        Self { seen: vec![0; entries], chain: 0, steps: entries as u64 * 6 + (1 << 20) }
    }

    /// Every chain that begins in `start`: that of the first table, then those that take some links from the second.
    /// Each link comes from one of the two, so that a chain is found also where both tables are damaged, at different
    /// places.
    pub(super) fn ways(&mut self, tables: &Tables, start: u32) -> Vec<Chain> {
        let mut chains = Vec::new();
        let mut waiting = vec![Way { chain: Chain::new(), next: start }];
        while let Some(way) = waiting.pop() {
            let room = MAX_WAYS.saturating_sub(chains.len() + waiting.len() + 1);
            chains.push(self.follow(tables, way, room, &mut waiting));
        }
        chains
    }

    fn follow(&mut self, tables: &Tables, way: Way, mut room: usize, waiting: &mut Vec<Way>) -> Chain {
        let Way { mut chain, next: mut cluster } = way;
        self.chain = self.chain.saturating_add(1);
        if !tables.first.has(cluster) {
            chain.stop = Stop::Outside { after: chain.last(), named: cluster };
            return chain;
        }
        self.enter_again(&chain);
        chain.stop = loop {
            if let Some(stop) = self.enter(cluster) {
                break stop;
            }
            chain.push(cluster);
            let link = self.next_link(tables, &mut chain, cluster, &mut room, waiting);
            cluster = match link {
                Link::Next(next) => next,
                Link::End => break Stop::End,
                Link::Free => break Stop::Free(cluster),
                Link::Bad => break Stop::Bad(cluster),
                Link::Outside(named) => break Stop::Outside { after: Some(cluster), named },
            };
        };
        chain
    }

    /// Where the tables differ and both lead on, the second one's way is kept for later; where one leads nowhere the
    /// other is taken.
    fn next_link(
        &self,
        tables: &Tables,
        chain: &mut Chain,
        cluster: u32,
        room: &mut usize,
        waiting: &mut Vec<Way>,
    ) -> Link {
        let first = tables.first.link(cluster);
        let Some(second) = tables.other_link(cluster) else { return first };
        let leads_on = |link: Link| matches!(link, Link::Next(_) | Link::End);
        if leads_on(second) && !leads_on(first) {
            chain.second_links += 1;
            return second;
        }
        if leads_on(second) && *room > 0 {
            *room -= 1;
            let mut other = chain.clone();
            other.second_links += 1;
            match second {
                Link::Next(next) => waiting.push(Way { chain: other, next }),
                // The chain ends here by the second table; the first goes on and is kept for later instead.
                _ => {
                    if let Link::Next(next) = first {
                        waiting.push(Way { chain: chain.clone(), next });
                        *chain = other;
                        return second;
                    }
                }
            }
        }
        first
    }

    /// Marks what a way has passed already.
    fn enter_again(&mut self, chain: &Chain) {
        for cluster in chain.each() {
            self.steps = self.steps.saturating_sub(1);
            if let Some(mark) = self.seen.get_mut(cluster as usize) {
                *mark = self.chain;
            }
        }
    }

    fn enter(&mut self, cluster: u32) -> Option<Stop> {
        let Some(left) = self.steps.checked_sub(1) else { return Some(Stop::TooLong) };
        self.steps = left;
        let mark = self.seen.get_mut(cluster as usize)?;
        if *mark == self.chain {
            return Some(Stop::Loop(cluster));
        }
        *mark = self.chain;
        None
    }
}

/// The bytes of a chain as runs on the medium, cut at its end: those up to `size`, and those beyond.
pub(super) fn extents(window: &Window, boot: &BootSector, chain: &Chain, size: u64) -> (Vec<Extent>, Vec<Extent>) {
    let (mut inside, mut beyond) = (Vec::new(), Vec::new());
    let mut file_offset = 0;
    for run in &chain.runs {
        let at = boot.cluster_offset(run.first);
        let stated = u64::from(run.count) * boot.cluster_bytes();
        let length = window.available().saturating_sub(at).min(stated);
        let within = size.saturating_sub(file_offset).min(length);
        add(&mut inside, file_offset, window.on_medium(at), within);
        add(&mut beyond, file_offset + within, window.on_medium(at + within), length - within);
        // What lies behind a hole cannot be told apart from what should fill it.
        if length < stated {
            break;
        }
        file_offset += stated;
    }
    (inside, beyond)
}

fn add(extents: &mut Vec<Extent>, file_offset: u64, medium_offset: u64, length: u64) {
    if length > 0 {
        extents.push(Extent { file_offset, medium_offset, length });
    }
}
