//! Names: eleven bytes in capitals, and long names in slots before them.
//!
//! FAT05 "Directory Structure" and "Long File Name".

use super::code_page::CodePage;
use crate::volume::little_endian::{u8_at, u16_at};

/// The most slots a long name takes: 255 characters of 13 each.
const MAX_SLOTS: usize = 20;

/// The first byte of a deleted entry or slot.
pub(super) const DELETED: u8 = 0xE5;

/// The name bytes of a directory entry: eight and three, filled up with blanks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShortName(pub [u8; 11]);

impl ShortName {
    /// The name as people read it; `case_bits` is the entry's byte 12, whose bits 3 and 4 say that the part before and
    /// after the dot is in lower case. Bytes outside ASCII are read by the code page that most writers use.
    #[must_use]
    pub fn text(&self, case_bits: u8) -> String {
        self.text_in(CodePage::default(), case_bits)
    }

    /// The same by a code page.
    pub(super) fn text_in(&self, code_page: CodePage, case_bits: u8) -> String {
        let (base, extension) = self.0.split_at(8);
        let base = part(base, code_page, case_bits & 0x08 != 0);
        let extension = part(extension, code_page, case_bits & 0x10 != 0);
        if extension.is_empty() { base } else { format!("{base}.{extension}") }
    }

    /// Whether these could be the bytes of a name: no control characters, none of those FAT05 forbids, no leading blank.
    #[must_use]
    pub fn is_legal(&self) -> bool {
        let first = u8_at(&self.0, 0);
        let rest = self.0.get(1..).unwrap_or_default();
        (first == 0x05 || is_legal_byte(first)) && first != b' ' && rest.iter().all(|byte| is_legal_byte(*byte))
    }
    /// Whether a name holds what no writer puts there: small letters (FAT05: names are stored in capitals), or a blank
    /// between letters.
    pub(super) fn is_odd(&self) -> bool {
        let (base, extension) = self.0.split_at(8);
        let gap = |part: &[u8]| part.trim_ascii_end().contains(&b' ');
        self.0.iter().any(u8::is_ascii_lowercase) || gap(base) || gap(extension)
    }
}

fn part(bytes: &[u8], code_page: CodePage, lower: bool) -> String {
    let text: String = bytes.iter().map(|byte| code_page.letter(*byte)).collect();
    let text = text.trim_end_matches(' ');
    if lower { text.to_lowercase() } else { text.to_owned() }
}

fn is_legal_byte(byte: u8) -> bool {
    byte >= 0x20 && byte != 0x7F && !br#""*+,./:;<=>?[\]|"#.contains(&byte)
}

/// The checksum that ties the slots of a long name to their short name.
#[must_use]
pub fn long_name_checksum(name: &[u8; 11]) -> u8 {
    name.iter().fold(0_u8, |sum, byte| sum.rotate_right(1).wrapping_add(*byte))
}

/// One slot of a long name.
#[derive(Debug, Clone, Copy)]
pub(super) struct LongSlot {
    order: u8,
    checksum: u8,
    units: [u16; 13],
}

impl LongSlot {
    /// Reads the slot from its 32 bytes.
    pub(super) fn read(entry: &[u8]) -> Self {
        let places = [1, 3, 5, 7, 9, 14, 16, 18, 20, 22, 24, 28, 30];
        Self { order: u8_at(entry, 0), checksum: u8_at(entry, 13), units: places.map(|at| u16_at(entry, at)) }
    }
}

/// The long name of a live entry, if the slots before it are all there and its own; and how many they are.
pub(super) fn long_name(slots: &[LongSlot], short: &ShortName) -> Option<(String, usize)> {
    // Only what stands behind the last deleted slot, from the last mark of a beginning on, can be this entry's.
    let after_deleted = slots.rsplit(|slot| slot.order == DELETED).next()?;
    let slots = after_deleted.get(after_deleted.iter().rposition(|slot| slot.order & 0x40 != 0)?..)?;
    let checksum = long_name_checksum(&short.0);
    let count = slots.len();
    let fits = slots.iter().enumerate().all(|(index, slot)| {
        let last = if index == 0 { 0x40 } else { 0 };
        usize::from(slot.order) == (count - index) | last && slot.checksum == checksum
    });
    if fits { Some((joined(slots)?, count)) } else { None }
}

/// How many of these slots were not deleted.
pub(super) fn live_slots(slots: &[LongSlot]) -> usize {
    slots.iter().filter(|slot| slot.order != DELETED).count()
}

/// The long name of a deleted entry, and the first byte of its short name, which deleting overwrote.
///
/// The order of the slots is overwritten too, so only their places and their checksum tell. Exactly one first byte
/// gives that checksum; the slots are taken as the entry's own when it is one that a name could begin with.
pub(super) fn deleted_long_name(slots: &[LongSlot], short: &ShortName) -> Option<(String, ShortName)> {
    let checksum = slots.last()?.checksum;
    let is_own = |slot: &&LongSlot| slot.checksum == checksum && slot.order == DELETED;
    let own = slots.iter().rev().take_while(is_own).count();
    let own = slots.get(slots.len() - own..)?;
    let name =
        (0..=u8::MAX).map(|first| with_first(short, first)).find(|name| long_name_checksum(&name.0) == checksum)?;
    let first = u8_at(&name.0, 0);
    if !name.is_legal() || first.is_ascii_lowercase() {
        return None;
    }
    Some((joined(own)?, name))
}

/// The short name with its first byte replaced.
pub(super) fn with_first(short: &ShortName, first: u8) -> ShortName {
    let mut name = *short;
    if let Some(byte) = name.0.first_mut() {
        *byte = first;
    }
    name
}

/// Joins the slots, which stand last part first; separators and control characters show as `_`.
fn joined(slots: &[LongSlot]) -> Option<String> {
    if slots.is_empty() || slots.len() > MAX_SLOTS {
        return None;
    }
    let units = slots.iter().rev().flat_map(|slot| slot.units).take_while(|unit| *unit != 0);
    let name: String = char::decode_utf16(units)
        .map(|unit| unit.unwrap_or(char::REPLACEMENT_CHARACTER))
        .map(|letter| if letter.is_control() || matches!(letter, '/' | '\\') { '_' } else { letter })
        .collect();
    (!name.is_empty() && name != "." && name != "..").then_some(name)
}
