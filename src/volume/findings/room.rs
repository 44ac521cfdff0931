//! What keeps a volume from taking more rows though it is sound: no room in a folder or file, a wrong record.

use super::Context;
use crate::finding::words::bytes;
use crate::finding::{COPY_FIRST, Finding, Severity, kinds};
use crate::volume::stored::{FileState, StoredFile};

kinds! {
    /// The root directory has no room for another file.
    ///
    /// What it means: on FAT12 and FAT16 the root directory has a fixed length. Once it is full no new file can be
    /// begun, though there may be plenty of space; the indicator says that it cannot write, and the weighings that
    /// follow are not stored. A long name takes several places.
    ///
    /// How we know: the free places were counted.
    ///
    /// What to do: copy the stick, then use a freshly formatted FAT32 one, whose root can grow.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Directory Structure".
    ROOT_DIRECTORY_FULL = "root-directory-full";

    /// A folder has no room for another file.
    ///
    /// What it means: a folder can list 65,536 names, and a long name takes several places. In a full one no new file can
    /// be begun, though there may be plenty of space on the stick; the weighings that follow are not stored.
    ///
    /// How we know: the free places were counted.
    ///
    /// What to do: copy the stick, then use a freshly formatted one.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "File Allocation".
    FOLDER_FULL = "folder-full";

    /// A file is nearly as large as this format allows.
    ///
    /// What it means: on FAT no file can hold 4 GiB (4,294,967,295 bytes is the most). Once there, the indicator cannot add
    /// rows; weighings after that are not stored. The rows in it are not affected.
    ///
    /// How we know: the size in the folder's entry of the file.
    ///
    /// What to do: copy the file to a computer, and use a fresh stick for the next sale.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "File Allocation".
    EXPORT_NEAR_SIZE_LIMIT = "export-near-size-limit";

    /// The free space the volume records is not the free space it has.
    ///
    /// What it means: the record is only a hint, yet an indicator may go by it and believe the stick full, or believe
    /// there is room where there is none. It goes wrong when a stick is pulled out early. The records that are on it
    /// are not affected.
    ///
    /// How we know: the free clusters were counted in the table.
    ///
    /// What to do: nothing for the records on it; format the stick before its next use, after copying it.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "FSInfo".
    FREE_COUNT_WRONG = "free-count-wrong";
}

/// Everything that stands in the way of further rows.
pub(super) fn of_volume(context: &Context) -> Vec<Finding> {
    [root_full(context), folder_full(context), near_size_limit(context), free_count(context)]
        .into_iter()
        .flatten()
        .collect()
}

fn root_full(context: &Context) -> Option<Finding> {
    let free = context.volume.root_entries_free?;
    let full = context.walked.full_folders.iter().find(|folder| folder.path.is_empty())?;
    Some(
        Finding::new(&ROOT_DIRECTORY_FULL, Severity::Fault, "The root folder has no room for another file")
            .detail("Its length is fixed on this format. No new file can be begun, though there may be space; weighings after that are not stored.")
            .evidence("format", context.volume.file_system)
            .evidence("free places in the root folder", free)
            .evidence("free places in a row", full.free)
            .evidence("places the longest name in it takes", full.needed)
            .at(context.place.clone())
            .next_step("Copy the stick, then use a freshly formatted FAT32 one.")
            .before_you_act(COPY_FIRST),
    )
}

/// A folder other than the root of fixed length, which has its own finding.
fn folder_full(context: &Context) -> Option<Finding> {
    let fixed_root = context.volume.root_entries_free.is_some();
    let full = context.walked.full_folders.iter().find(|folder| !(fixed_root && folder.path.is_empty()))?;
    let name =
        if full.path.is_empty() { "The root folder".to_owned() } else { format!("The folder “{}”", full.path) };
    Some(
        Finding::new(&FOLDER_FULL, Severity::Fault, format!("{name} has no room for another file"))
            .detail("It lists as many names as a folder can. No new file can be begun in it; weighings after that are not stored.")
            .evidence("free places in a row", full.free)
            .evidence("places the longest name in it takes", full.needed)
            .at(context.place.clone())
            .next_step("Copy the stick, then use a freshly formatted FAT32 one.")
            .before_you_act(COPY_FIRST),
    )
}

/// Within so many bytes of the largest size (64 KiB) there is room for no more than the rows of a day.
const NEAR_BYTES: u64 = 64 << 10;

fn near_size_limit(context: &Context) -> Option<Finding> {
    let largest = u64::from(u32::MAX);
    let near = |file: &&StoredFile| file.state == FileState::Live && file.size_bytes >= largest - NEAR_BYTES;
    let file = context.volume.files.iter().find(near)?;
    let name = file.path.as_deref().unwrap_or("a file without a name");
    Some(
        Finding::new(&EXPORT_NEAR_SIZE_LIMIT, Severity::Caution, format!("“{name}” is nearly as large as a file can be"))
            .detail("On this format no file can hold 4 GiB. Once there the indicator cannot add rows, and weighings after that are not stored.")
            .evidence("size of the file", bytes(file.size_bytes))
            .evidence("largest size", bytes(largest))
            .at(context.place.clone())
            .next_step("Copy the file to a computer. Use a fresh stick for the next sale."),
    )
}

fn free_count(context: &Context) -> Option<Finding> {
    let recorded = u64::from(context.walked.recorded_free?);
    let counted = context.walked.free_clusters.filter(|free| *free != recorded)?;
    Some(
        Finding::new(&FREE_COUNT_WRONG, Severity::Note, "The stick records another free space than it has")
            .detail("The record is only a hint, but an indicator may go by it and believe the stick full.")
            .evidence("free clusters recorded", recorded)
            .evidence("free clusters counted", counted)
            .at(context.place.clone())
            .next_step("Nothing for the records on it. Format the stick before its next use.")
            .before_you_act(COPY_FIRST),
    )
}
