//! The entries of one directory: FAT05 "Directory Structure".

use chrono::NaiveDateTime;

use super::names::{DELETED, LongSlot, ShortName, deleted_long_name, long_name, with_first};
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
    pub directory: bool,
    pub deleted: bool,
    pub read_only: bool,
    pub cluster: u32,
    pub size: u32,
    pub modified: Option<NaiveDateTime>,
    /// Whether the date is that of a clock that was never set: none at all, or the first day FAT can state.
    pub clock_not_set: bool,
}

/// What a directory holds.
#[derive(Debug, Default)]
pub(super) struct Listing {
    pub entries: Vec<Entry>,
    pub label: Option<String>,
    /// Entries whose bytes cannot be those of a file or folder.
    pub nonsense: usize,
    /// Slots in which a new entry could be written.
    pub free_slots: usize,
    /// Whether the first two entries are those that every folder but the root begins with.
    pub dots: bool,
}

/// What of the volume bears on the reading of an entry.
pub(super) struct Volume<'a> {
    /// Whether cluster numbers have 32 bits; on FAT12 and FAT16 they have 16.
    pub wide: bool,
    /// Whether the volume has a cluster of this number.
    pub has: &'a dyn Fn(u32) -> bool,
}

/// Reads the entries from a directory's bytes.
pub(super) fn list(bytes: &[u8], volume: &Volume) -> Listing {
    let mut listing = Listing::default();
    let mut slots = Vec::new();
    let mut ended = false;
    for (index, entry) in bytes.chunks_exact(ENTRY_BYTES).enumerate() {
        // The first 00 ends the list: all that follow are free.
        ended |= u8_at(entry, 0) == 0;
        if ended {
            listing.free_slots += 1;
        } else if u8_at(entry, 11) & 0x3F == LONG_NAME {
            listing.free_slots += usize::from(u8_at(entry, 0) == DELETED);
            slots.push(LongSlot::read(entry));
        } else {
            listing.add(index, entry, &slots, volume);
            slots.clear();
        }
    }
    listing
}

impl Listing {
    fn add(&mut self, index: usize, entry: &[u8], slots: &[LongSlot], volume: &Volume) {
        let short = short_name(entry);
        let deleted = u8_at(entry, 0) == DELETED;
        self.free_slots += usize::from(deleted);
        if short.0.starts_with(b".          ") || short.0.starts_with(b"..         ") {
            self.dots |= index < 2;
            return;
        }
        let checked = if deleted { with_first(&short, b'_') } else { short };
        let kind = u8_at(entry, 11);
        if !checked.is_legal() || kind & 0xC0 != 0 || kind & (LABEL | DIRECTORY) == LABEL | DIRECTORY {
            self.nonsense += usize::from(!deleted);
        } else if kind & LABEL != 0 {
            self.take_label(&short, deleted);
        } else {
            let entry = read_entry(entry, short, deleted, slots, volume.wide);
            // The size of a folder is 0 (FAT05); some writers do not know it, but no text that fills a directory's
            // place passes for one that also begins in a cluster the volume has.
            if entry.directory && entry.size != 0 && !(volume.has)(entry.cluster) {
                self.nonsense += usize::from(!deleted);
            } else {
                self.entries.push(entry);
            }
        }
    }

    fn take_label(&mut self, short: &ShortName, deleted: bool) {
        if self.label.is_none() && !deleted {
            // A label is eleven bytes without a dot.
            let text: String = short.0.iter().map(|byte| char::from(*byte)).collect();
            let text: String = text.chars().map(|letter| if letter.is_ascii() { letter } else { '_' }).collect();
            self.label = Some(text.trim_end().to_owned());
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

fn read_entry(entry: &[u8], short: ShortName, deleted: bool, slots: &[LongSlot], wide: bool) -> Entry {
    let case_bits = u8_at(entry, 12);
    let name = if deleted {
        deleted_long_name(slots, &short).map_or_else(|| with_first(&short, b'_').text(case_bits), |(name, _)| name)
    } else {
        // 05 stands for E5, which would mean a deleted entry.
        let shown = if u8_at(entry, 0) == 0x05 { with_first(&short, DELETED) } else { short };
        long_name(slots, &short).unwrap_or_else(|| shown.text(case_bits))
    };
    let high = if wide { u32::from(u16_at(entry, 20)) } else { 0 };
    let date = u16_at(entry, 24);
    Entry {
        name,
        directory: u8_at(entry, 11) & DIRECTORY != 0,
        deleted,
        read_only: u8_at(entry, 11) & READ_ONLY != 0,
        cluster: high << 16 | u32::from(u16_at(entry, 26)),
        size: u32_at(entry, 28),
        modified: dos_date_time(date, u16_at(entry, 22)),
        clock_not_set: matches!(date, 0 | 0x0021),
    }
}
