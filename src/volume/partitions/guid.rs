//! The GUID partition table (GPT): a header and a list of entries, kept at both ends of the medium under checksums.
//!
//! Layout: Intel EFI 1.10, table 11-1; UEFI 5.3 (section number from memory).

use crc32fast::hash as crc32;

use super::classic::Classic;
use super::{Consequence, Layout, SECTORS, Slot, Stated, TableFault};
use crate::volume::little_endian::{u32_at, u64_at};
use crate::volume::survey::PartitionTable;
use crate::volume::window::Window;

/// The largest list of entries that is read, in bytes; the usual one has 16,384.
const MAX_LIST_BYTES: u64 = 1 << 20;

/// One of the two copies.
struct Copy {
    /// The sector of its header.
    at: u64,
    /// Where its header says the other one stands, in sectors.
    other: u64,
    list: Vec<u8>,
    entry_bytes: usize,
    /// What is wrong with it.
    faults: Vec<String>,
}

/// Reads the table that a classic one protects.
pub(super) fn read(window: &Window, classic: &Classic) -> Option<Layout> {
    let mut layout = SECTORS.into_iter().find_map(|sector| at_sector_size(window, sector))?;
    layout.hybrid = !classic.layout.slots.is_empty();
    Some(layout)
}

/// Reads the table where the classic one that should protect it is gone.
pub(super) fn read_unprotected(window: &Window) -> Option<Layout> {
    let mut layout = SECTORS.into_iter().find_map(|sector| at_sector_size(window, sector))?;
    layout.faults.push(TableFault::harmless("the classic table that should stand before the GUID table is gone"));
    Some(layout)
}

fn at_sector_size(window: &Window, sector_bytes: u32) -> Option<Layout> {
    let sector = u64::from(sector_bytes);
    let last = (window.available() / sector).checked_sub(1)?;
    let first = copy_at(window, 1, sector);
    let stated = first.as_ref().map(|copy| copy.other);
    let second =
        [Some(last), stated].into_iter().flatten().filter(|at| *at > 1).find_map(|at| copy_at(window, at, sector));
    let faults = told(first.as_ref(), second.as_ref(), stated.is_some_and(|at| at > last));
    let chosen = choose(first, second)?;
    Some(layout(&chosen, faults, sector_bytes))
}

/// The first copy if it is sound, else the second if that is; else whichever is there.
fn choose(first: Option<Copy>, second: Option<Copy>) -> Option<Copy> {
    let sound = |copy: &Option<Copy>| copy.as_ref().is_some_and(|copy| copy.faults.is_empty());
    if !sound(&first) && (sound(&second) || first.is_none()) { second } else { first }
}

/// What is wrong with the two copies together.
fn told(first: Option<&Copy>, second: Option<&Copy>, second_behind_end: bool) -> Vec<TableFault> {
    let sound = [first, second].into_iter().flatten().any(|copy| copy.faults.is_empty());
    let consequence = if sound { Consequence::Doubted } else { Consequence::Hidden };
    let fault = |what: String| TableFault { what, consequence };
    let mut faults = Vec::new();
    for (copy, name) in [(first, "first"), (second, "second")] {
        match copy {
            Some(copy) => faults.extend(
                copy.faults
                    .iter()
                    .map(|what| fault(format!("{name} copy of the GUID table, sector {}: {what}", copy.at))),
            ),
            None if name == "second" && second_behind_end => {
                faults
                    .push(fault("second copy of the GUID table: should stand behind the end of the medium".to_owned()));
            }
            None => faults.push(fault(format!("{name} copy of the GUID table: is not there"))),
        }
    }
    if let (Some(first), Some(second)) = (first, second)
        && faults.is_empty()
        && first.list != second.list
    {
        faults.push(TableFault::harmless(
            "the two copies of the GUID table list different partitions; the first one was used",
        ));
    }
    faults
}

/// The copy whose header stands at sector `at`, if one begins there at all.
fn copy_at(window: &Window, at: u64, sector: u64) -> Option<Copy> {
    let mut header = vec![0; usize::try_from(sector).ok()?];
    window.read(at.checked_mul(sector)?, &mut header);
    if !header.starts_with(b"EFI PART") {
        return None;
    }
    let mut faults = header_faults(&mut header, at);
    let (entry_bytes, count) = (u64::from(u32_at(&header, 84)), u64::from(u32_at(&header, 80)));
    let wanted = entry_bytes.saturating_mul(count);
    // An entry has 128 bytes times a power of two.
    if !(128..=4096).contains(&entry_bytes) || wanted > MAX_LIST_BYTES {
        faults.push(format!("its list has {count} entries of {entry_bytes} bytes, which cannot be"));
    }
    let entry_bytes = entry_bytes.clamp(128, 4096);
    let length = wanted.min(MAX_LIST_BYTES) / entry_bytes * entry_bytes;
    let mut list = vec![0; usize::try_from(length).ok()?];
    window.read(u64_at(&header, 72).saturating_mul(sector), &mut list);
    if crc32(&list) != u32_at(&header, 88) {
        faults.push("the checksum of its list of partitions is wrong".to_owned());
    }
    Some(Copy { at, other: u64_at(&header, 32), list, entry_bytes: usize::try_from(entry_bytes).ok()?, faults })
}

/// The checksum covers the header's stated length with its own field as zero.
fn header_faults(header: &mut [u8], at: u64) -> Vec<String> {
    let mut faults = Vec::new();
    if u32_at(header, 8) != 0x0001_0000 {
        faults.push("its version is not 1.0".to_owned());
    }
    let stated = u32_at(header, 16);
    let length = usize::try_from(u32_at(header, 12)).unwrap_or(usize::MAX);
    header.get_mut(16..20).unwrap_or_default().fill(0);
    match header.get(..length).filter(|covered| covered.len() >= 92) {
        Some(covered) if crc32(covered) == stated => {}
        _ => faults.push("the checksum of its header is wrong".to_owned()),
    }
    if u64_at(header, 24) != at {
        faults.push(format!("it says that it stands at sector {}", u64_at(header, 24)));
    }
    faults
}

fn layout(copy: &Copy, mut faults: Vec<TableFault>, sector_bytes: u32) -> Layout {
    let mut slots = Vec::new();
    for (number, entry) in copy.list.chunks_exact(copy.entry_bytes).enumerate() {
        if entry.starts_with(&[0; 16]) {
            continue;
        }
        match slot(entry, u64::from(sector_bytes)) {
            Some(slot) => slots.push(slot),
            None => faults.push(TableFault::hiding(format!("entry {} of the GUID table has no room", number + 1))),
        }
    }
    let (reserved, slots): (Vec<Slot>, Vec<Slot>) = slots.into_iter().partition(|slot| slot.stated.is_reserved());
    Layout {
        table: Some(PartitionTable::Gpt),
        slots,
        sector_bytes: Some(sector_bytes),
        faults,
        hybrid: false,
        reserved: reserved.into_iter().map(|slot| slot.offset).collect(),
    }
}

/// An entry names its first and its last sector.
fn slot(entry: &[u8], sector: u64) -> Option<Slot> {
    let (first, last) = (u64_at(entry, 32), u64_at(entry, 40));
    let size = last.checked_sub(first)?.checked_add(1)?.checked_mul(sector)?;
    let kind = entry.get(..16)?.try_into().ok()?;
    let offset = first.checked_mul(sector).filter(|offset| *offset > 0)?;
    Some(Slot { offset, size: Some(size), stated: Stated::Guid(kind), logical: false })
}
