//! NTFS, by its boot sector, the first record of its file table, and the copy of the boot sector at its end (layout from
//! memory; common to every description of it).

use super::{Seen, Signs};
use crate::volume::file_system::FileSystem;
use crate::volume::little_endian::{u8_at, u16_at, u32_at, u64_at, wide_text_at};
use crate::volume::window::Window;

pub(super) fn probe(window: &Window) -> Option<Seen> {
    let sector = window.bytes::<512>(0);
    let boot = Boot::parse(&sector)?;
    let copy = boot.copy_at().map(|at| window.bytes::<512>(at));
    let signs = Signs::first("its boot sector")
        .and(boot.file_table_at().is_some_and(|at| window.bytes(at) == *b"FILE"), "the first record of its file table")
        .and(copy.is_some_and(|copy| copy == sector), "the copy of its boot sector at its end");
    Some(boot.seen(signs).named(&boot.label(window)))
}

/// By the copy of the boot sector alone. It stands in the last sector, which of a partition is not known here; of a whole
/// medium it is the last one.
pub(super) fn without_boot_sector(window: &Window) -> Option<Seen> {
    let boot = Boot::parse(&window.bytes(window.available().checked_sub(512)?))?;
    let table = boot.file_table_at().is_some_and(|at| window.bytes(at) == *b"FILE");
    table
        .then(|| boot.seen(Signs::first("the copy of its boot sector").and(true, "the first record of its file table")))
}

/// The kind of the attribute that holds the label, how many attributes a record is looked through for it, and the most
/// letters of it.
const NAME_OF_VOLUME: u32 = 0x60;
const MAX_ATTRIBUTES: usize = 16;
const MAX_LETTERS: usize = 128;

/// Records of the file table have 1,024 bytes on every volume met so far.
const RECORD_BYTES: u64 = 1024;

struct Boot {
    sector_bytes: u32,
    cluster_bytes: Option<u64>,
    sectors: u64,
    /// In clusters.
    file_table: u64,
}

impl Boot {
    fn parse(sector: &[u8; 512]) -> Option<Self> {
        let reserved_and_tables_unused = u16_at(sector, 14) == 0 && u8_at(sector, 16) == 0;
        let sector_bytes = u32::from(u16_at(sector, 11));
        let named = sector.get(3..11) == Some(b"NTFS    ") && sector.ends_with(&[0x55, 0xAA]);
        if !named || !reserved_and_tables_unused || !matches!(sector_bytes, 512 | 1024 | 2048 | 4096) {
            return None;
        }
        let per_cluster = u64::from(u8_at(sector, 13));
        Some(Self {
            sector_bytes,
            cluster_bytes: per_cluster.is_power_of_two().then_some(per_cluster * u64::from(sector_bytes)),
            sectors: u64_at(sector, 40),
            file_table: u64_at(sector, 48),
        })
    }

    fn file_table_at(&self) -> Option<u64> {
        self.file_table.checked_mul(self.cluster_bytes?)
    }

    /// The copy lies one sector behind the stated count.
    fn copy_at(&self) -> Option<u64> {
        self.sectors.checked_mul(u64::from(self.sector_bytes))
    }

    /// The label is the attribute 60 of the fourth record of the file table, which is that of the volume itself.
    fn label(&self, window: &Window) -> String {
        let Some(table) = self.file_table_at() else { return String::new() };
        let record = window.bytes::<1024>(table.saturating_add(3 * RECORD_BYTES));
        if !record.starts_with(b"FILE") {
            return String::new();
        }
        let mut at = usize::from(u16_at(&record, 20));
        // Each attribute begins with its kind and its length.
        for _ in 0..MAX_ATTRIBUTES {
            let (kind, length) = (u32_at(&record, at), u32_at(&record, at + 4));
            if kind == NAME_OF_VOLUME {
                let letters = u32_at(&record, at + 16) / 2;
                let place = at + usize::from(u16_at(&record, at + 20));
                return wide_text_at(&record, place, usize::try_from(letters).unwrap_or(0).min(MAX_LETTERS));
            }
            if kind == u32::MAX || length == 0 {
                break;
            }
            at = at.saturating_add(usize::try_from(length).unwrap_or(usize::MAX).min(record.len()));
        }
        String::new()
    }

    fn seen(&self, signs: Signs) -> Seen {
        Seen {
            size_bytes: self.copy_at().and_then(|end| end.checked_add(u64::from(self.sector_bytes))),
            sector_bytes: Some(self.sector_bytes),
            cluster_bytes: self.cluster_bytes,
            ..Seen::by(FileSystem::Ntfs, signs.all())
        }
    }
}
