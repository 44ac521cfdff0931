//! What surveying a medium can find. Each file declares its kinds beside the code that raises them.

pub mod chains;
mod formats;
pub mod partitions;
pub mod room;
pub mod structure;
pub mod suitability;

use super::fat::{FatBoot, FatVolume};
use super::survey::{Survey, Volume};
use crate::finding::{Finding, Kind, NotChecked, Place};
use crate::stick::ByteSource;

pub(super) use partitions::{larger_than_partition, several, table_damaged, type_contradicts, without_table};
pub(super) use structure::{boot_sector_lost, exceeds_device, with_cut_files};

/// Every kind of finding of this stage, file by file.
pub const KINDS: [&[Kind]; 5] = [structure::KINDS, room::KINDS, chains::KINDS, partitions::KINDS, suitability::KINDS];

/// How many damaged files, and how many damaged folders, of a volume get a finding each.
const MAX_EACH: usize = 200;

/// A FAT volume that was read.
pub(super) struct Context<'a> {
    pub source: &'a dyn ByteSource,
    pub place: Place,
    pub volume: &'a Volume,
    pub walked: &'a FatVolume,
    pub boot: &'a FatBoot,
}

impl Context<'_> {
    /// The path of a file by its place in the list.
    fn path(&self, file: usize) -> &str {
        self.volume.files.get(file).and_then(|file| file.path.as_deref()).unwrap_or("a file without a name")
    }
}

/// Everything the walk of a FAT volume shows to be wrong.
pub(super) fn of_volume(context: &Context, out: &mut Survey) {
    out.findings.extend(structure::of_volume(context));
    out.findings.extend(room::of_volume(context));
    add_capped(structure::directories(context), "damaged folders", context, out);
    let (findings, not_compared) = chains::of_files(context);
    out.not_checked.extend(not_compared);
    add_capped(findings, "damaged files", context, out);
    out.findings.extend(structure::lost(context));
}

fn add_capped(mut findings: Vec<Finding>, what: &str, context: &Context, out: &mut Survey) {
    let more = findings.len().saturating_sub(MAX_EACH);
    findings.truncate(MAX_EACH);
    out.findings.append(&mut findings);
    if more > 0 {
        out.not_checked.push(NotChecked::new(
            format!("{more} further {what} of volume {}", context.volume.index),
            format!("only the first {MAX_EACH} are described one by one"),
        ));
    }
}
