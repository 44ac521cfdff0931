//! How a stick is divided: several partitions, none, a damaged table, a type that does not fit.

use crate::finding::words::bytes;
use crate::finding::{COPY_FIRST, Finding, Place, Severity, kinds};
use crate::volume::file_system::FileSystem;
use crate::volume::partitions::{Consequence, Layout, Slot, Stated};
use crate::volume::survey::{PartitionTable, Survey, Volume};

kinds! {
    /// The stick is one volume without a partition table.
    ///
    /// What it means: that is allowed and common on small sticks. A few indicators expect a table. The records on it
    /// are not affected.
    ///
    /// How we know: the first sector is that of a volume.
    ///
    /// What to do: nothing, as long as the indicator writes to it.
    ///
    /// Source: common practice, no source.
    NO_PARTITION_TABLE = "no-partition-table";

    /// The stick is divided into several partitions.
    ///
    /// What it means: indicators commonly use the first partition they can read, and look at no partition inside an
    /// extended one. A computer shows all of them, each as a drive of its own, so that records may stand in another one
    /// than a person looks at.
    ///
    /// How we know: the entries of the partition table; all partitions were looked at, and the exports on each counted.
    ///
    /// What to do: look at the partition named as holding the exports; use sticks with a single one.
    ///
    /// Source: common practice, no source.
    SEVERAL_PARTITIONS = "several-partitions";

    /// The table that says where the partitions of the stick are is damaged.
    ///
    /// What it means: a computer or an indicator may not find the files, and offer to format the stick; the files
    /// themselves are most likely all there. The newer kind of table (GPT) stands at both ends of the stick under
    /// checksums; where one copy is sound, it is used. Where no table is left, a volume is looked for at the places where
    /// formatting programs begin one. Where two partitions share room, what is written to one destroys what stands on the
    /// other.
    ///
    /// How we know: what is wrong with the table is listed as evidence.
    ///
    /// What to do: do not format. Copy the whole stick, run "counterfoil saleday" on the copy, and take a fresh stick.
    ///
    /// Source: Intel EFI 1.10, table 11-1, for the newer table and its checksums; the layout of the classic one as
    /// described by libvsmbr.
    PARTITION_TABLE_DAMAGED = "partition-table-damaged";

    /// The partition table says that a partition holds another format than it does.
    ///
    /// What it means: whoever formatted the partition did not correct the table, as some computers and cameras do. Some
    /// machines look at the table, some at the content; an indicator that looks at the table passes a good volume over or
    /// fails on a foreign one.
    ///
    /// How we know: the type in the partition table, against the structures found in the partition.
    ///
    /// What to do: if the indicator does not write to it, copy the stick, then have a computer remove the partition and
    /// make a new one with FAT32.
    ///
    /// Source: the types as listed by libvsmbr's documentation and the UEFI specification, from memory; which machines
    /// look at them is common practice, no source.
    PARTITION_TYPE_CONTRADICTS = "partition-type-contradicts";
}

/// The note on a sound volume without a partition table.
pub(in crate::volume) fn without_table(survey: &Survey) -> Option<Finding> {
    let volume = survey.volumes.first().filter(|_| survey.partition_table == Some(PartitionTable::None))?;
    if !volume.file_system.is_fat() {
        return None;
    }
    Some(
        Finding::new(&NO_PARTITION_TABLE, Severity::Note, "The stick is one volume without a partition table")
            .detail("That is allowed, and most indicators write to it.")
            .evidence("first sector", format!("that of a {} volume", volume.file_system))
            .at(Place::source(&survey.source_id))
            .next_step("Nothing, as long as the indicator writes to it."),
    )
}

/// Several partitions: which one the indicator most likely uses, and where the exports are.
pub(in crate::volume) fn several(survey: &Survey, used: Option<usize>, written: &[usize]) -> Finding {
    let elsewhere = written.iter().any(|index| Some(*index) != used);
    let title = if survey.volumes.len() == 1 {
        "The stick's only partition stands inside an extended one".to_owned()
    } else if elsewhere {
        format!(
            "Exports stand in another of the stick's {} partitions than indicators commonly use",
            survey.volumes.len()
        )
    } else {
        format!("The stick has {} partitions", survey.volumes.len())
    };
    let name =
        |index: usize| survey.volumes.iter().find(|volume| volume.index == index).map_or_else(String::new, in_words);
    let finding = Finding::new(&SEVERAL_PARTITIONS, Severity::Caution, title)
        .detail("Indicators commonly use the first partition they can read; a computer shows each as a drive of its own. All of them were looked at here.")
        .evidence("an indicator most likely uses", used.map_or_else(|| "none of them".to_owned(), name))
        .evidence("exports with drafts stand in", listed(written.iter().copied().map(name)));
    let finding = survey
        .volumes
        .iter()
        .take(MAX_LISTED)
        .fold(finding, |finding, volume| finding.evidence("partition, in the table's order", in_words(volume)));
    finding.next_step(if elsewhere {
        "Check which stick and which drive the indicator wrote to; compare the last transaction number with the last ticket. Use sticks with a single partition."
    } else {
        "Use sticks with a single partition, formatted as FAT32."
    })
    .before_you_act(COPY_FIRST)
}

/// How many partitions are told one by one.
const MAX_LISTED: usize = 8;

fn in_words(volume: &Volume) -> String {
    let label = volume.label.as_ref().map(|label| format!(" “{label}”")).unwrap_or_default();
    let place = if volume.logical { ", inside an extended partition" } else { "" };
    format!("volume {}{label}, {}{place}", volume.index, volume.file_system)
}

fn listed(names: impl Iterator<Item = String>) -> String {
    let names: Vec<String> = names.collect();
    if names.is_empty() { "none of them".to_owned() } else { names.join("; ") }
}

/// How many things that are wrong with a table are listed.
const MAX_FAULTS: usize = 8;

/// A table that is damaged: a fault where partitions may be missing for it.
pub(in crate::volume) fn table_damaged(source_id: &str, layout: &Layout) -> Option<Finding> {
    let (severity, detail) = match layout.faults.iter().map(|fault| fault.consequence).max()? {
        Consequence::Hidden => (
            Severity::Fault,
            "A computer or an indicator may not find the files on it, and offer to format it. What could be found without the table was read; other partitions may be missing here.",
        ),
        Consequence::Doubted => (
            Severity::Caution,
            "Every partition was found all the same, but another machine may not find them, and offer to format the stick.",
        ),
        Consequence::Overwritten => (
            Severity::Caution,
            "It gives the same room to two partitions: what is written to one destroys what stands on the other.",
        ),
    };
    let finding = Finding::new(&PARTITION_TABLE_DAMAGED, severity, "The table of the stick's partitions is damaged")
        .detail(detail);
    let faults = layout.faults.iter().take(MAX_FAULTS);
    Some(
        faults
            .fold(finding, |finding, fault| finding.evidence("what is wrong", &fault.what))
            .evidence("partitions found", layout.slots.len())
            .at(Place::source(source_id))
            .next_step(
                "Copy the whole stick, run \"counterfoil saleday\" on the copy, and use a fresh stick from now on.",
            )
            .before_you_act(COPY_FIRST),
    )
}

/// A FAT volume that claims more room than the table gives it.
pub(in crate::volume) fn larger_than_partition(
    place: &Place,
    slot: Slot,
    found: FileSystem,
    own_size: Option<u64>,
) -> Option<Finding> {
    let (own, given) = own_size.zip(slot.size).filter(|(own, given)| found.is_fat() && own > given)?;
    Some(
        Finding::new(&PARTITION_TABLE_DAMAGED, Severity::Caution, "The volume claims more room than its partition has")
            .detail("A computer cannot read what stands behind the partition's end, and what is written there may destroy another partition. The volume was read here as far as it says it goes.")
            .evidence("size the volume claims", bytes(own))
            .evidence("size the partition table gives it", bytes(given))
            .at(place.clone())
            .next_step("Copy the whole stick, run \"counterfoil saleday\" on the copy, and use a fresh stick from now on.")
            .before_you_act(COPY_FIRST),
    )
}

/// A type that does not fit what was found. Where the format is foreign anyway, it only explains.
pub(in crate::volume) fn type_contradicts(place: &Place, stated: Stated, found: FileSystem) -> Option<Finding> {
    let name = stated.name()?;
    let hinders = found.is_fat() && !stated.promises_fat();
    if stated.allows(found) && !hinders || found == FileSystem::Blank {
        return None;
    }
    let (severity, detail, next_step) = if hinders {
        (
            Severity::Caution,
            "An indicator that goes by the table passes this volume over and writes nothing.",
            "If the indicator does not write to it: copy the stick, then have a computer remove the partition and make a new one, formatted as FAT32.",
        )
    } else if found.is_fat() {
        (
            Severity::Note,
            "Most machines go by the content and are not hindered.",
            "Nothing, as long as the indicator writes to it.",
        )
    } else {
        (
            Severity::Note,
            "Programs that go by the table call it something it is not. What is said here goes by the content.",
            "Nothing by itself; see what is said of the format of the stick.",
        )
    };
    let found = if found == FileSystem::Unknown { "no format that is known".to_owned() } else { found.to_string() };
    Some(
        Finding::new(
            &PARTITION_TYPE_CONTRADICTS,
            severity,
            "The partition table names another format than the partition has",
        )
        .detail(detail)
        .evidence("type in the table", format!("{} ({name})", stated.code()))
        .evidence("found", found)
        .at(place.clone())
        .next_step(next_step),
    )
    .map(|finding| if hinders { finding.before_you_act(COPY_FIRST) } else { finding })
}
