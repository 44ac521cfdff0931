//! Partitions inside an extended one: a chain of small tables, each with one partition and a link to the next.

use std::collections::HashSet;

use super::classic::{Entry, entries, is_signed, slot};
use super::{Slot, TableFault};
use crate::stick::ByteSource;
use crate::volume::window::Window;

/// How many links of a chain are followed; sticks have a handful (common practice, no source).
const MAX_LINKS: usize = 128;

/// An extended partition.
pub(super) struct Container<'a> {
    pub source: &'a dyn ByteSource,
    /// Where it begins, in sectors; the links of its chain count from here.
    pub first: u64,
    /// In sectors.
    pub count: u64,
    pub sector_bytes: u32,
}

/// Whether a link of such a chain stands here: signed, and at most a partition and a link further are named.
pub(super) fn begins(window: &Window) -> bool {
    let sector = window.bytes::<512>(0);
    let entries = entries(&sector);
    let later_are_empty = entries.iter().skip(2).all(|entry| !entry.is_used());
    is_signed(&sector) && entries.iter().all(Entry::is_plausible) && later_are_empty
}

impl Container<'_> {
    /// The partitions along the chain, and where it breaks off. A partition counts from the table that names it.
    pub(super) fn partitions(&self) -> (Vec<Slot>, Option<TableFault>) {
        let mut slots = Vec::new();
        let mut seen = HashSet::new();
        let mut at = Some(self.first);
        while let Some(link) = at {
            if let Some(wrong) = self.refusal(link, &seen) {
                return (slots, Some(wrong));
            }
            seen.insert(link);
            let named: Vec<Entry> = self.table_at(link);
            let volumes = named.iter().filter(|entry| !entry.is_extended());
            slots.extend(
                volumes
                    .filter_map(|entry| slot(entry, link, self.sector_bytes))
                    .map(|slot| Slot { logical: true, ..slot }),
            );
            at = named.iter().find(|entry| entry.is_extended()).map(|entry| self.first.saturating_add(entry.first));
        }
        (slots, None)
    }

    /// Why a link is not followed.
    fn refusal(&self, link: u64, seen: &HashSet<u64>) -> Option<TableFault> {
        let place = format!("the chain of partitions inside the extended one, at sector {link}");
        if seen.contains(&link) {
            return Some(TableFault::hiding(format!("{place}: leads back to where it has been")));
        }
        if seen.len() >= MAX_LINKS {
            return Some(TableFault::hiding(format!("{place}: has more than {MAX_LINKS} links")));
        }
        if link < self.first || link - self.first >= self.count {
            return Some(TableFault::hiding(format!("{place}: leads out of the extended partition")));
        }
        (!begins(&self.window(link))).then(|| TableFault::hiding(format!("{place}: no table stands there")))
    }

    fn table_at(&self, link: u64) -> Vec<Entry> {
        entries(&self.window(link).bytes::<512>(0)).into_iter().filter(Entry::is_used).collect()
    }

    fn window(&self, link: u64) -> Window<'_> {
        Window::new(self.source, link.saturating_mul(u64::from(self.sector_bytes)))
    }
}
