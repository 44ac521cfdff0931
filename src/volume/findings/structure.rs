//! Damage to a volume as a whole: its boot sector, its tables, its folders, its size, its marks.

use super::Context;
use crate::finding::words::bytes;
use crate::finding::{COPY_FIRST, Finding, Place, Severity, kinds};
use crate::stick::findings::UNREADABLE_SECTORS;
use crate::volume::fat::{BootSector, DirectoryFault};
use crate::volume::file_system::FileSystem;
use crate::volume::partitions::Slot;
use crate::volume::stored::FileState;
use crate::volume::window::Window;

kinds! {
    /// The first sector of the volume, which says how it is laid out, is damaged.
    ///
    /// What it means: a computer cannot open such a stick and offers to format it; an indicator refuses it. The files
    /// themselves are most likely all there. FAT32 keeps a copy of this sector; where the copy is sound, the files are
    /// read by it. Where the sector is sound and only the copy is not, that is a note: nothing but a repair program goes by
    /// the copy.
    ///
    /// How we know: fields of the sector hold values the specification does not allow.
    ///
    /// What to do: do not format. Copy the whole stick, run "counterfoil saleday" on the copy, and take a fresh stick.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Boot Sector and BPB".
    BOOT_SECTOR_DAMAGED = "boot-sector-damaged";

    /// The two copies of the file allocation table are not the same.
    ///
    /// What it means: the table says which piece of a file follows which, and a stick keeps it twice. Writing was cut
    /// off between the two, or one of them is damaged. An ordinary computer looks only at the first; records that only
    /// the second accounts for look lost to it. Here the second serves where the first does not hold a whole file.
    ///
    /// How we know: both tables were read and compared entry by entry.
    ///
    /// What to do: copy the stick before any repair; repair programs take the first table and discard the second.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "FAT Data Structure".
    FAT_COPIES_DIFFER = "fat-copies-differ";

    /// A folder is damaged.
    ///
    /// What it means: some of its entries, or the chain of clusters it stands in, make no sense. Files that were listed
    /// there may be missing from what is shown; their content is most likely still on the stick.
    ///
    /// How we know: what is wrong with it is listed as evidence.
    ///
    /// What to do: copy the whole stick and keep the copy; the rows may still be on it.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Directory Structure".
    DIRECTORY_DAMAGED = "directory-damaged";

    /// The volume is marked as still in use.
    ///
    /// What it means: whoever wrote last set this mark and did not clear it: the stick was pulled out, or the power
    /// failed, while it was being written. The newest rows may be missing or cut. The absence of the mark proves
    /// nothing: many indicators never set it.
    ///
    /// How we know: a bit in the file allocation table or in the first sector.
    ///
    /// What to do: check the last transaction number on the stick against the last ticket.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Reserved FAT Entries"; the bit in the first sector is used
    /// by Windows, Linux and dosfstools and not in the specification.
    VOLUME_LEFT_OPEN = "volume-left-open";

    /// The volume is larger than the medium it stands on.
    ///
    /// What it means: either the image was cut short while it was copied, or the stick claims more room than it has, as
    /// forged sticks do. What lies behind the end is not there; files that reach into it are incomplete.
    ///
    /// How we know: the size that the partition table or the volume states, against the size of the medium.
    ///
    /// What to do: copy the stick again and compare sizes; if they still disagree, do not use this stick any more.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Boot Sector and BPB", for the size the volume states.
    VOLUME_EXCEEDS_DEVICE = "volume-exceeds-device";

    /// Parts of the stick are in use, but no file has them.
    ///
    /// What it means: the file allocation table has these pieces (clusters) in use, yet no entry of a folder leads to
    /// them. This happens when a stick is pulled out before the folder was written, or when a folder is damaged. Rows may
    /// lie there that no file shows; an ordinary computer shows nothing of them.
    ///
    /// How we know: every cluster was marked with the file or folder that uses it; these are left over.
    ///
    /// What to do: copy the whole stick and keep the copy; the rows may still be on it. Compare the last transaction
    /// number with the last ticket. Files of a folder whose own entry is gone are listed as lost; with --accept-recovered
    /// their drafts count.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "FAT Data Structure".
    LOST_CLUSTERS = "lost-clusters";

    /// Files carry the date of a clock that was not set.
    ///
    /// What it means: the date of writing is the first one this format can state, 1 January 1980, or none at all. The
    /// writer has no clock, or its battery is empty. The rows are not affected, but dates in them may be wrong too.
    ///
    /// How we know: the date in the directory entry.
    ///
    /// What to do: set the indicator's clock; compare the dates of the rows with the tickets.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Directory Structure", for the first date there is.
    CLOCK_NOT_SET = "clock-not-set";
}

/// Findings that concern the volume as a whole.
pub(super) fn of_volume(context: &Context) -> Vec<Finding> {
    [
        by_copy(context),
        stale_copy(context),
        copies_differ(context),
        contradicts(context),
        left_open(context),
        worn(context),
        clock(context),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn by_copy(context: &Context) -> Option<Finding> {
    let first = context.boot.faults.first()?;
    let (detail, copy) = if context.boot.by_copy {
        (
            "A computer asks to format this stick, or reads its files from wrong places, and an indicator may refuse it. The copy of the sector is sound, and the files were read by it.",
            "sound, and used",
        )
    } else {
        (
            "A computer may ask to format this stick, and an indicator may refuse it. The files were read by what the sector still says, which its tables bear out.",
            "not used",
        )
    };
    Some(
        Finding::new(&BOOT_SECTOR_DAMAGED, Severity::Fault, "The first sector of the stick is damaged")
            .detail(detail)
            .evidence("first field that is wrong", first)
            .evidence("fields that are wrong", context.boot.faults.len())
            .evidence("copy at sector 6", copy)
            .at(context.place.clone())
            .next_step(
                "Copy the whole stick, run \"counterfoil saleday\" on the copy, and use a fresh stick from now on.",
            )
            .before_you_act(COPY_FIRST),
    )
}

/// The first sector is sound, and only its copy is not: nobody but a repair program goes by that.
fn stale_copy(context: &Context) -> Option<Finding> {
    let first = context.boot.stale_copy.first()?;
    Some(
        Finding::new(&BOOT_SECTOR_DAMAGED, Severity::Note, "The copy of the stick's first sector is damaged or out of date")
            .detail("The first sector itself is sound: its tables and its root folder stand where it says. Only a repair program might go by the copy.")
            .evidence("first field that differs", first)
            .evidence("fields that differ", context.boot.stale_copy.len())
            .at(context.place.clone())
            .next_step("Nothing for the records on it. Keep repair programs away from this stick, and format it before its next use.")
            .before_you_act(COPY_FIRST),
    )
}

/// A volume that calls itself FAT, yet cannot be read as such.
pub(in crate::volume) fn boot_sector_lost(place: &Place, window: &Window, seen: FileSystem) -> Option<Finding> {
    let sector = window.bytes::<512>(0);
    // FAT05 gives these words no meaning, but every formatter writes them.
    let named = [54, 82].into_iter().any(|at| sector.get(at..at + 3) == Some(b"FAT"));
    if seen != FileSystem::Unknown || !named {
        return None;
    }
    let faults = BootSector::parse(&sector).err()?;
    Some(
        Finding::new(&BOOT_SECTOR_DAMAGED, Severity::Fault, "The first sector of the stick is damaged")
            .detail(
                "It says how the stick is laid out, and no sound copy of it was found. The files are most likely still there, but they cannot be listed.",
            )
            .evidence("first field outside its limits", faults.first().map(String::as_str).unwrap_or_default())
            .evidence("fields outside their limits", faults.len())
            .evidence("copy at sector 6", "none")
            .at(place.clone())
            .next_step("Copy the whole stick and keep the copy: the missing rows may still be on it. Meanwhile, take the weighings from their paper tickets.")
            .before_you_act(COPY_FIRST),
    )
}

fn copies_differ(context: &Context) -> Option<Finding> {
    let difference = context.walked.difference?;
    let served = || context.volume.files.iter().filter(|file| file.by_second_table);
    let first = served().next().map(|file| file.path.as_deref().unwrap_or("a file without a name"));
    let lost = context.volume.files.iter().any(|file| file.state == FileState::Live && !file.whole);
    let severity = if lost { Severity::Fault } else { Severity::Caution };
    Some(
        Finding::new(&FAT_COPIES_DIFFER, severity, "The two tables that say which piece of a file follows which differ")
            .detail(
                "Writing was cut off between the two, or one is damaged. An ordinary computer looks only at the first. Here the second serves where the first does not hold a whole file.",
            )
            .evidence("entries that differ", difference.count)
            .evidence("first cluster concerned", difference.first)
            .evidence("files read by the second table", served().count())
            .evidence("first of them", first.unwrap_or("none"))
            .evidence("folders read by the second table", context.walked.folders_by_second_table)
            .at(context.place.clone())
            .next_step("Use the rows listed here. Prepare a fresh stick rather than repairing this one.")
            .before_you_act(COPY_FIRST),
    )
}

/// How many things that are wrong with one folder are listed.
const MAX_EVIDENCE: usize = 8;

/// One finding for each damaged folder.
pub(super) fn directories(context: &Context) -> Vec<Finding> {
    let faults = &context.walked.directory_faults;
    let of_one_folder = faults.chunk_by(|one, next| one.path == next.path && one.names_only == next.names_only);
    of_one_folder.filter_map(|faults| directory(context, faults)).collect()
}

fn directory(context: &Context, faults: &[DirectoryFault]) -> Option<Finding> {
    let DirectoryFault { path, names_only, .. } = faults.first()?;
    let name = if path.is_empty() { "The root folder".to_owned() } else { format!("The folder “{path}”") };
    let finding = if *names_only {
        Finding::new(&DIRECTORY_DAMAGED, Severity::Caution, format!("{name} has names that cannot be right"))
            .detail("The files are read all the same, but one may be shown under another name than it was given. A computer and an indicator that write long names differently leave such traces too.")
            .next_step("Compare the names here with those you expect, and the last transaction number with the last ticket.")
    } else {
        Finding::new(&DIRECTORY_DAMAGED, Severity::Fault, format!("{name} is damaged"))
            .detail("Files that were listed there may be missing from what is shown. Their content is most likely still on the stick.")
            .next_step("Copy the whole stick and keep the copy: the missing rows may still be on it. Meanwhile, take the weighings from their paper tickets.")
    };
    let listed = faults.iter().take(MAX_EVIDENCE);
    let finding = listed.fold(finding, |finding, fault| finding.evidence("what is wrong", &fault.what));
    Some(finding.at(context.place.clone()).before_you_act(COPY_FIRST))
}

fn left_open(context: &Context) -> Option<Finding> {
    context.volume.dirty.filter(|dirty| *dirty)?;
    Some(
        Finding::new(&VOLUME_LEFT_OPEN, Severity::Caution, "The stick was pulled out, or lost power, while it was in use")
            .detail("Whoever wrote last did not close it. The newest rows may be missing or cut. Many indicators never set this mark, so its absence would prove nothing.")
            .evidence("mark of being open", "set")
            .at(context.place.clone())
            .next_step("Compare the last transaction number on the stick with the last ticket."),
    )
}

/// A volume or partition that ends behind the medium's end.
pub(in crate::volume) fn exceeds_device(
    place: &Place,
    slot: Slot,
    own_size: Option<u64>,
    medium_bytes: u64,
) -> Option<Finding> {
    let end = |size: Option<u64>| size.map(|size| slot.offset.saturating_add(size)).filter(|end| *end > medium_bytes);
    let (what, end) = end(own_size)
        .map(|end| ("end of the volume", end))
        .or_else(|| end(slot.size).map(|end| ("end of the partition", end)))?;
    Some(
        Finding::new(&VOLUME_EXCEEDS_DEVICE, Severity::Fault, "The stick claims more room than there is")
            .detail("The image was cut short while it was copied, or the stick is a forged one. Files that reach behind its end are incomplete.")
            .evidence(what, format!("byte {end}"))
            .evidence("end of the medium", format!("byte {medium_bytes}"))
            .evidence("missing", bytes(end - medium_bytes))
            .at(place.clone())
            .next_step("Copy the stick again and compare the sizes. If they still disagree, do not use this stick any more."),
    )
}

/// Adds the files that the missing part takes with it.
pub(in crate::volume) fn with_cut_files(finding: Finding, context: &Context) -> Finding {
    let cut = &context.walked.beyond_medium;
    let Some(first) = cut.first() else { return finding };
    finding.evidence("files cut off", cut.len()).evidence("first of them", context.path(*first))
}

/// Where no table stands where the first sector says, one of the two is damaged.
fn contradicts(context: &Context) -> Option<Finding> {
    if !context.walked.no_table_begins || !context.boot.faults.is_empty() {
        return None;
    }
    Some(
        Finding::new(&BOOT_SECTOR_DAMAGED, Severity::Caution, "The first sector of the stick and its table do not agree")
            .detail("The first sector says where the table stands that leads from piece to piece of a file. What stands there does not begin as such a table must: one of the two is damaged, and files may be read from wrong places.")
            .evidence("table should begin at", format!("byte {} of the volume", context.boot.sector.table_offset(0)))
            .at(context.place.clone())
            .next_step("Compare the rows with the tickets before you use them. Copy the whole stick and use a fresh one from now on.")
            .before_you_act(COPY_FIRST),
    )
}

/// Places that a writer could not use, by its own marks.
fn worn(context: &Context) -> Option<Finding> {
    let (bad, mark) = (context.walked.bad_clusters, context.walked.hard_error);
    if bad == 0 && !mark {
        return None;
    }
    Some(
        Finding::new(&UNREADABLE_SECTORS, Severity::Caution, "The stick is marked as having had unreadable places")
            .detail("Whoever wrote to it met places that could not be read or written. Such a stick is wearing out; rows written there may be missing.")
            .evidence("mark of an error in reading or writing", if mark { "set" } else { "not set" })
            .evidence("clusters marked as bad", bad)
            .at(context.place.clone())
            .next_step("Copy the whole stick now, and do not use it for another sale."),
    )
}

/// What is left over when every file was looked up.
pub(super) fn lost(context: &Context) -> Option<Finding> {
    let lost = &context.walked.lost;
    if lost.clusters == 0 && lost.folders == 0 {
        return None;
    }
    let room = lost.clusters.saturating_mul(context.boot.sector.cluster_bytes());
    let severity = if lost.text > 0 || lost.folders > 0 { Severity::Fault } else { Severity::Caution };
    let title = match (lost.clusters, lost.folders) {
        (0, 1) => "1 folder stands on the stick, but no folder lists it".to_owned(),
        (0, folders) => format!("{folders} folders stand on the stick, but no folder lists them"),
        _ => format!("{} of the stick are in use, but no file has them", bytes(room)),
    };
    Some(
        Finding::new(&LOST_CLUSTERS, severity, title)
            .detail("No folder leads to these pieces, so an ordinary computer shows nothing of them. Rows may lie there, as when the stick was pulled out before the folder was written.")
            .evidence("clusters without a file", lost.clusters)
            .evidence("chains they form", lost.chains)
            .evidence("chains that begin with lines of text", lost.text)
            .evidence("folders whose own entry is gone, listed here all the same", lost.folders)
            .evidence("first cluster concerned", lost.first.map_or_else(|| "none".to_owned(), |first| first.to_string()))
            .at(context.place.clone())
            .next_step(if lost.folders > 0 { FOUND_IN_FOLDERS } else { MAY_STILL_BE_THERE })
            .before_you_act(COPY_FIRST),
    )
}

/// What to do where the lost pieces have no names.
const MAY_STILL_BE_THERE: &str = "Compare the last transaction number with the last ticket. Copy the whole stick and keep the copy: the missing rows may still be on it.";

/// What to do where whole folders were found again.
const FOUND_IN_FOLDERS: &str = "The files of such a folder are listed here as lost, and their drafts are not counted. Compare them with the paper tickets; if they belong to the day, run saleday with --accept-recovered.";

fn clock(context: &Context) -> Option<Finding> {
    let first = context.walked.clock_not_set.first()?;
    let count = context.walked.clock_not_set.len();
    Some(
        Finding::new(&CLOCK_NOT_SET, Severity::Note, "Files carry the date of a clock that was not set")
            .detail("Whoever wrote them has no clock, or its battery is empty. Dates inside the rows may be wrong too.")
            .evidence("files with the first date there is, or none", count)
            .evidence("first of them", context.path(*first))
            .at(context.place.clone())
            .next_step("Set the indicator's clock, and compare the dates of the rows with the tickets."),
    )
}
