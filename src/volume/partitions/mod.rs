//! Where the volumes of a medium begin: by its partition table, without one, or where the table is gone.

mod classic;
mod extended;
mod guid;
mod search;
mod types;

use std::collections::HashSet;

use super::identify;
use super::survey::PartitionTable;
use super::window::Window;
use crate::finding::words::count_of;
use crate::stick::ByteSource;

pub(super) use types::Stated;

/// A place where a volume should begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Slot {
    /// In bytes from the start of the medium.
    pub offset: u64,
    /// In bytes, as the partition table states it; `None` without a table.
    pub size: Option<u64>,
    /// What the table says it holds.
    pub stated: Stated,
    /// Whether it stands inside an extended partition.
    pub logical: bool,
}

impl Slot {
    /// A volume that no table speaks of.
    const fn bare(offset: u64) -> Self {
        Self { offset, size: None, stated: Stated::Nothing, logical: false }
    }

    /// The first byte behind it, where its size is known.
    fn end(&self) -> Option<u64> {
        self.offset.checked_add(self.size?)
    }
}

/// Something wrong with a partition table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct TableFault {
    /// What, in plain words.
    pub what: String,
    /// What may come of it.
    pub consequence: Consequence,
}

/// What may come of a fault in a partition table, the worst last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Consequence {
    /// What is written to one partition destroys what stands on another.
    Overwritten,
    /// Every partition was found in spite of it; another machine may not find them.
    Doubted,
    /// A machine that goes by the table finds no partition for it, or not all.
    Hidden,
}

impl TableFault {
    /// Partitions may not be found for it.
    fn hiding(what: impl Into<String>) -> Self {
        Self { what: what.into(), consequence: Consequence::Hidden }
    }

    /// Every partition was found in spite of it.
    fn harmless(what: impl Into<String>) -> Self {
        Self { what: what.into(), consequence: Consequence::Doubted }
    }

    /// Partitions share room.
    fn sharing(what: impl Into<String>) -> Self {
        Self { what: what.into(), consequence: Consequence::Overwritten }
    }
}

/// How a medium is divided.
#[derive(Debug, Default)]
pub(super) struct Layout {
    /// The table; `None` where there must have been one that is gone.
    pub table: Option<PartitionTable>,
    /// In the order of the table; those inside an extended partition last.
    pub slots: Vec<Slot>,
    /// The sector size the partition table speaks of, in bytes.
    pub sector_bytes: Option<u32>,
    /// What is wrong with the table.
    pub faults: Vec<TableFault>,
    /// Whether a classic table beside the GUID table lists partitions as well.
    pub hybrid: bool,
    /// Places of partitions that never hold files, in bytes.
    pub reserved: Vec<u64>,
}

/// The sector sizes in use, in bytes; partition tables count in these.
const SECTORS: [u32; 2] = [512, 4096];

/// How many partitions are read: as many as the usual list of a GUID table has entries (UEFI 5.3, from memory).
const MAX_VOLUMES: usize = 128;

/// Finds the volumes of `source`.
///
/// A GUID table holds only beside a classic one that says so (UEFI 5.2.3, from memory); one that a newer classic table
/// left behind is passed over.
pub(super) fn find(source: &dyn ByteSource) -> Layout {
    let window = Window::new(source, 0);
    if identify::by_first_sector(&window).is_some() {
        return without_table();
    }
    let classic = classic::read(source, &window);
    let mut layout = match classic {
        Some(classic) if !classic.protective => classic.layout,
        Some(classic) => guid::read(&window, &classic).unwrap_or_else(|| guid_lost(classic.layout)),
        None if identify::any(&window).is_nameless() => lost_table(source, &window),
        None => without_table(),
    };
    layout.faults.extend(repeats(&mut layout.slots));
    if layout.slots.len() > MAX_VOLUMES {
        layout.slots.truncate(MAX_VOLUMES);
        layout.faults.push(TableFault::hiding(format!("more than {MAX_VOLUMES} partitions; the first ones are read")));
    }
    layout.faults.extend(overlaps(&layout.slots));
    with_unlisted(source, layout)
}

/// A table that lists no partition does not show that there is none: programs that divide drives empty the table and leave
/// the volume behind.
fn with_unlisted(source: &dyn ByteSource, mut layout: Layout) -> Layout {
    if layout.slots.is_empty()
        && let Some(at) = search::usual_place(source)
    {
        let fault = format!("the table lists no partition, yet a volume begins at byte {at}, {}", search::WHY_THERE);
        layout.slots.push(Slot::bare(at));
        layout.faults.push(TableFault::hiding(fault));
    }
    layout
}

fn without_table() -> Layout {
    Layout { table: Some(PartitionTable::None), slots: vec![Slot::bare(0)], ..Layout::default() }
}

/// The classic table says that a GUID table holds, but neither copy of that is there.
fn guid_lost(classic: Layout) -> Layout {
    let fault = TableFault::hiding("the classic table says that a GUID table follows, but none was found");
    Layout { table: Some(PartitionTable::Gpt), faults: vec![fault], hybrid: false, ..classic }
}

/// Nothing that is known begins the medium: a GUID table may stand behind a first sector that is gone, or a volume at a
/// usual place.
fn lost_table(source: &dyn ByteSource, window: &Window) -> Layout {
    guid::read_unprotected(window).or_else(|| without_first_table(source)).unwrap_or_else(without_table)
}

fn without_first_table(source: &dyn ByteSource) -> Option<Layout> {
    let at = search::usual_place(source)?;
    let fault =
        format!("there is no table in the first sector, yet a volume begins at byte {at}, {}", search::WHY_THERE);
    Some(Layout { slots: vec![Slot::bare(at)], faults: vec![TableFault::hiding(fault)], ..Layout::default() })
}

/// Takes out entries that name the place of another: a volume is read once, however often a table names it.
fn repeats(slots: &mut Vec<Slot>) -> Option<TableFault> {
    let (all, mut seen) = (slots.len(), HashSet::new());
    slots.retain(|slot| seen.insert(slot.offset));
    let more = all - slots.len();
    (more > 0).then(|| {
        TableFault::sharing(format!(
            "{} a partition that another one names as well",
            count_of(more as u64, "entry names", "entries name")
        ))
    })
}

/// Partitions that share room. Writing to one of them destroys what stands on the other.
fn overlaps(slots: &[Slot]) -> Vec<TableFault> {
    let mut places: Vec<(u64, u64)> = slots.iter().filter_map(|slot| Some((slot.offset, slot.end()?))).collect();
    places.sort_unstable();
    let shared = places.windows(2).filter(|pair| matches!(pair, [(_, end), (next, _)] if next < end));
    let faults = shared.map(|pair| {
        let at = pair.last().map_or(0, |(offset, _)| *offset);
        TableFault::sharing(format!("two partitions share room, from byte {at} on"))
    });
    faults.take(MAX_OVERLAPS).collect()
}

/// How many places that partitions share are told one by one.
const MAX_OVERLAPS: usize = 8;
