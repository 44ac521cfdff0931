//! A stick in a format the indicator does not write: what it means, and how its files are read all the same.

use super::suitability::{WRONG_FORMAT, YET_WRITTEN, limit};
use crate::finding::{COPY_FIRST, Finding, Severity};
use crate::volume::file_system::FileSystem;
use crate::volume::limits::Limits;
use crate::volume::survey::Volume;

/// A format indicators do not write to.
pub(super) fn wrong(volume: &Volume, limits: &Limits, written: bool) -> Finding {
    let title = if volume.file_system == FileSystem::Unknown {
        "The stick has a format that is not known".to_owned()
    } else {
        format!("The stick is formatted as {}", volume.file_system)
    };
    let unknown = volume.file_system == FileSystem::Unknown;
    let detail = if unknown { OVERWRITTEN.to_owned() } else { foreign(limits) };
    let mut finding = reformat(with_formats(limit(&WRONG_FORMAT, written, title, &detail), volume, limits), limits);
    if unknown {
        finding.next_step = format!("{KEEP} {}", finding.next_step);
    }
    // A computer knows most of these formats, though neither an indicator nor this program does.
    if !matches!(volume.file_system, FileSystem::Unknown | FileSystem::Blank) && !volume.file_system.is_fat() {
        finding.next_step = format!("{FILES_BY_DRIVE} {}", finding.next_step);
    }
    finding
}

/// What a format means that the indicator does not write, by whichever limits are used.
fn foreign(limits: &Limits) -> String {
    if limits.file_systems == [FileSystem::Fat32] {
        return "Indicators commonly write FAT32 only. On this stick they report an error or write nothing.".to_owned();
    }
    let written = written_formats(limits, " and ");
    format!(
        "By the limits used, the indicator writes {written} only. On this stick it reports an error or writes nothing."
    )
}

fn written_formats(limits: &Limits, between: &str) -> String {
    limits.file_systems.iter().map(ToString::to_string).collect::<Vec<_>>().join(between)
}

/// What it means where no structure of any format was found, though something stands there.
const OVERWRITTEN: &str = "None of the formats known here was found: the stick is damaged or was overwritten at its \
                           beginning, or is encrypted. An indicator cannot use it as it is; rows may still be on it.";

/// What to do with a stick whose format is gone.
const KEEP: &str = "Copy the whole stick and keep the copy: the missing rows may still be on it.";

/// How files in a format that is not read here can be read all the same.
const FILES_BY_DRIVE: &str = "The files on it can still be read: plug the stick into a computer that opens it, then name \
                              its drive (E:) or a folder on it as SOURCE instead of an image.";

/// A format of which it is not known whether indicators write to it.
pub(super) fn doubtful(volume: &Volume, limits: &Limits, written: bool) -> Finding {
    let title = format!("The stick is formatted as {}", volume.file_system);
    let finding = Finding::new(&WRONG_FORMAT, Severity::Caution, title).detail(if written {
        YET_WRITTEN
    } else {
        "Some indicators write to this older format, others do not."
    });
    reformat(with_formats(finding, volume, limits), limits)
}

/// FAT32 on a volume so small that the count of its clusters says FAT16.
pub(super) fn too_few_clusters(volume: &Volume, limits: &Limits, written: bool) -> Finding {
    let finding = Finding::new(&WRONG_FORMAT, Severity::Caution, "The stick is formatted as FAT32 with too few clusters")
        .detail(if written {
            YET_WRITTEN
        } else {
            "Machines that go by the number of clusters (the pieces in which space is handed out) take it for FAT16, and then read it wrong or refuse it."
        })
        .evidence("clusters", volume.clusters.unwrap_or(0))
        .evidence("FAT32 has at least", "65525");
    reformat(with_formats(finding, volume, limits), limits)
}

fn with_formats(finding: Finding, volume: &Volume, limits: &Limits) -> Finding {
    finding
        .evidence("format", volume.file_system)
        .evidence("recognised by", recognised_by(volume))
        .evidence("formats the indicator writes", written_formats(limits, ", "))
        .evidence("limit taken from", &limits.source)
}

fn recognised_by(volume: &Volume) -> String {
    if volume.recognised_by.is_empty() { "nothing that is known".to_owned() } else { volume.recognised_by.join(", ") }
}

/// What to do about a stick that is laid out otherwise than indicators know.
pub(super) fn reformat(finding: Finding, limits: &Limits) -> Finding {
    finding
        .next_step(format!(
            "Use a stick with one partition of the classic kind (MBR), formatted as {}. See the indicator's manual.",
            written_formats(limits, " or ")
        ))
        .before_you_act(COPY_FIRST)
}
