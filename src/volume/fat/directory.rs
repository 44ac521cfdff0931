//! The entries of one directory: FAT05 "Directory Structure".

use std::collections::HashSet;

use chrono::NaiveDateTime;

use super::code_page::CodePage;
use super::names::{DELETED, LongSlot, ShortName, deleted_long_name, live_slots, long_name, with_first};
use super::time::dos_date_time;
use crate::volume::little_endian::{u8_at, u16_at, u32_at};

/// The bytes of an entry.
pub(super) const ENTRY_BYTES: usize = 32;

/// The most bytes of a directory: 65,536 entries (FAT05 "File Allocation").
pub(super) const MAX_DIRECTORY_BYTES: u64 = 65_536 * 32;

const READ_ONLY: u8 = 0x01;
const LABEL: u8 = 0x08;
const DIRECTORY: u8 = 0x10;
const LONG_NAME: u8 = 0x0F;

/// A file or folder, live or deleted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub name: String,
    /// The name in eleven bytes, which every entry has.
    pub short: ShortName,
    /// Whether the name is a long one, which stands beside the short one.
    pub long: bool,
    pub directory: bool,
    pub deleted: bool,
    pub read_only: bool,
    pub cluster: u32,
    pub size: u32,
    pub modified: Option<NaiveDateTime>,
    /// Whether the date is that of a clock that was never set: none at all, or the first day FAT can state.
    pub clock_not_set: bool,
    /// How many places of the directory it takes: one, and one for every 13 letters of a long name.
    pub slots: usize,
}

/// What a directory holds.
#[derive(Debug, Default)]
pub(super) struct Listing {
    pub entries: Vec<Entry>,
    /// Entries behind the mark that ends the list; they are its files only if the table has their clusters in use.
    pub behind_end: Vec<Entry>,
    pub label: Option<String>,
    /// Entries whose bytes cannot be those of a file or folder.
    pub nonsense: usize,
    /// Places of long names whose entry is not there, or not the one they were written for.
    pub stray_slots: usize,
    /// Names that no writer gives: one that is there twice, or a long one with letters that are not allowed.
    pub impossible_names: usize,
    /// Slots in which a new entry could be written.
    pub free_slots: usize,
    /// The most of them in a row: the places of one name stand together.
    pub free_run: usize,
    /// The cluster that `.` names, of the folder itself.
    pub dot: Option<u32>,
    /// The cluster that `..` names, of the folder above; 0 for the root.
    pub dot_dot: Option<u32>,
}

/// What of the volume bears on the reading of an entry.
pub(super) struct Volume<'a> {
    /// Whether cluster numbers have 32 bits; on FAT12 and FAT16 they have 16.
    pub wide: bool,
    /// Whether the volume has a cluster of this number.
    pub has: &'a dyn Fn(u32) -> bool,
    /// Whether this is the root, which alone holds the label.
    pub root: bool,
}

/// Reads the entries from a directory's bytes, in the code page that its names show.
pub(super) fn list(bytes: &[u8], volume: &Volume) -> Listing {
    let listing = list_in(CodePage::default(), bytes, volume);
    let names = listing.entries.iter().map(|entry| (&entry.short, entry.long.then_some(entry.name.as_str())));
    let code_page = CodePage::of_names(names);
    if code_page == CodePage::default() { listing } else { list_in(code_page, bytes, volume) }
}

fn list_in(code_page: CodePage, bytes: &[u8], volume: &Volume) -> Listing {
    let listing = Listing::default();
    let mut reading = Reading { listing, slots: Vec::new(), ended: false, free_run: 0, volume, code_page };
    for (index, entry) in bytes.chunks_exact(ENTRY_BYTES).enumerate() {
        reading.take(index, entry);
    }
    reading.settle_slots(0);
    reading.listing.count_impossible_names();
    reading.listing
}

impl Listing {
    fn count_impossible_names(&mut self) {
        let live = || self.entries.iter().filter(|entry| !entry.deleted);
        let mut names = HashSet::new();
        let twice = live().filter(|entry| !names.insert(entry.name.to_lowercase())).count();
        // FAT05 "Long File Name": what a long name may not hold either.
        let forbidden = |entry: &&Entry| entry.long && entry.name.contains(['"', '*', ':', '<', '>', '?', '|']);
        self.impossible_names = twice + live().filter(forbidden).count();
    }
}

struct Reading<'a> {
    listing: Listing,
    /// The places of a long name since the last entry.
    slots: Vec<LongSlot>,
    /// The first 00 ends the list: all that follow are free (FAT05).
    ended: bool,
    free_run: usize,
    volume: &'a Volume<'a>,
    /// What short names are written in.
    code_page: CodePage,
}

impl Reading<'_> {
    fn take(&mut self, index: usize, entry: &[u8]) {
        let first = u8_at(entry, 0);
        if first == 0 {
            self.settle_slots(0);
            self.ended = true;
        }
        self.count_free(self.ended || first == DELETED);
        if first == 0 {
            return;
        }
        if u8_at(entry, 11) & 0x3F == LONG_NAME {
            self.slots.push(LongSlot::read(entry));
        } else {
            self.add(index, entry);
        }
    }

    fn count_free(&mut self, free: bool) {
        self.free_run = if free { self.free_run + 1 } else { 0 };
        self.listing.free_slots += usize::from(free);
        self.listing.free_run = self.listing.free_run.max(self.free_run);
    }

    /// Forgets the places of a long name; those that the last entry did not take are astray.
    fn settle_slots(&mut self, taken: usize) {
        let live = live_slots(&self.slots);
        if !self.ended {
            self.listing.stray_slots += live.saturating_sub(taken);
        }
        self.slots.clear();
    }

    fn add(&mut self, index: usize, entry: &[u8]) {
        let short = short_name(entry);
        let deleted = u8_at(entry, 0) == DELETED;
        let taken = if short.0.starts_with(b".          ") || short.0.starts_with(b"..         ") {
            self.take_dots(index, entry, short);
            // Some writers put long names before these two as well.
            live_slots(&self.slots)
        } else {
            self.add_named(entry, short, deleted)
        };
        self.settle_slots(taken);
    }

    /// The two stand first, but for long names before them.
    fn take_dots(&mut self, index: usize, entry: &[u8], short: ShortName) {
        let cluster = start_cluster(entry, self.volume.wide);
        let place = if short.0.starts_with(b"..") { &mut self.listing.dot_dot } else { &mut self.listing.dot };
        if index < 4 && place.is_none() {
            *place = Some(cluster);
        }
    }

    /// Gives how many places of a long name belong to the entry.
    fn add_named(&mut self, entry: &[u8], short: ShortName, deleted: bool) -> usize {
        let checked = if deleted { with_first(&short, b'_') } else { short };
        let kind = u8_at(entry, 11);
        let label = kind & LABEL != 0;
        let labels_something = label && (start_cluster(entry, self.volume.wide) != 0 || u32_at(entry, 28) != 0);
        let impossible = kind & 0xC0 != 0 || kind & (LABEL | DIRECTORY) == LABEL | DIRECTORY || labels_something;
        if !checked.is_legal() || impossible || (label && !self.volume.root) {
            self.listing.nonsense += usize::from(!deleted && !self.ended);
            return 0;
        }
        if label {
            self.take_label(&short, deleted);
            return 0;
        }
        let entry = self.read_entry(entry, short, deleted);
        // The size of a folder is 0 (FAT05); some writers do not know it, but no text that fills a directory's
        // place passes for one that also begins in a cluster the volume has.
        let folder_of_nothing = entry.directory && entry.size != 0 && !(self.volume.has)(entry.cluster);
        let taken = entry.slots - 1;
        match (folder_of_nothing, self.ended) {
            (true, _) => self.listing.nonsense += usize::from(!deleted && !self.ended),
            (false, true) if deleted => {}
            (false, true) => self.listing.behind_end.push(entry),
            (false, false) => self.listing.entries.push(entry),
        }
        if deleted { 0 } else { taken }
    }

    fn take_label(&mut self, short: &ShortName, deleted: bool) {
        if self.listing.label.is_none() && !deleted && !self.ended {
            // A label is eleven bytes without a dot.
            let text: String = short.0.iter().map(|byte| self.code_page.letter(*byte)).collect();
            self.listing.label = Some(text.trim_end().to_owned());
        }
    }

    fn read_entry(&self, entry: &[u8], short: ShortName, deleted: bool) -> Entry {
        let case_bits = u8_at(entry, 12);
        let long = if deleted {
            deleted_long_name(&self.slots, &short).map(|(name, _)| (name, 0))
        } else {
            long_name(&self.slots, &short)
        };
        let shown = match u8_at(entry, 0) {
            DELETED => with_first(&short, b'_'),
            // 05 stands for E5, which would mean a deleted entry.
            0x05 => with_first(&short, DELETED),
            _ => short,
        };
        let date = u16_at(entry, 24);
        Entry {
            short: shown,
            long: long.is_some(),
            slots: 1 + long.as_ref().map_or(0, |(_, slots)| *slots),
            name: long.map_or_else(|| shown.text_in(self.code_page, case_bits), |(name, _)| name),
            directory: u8_at(entry, 11) & DIRECTORY != 0,
            deleted,
            read_only: u8_at(entry, 11) & READ_ONLY != 0,
            cluster: start_cluster(entry, self.volume.wide),
            size: u32_at(entry, 28),
            modified: dos_date_time(date, u16_at(entry, 22)),
            clock_not_set: matches!(date, 0 | 0x0021),
        }
    }
}

fn short_name(entry: &[u8]) -> ShortName {
    let mut name = [0; 11];
    for (target, byte) in name.iter_mut().zip(entry) {
        *target = *byte;
    }
    ShortName(name)
}

fn start_cluster(entry: &[u8], wide: bool) -> u32 {
    let high = if wide { u32::from(u16_at(entry, 20)) } else { 0 };
    high << 16 | u32::from(u16_at(entry, 26))
}
