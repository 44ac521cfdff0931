//! Whether an indicator could write to a stick.

use serde::Serialize;

use super::file_system::FileSystem;
use super::findings::partitions::PARTITION_TABLE_DAMAGED;
use super::findings::structure::{BOOT_SECTOR_DAMAGED, DIRECTORY_DAMAGED};
use super::findings::suitability::{self, Broken};
use super::findings::{several, without_table};
use super::limits::Limits;
use super::survey::{Survey, Volume};
use crate::finding::{Finding, NotChecked, Place, Severity};

/// Whether an indicator could write to the stick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Nothing speaks against it.
    Ready,
    /// It could not.
    NotReady,
    /// It cannot be told.
    Unknown,
}

/// The verdict, and what it rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suitability {
    /// Of the stick.
    pub verdict: Verdict,
    /// Of each volume: whether the indicator could write to it; `None` where it cannot be told.
    pub volumes: Vec<Option<bool>>,
    /// What speaks against it.
    pub findings: Vec<Finding>,
    /// What leaves no trace.
    pub not_checked: Vec<NotChecked>,
}

/// Codes of damage that leaves it open whether an indicator still writes to the volume.
const DAMAGE: [&str; 10] = [
    "partition-table-damaged",
    "partition-type-contradicts",
    "fat-copies-differ",
    "directory-damaged",
    "volume-exceeds-device",
    "unreadable-sectors",
    "chain-loop",
    "chain-broken",
    "chain-cross-linked",
    "root-directory-full",
];

/// Judges a survey by limits. `holds_live_rows` tells of a volume, by its index, whether rows of this indicator stand on
/// it: then it was written to, whatever the limits say.
#[must_use]
pub fn judge(survey: &Survey, limits: &Limits, holds_live_rows: &dyn Fn(usize) -> bool) -> Suitability {
    let mut not_checked = vec![NotChecked::new(
        "a write-protect switch",
        "its position leaves no trace on the medium; look at the stick",
    )];
    if !survey.read_raw {
        not_checked.push(NotChecked::new(
            "whether the indicator could write to the stick",
            "only its files were given, not the stick itself",
        ));
        let volumes = vec![None; survey.volumes.len()];
        return Suitability { verdict: Verdict::Unknown, volumes, findings: Vec::new(), not_checked };
    }
    let written = |index: usize| holds_live_rows(index);
    let with_rows: Vec<usize> =
        survey.volumes.iter().map(|volume| volume.index).filter(|index| written(*index)).collect();
    let any_written = !with_rows.is_empty();
    let used = used_volume(survey, limits).map(|volume| volume.index);
    let of_stick = broken_by_stick(survey, limits);
    let of_whole = of_stick.iter().map(|broken| match broken {
        Broken::Several => several(survey, used, &with_rows).at(Place::source(&survey.source_id)),
        _ => suitability::of_stick(survey, limits, *broken, any_written),
    });
    let mut findings: Vec<Finding> = of_whole.collect();
    findings.extend(without_table(survey));
    let mut volumes = Vec::new();
    for volume in &survey.volumes {
        let broken = broken_by_volume(survey, volume, limits);
        let used_instead = used.filter(|used| *used != volume.index && !written(volume.index));
        let told = broken.iter().map(|broken| {
            let finding = suitability::of_volume(survey, volume, limits, *broken, written(volume.index));
            match used_instead {
                Some(used) => suitability::beside(finding, volume, used),
                None => finding,
            }
        });
        findings.extend(told);
        let on_stick = of_stick.iter().map(|broken| (broken, any_written));
        let on_volume = broken.iter().map(|broken| (broken, written(volume.index)));
        volumes.push(writable(survey, volume, on_stick.chain(on_volume)));
    }
    let verdict = if used.is_some_and(|used| used > 0) {
        // Whether the indicator passes the partitions before it over is not known.
        verdict(survey, &of_stick, None, any_written)
    } else {
        verdict(survey, &of_stick, volumes.first().copied().flatten(), any_written)
    };
    Suitability { verdict, volumes, findings, not_checked }
}

/// The partition an indicator most likely uses: the first in the table that it can read, none inside an extended one
/// (common practice, no source).
fn used_volume<'a>(survey: &'a Survey, limits: &Limits) -> Option<&'a Volume> {
    let readable = |volume: &&Volume| {
        [&limits.file_systems, &limits.doubtful_file_systems].iter().any(|known| known.contains(&volume.file_system))
    };
    survey.volumes.iter().filter(|volume| !volume.logical).find(readable)
}

fn broken_by_stick(survey: &Survey, limits: &Limits) -> Vec<Broken> {
    let mut broken = Vec::new();
    let capacity = survey.capacity_bytes.unwrap_or(0);
    if capacity > limits.largest_capacity_bytes {
        broken.push(Broken::Capacity);
    }
    if survey.partition_table.is_some_and(|table| !limits.partition_tables.contains(&table)) {
        broken.push(Broken::Table);
    }
    let blank = |volume: &Volume| volume.file_system == FileSystem::Blank;
    if survey.volumes.iter().all(blank) && !table_hides(survey) {
        broken.push(Broken::Blank);
    }
    if survey.volumes.len() > 1 || survey.volumes.iter().any(|volume| volume.logical) {
        broken.push(Broken::Several);
    }
    broken
}

fn broken_by_volume(survey: &Survey, volume: &Volume, limits: &Limits) -> Vec<Broken> {
    let mut broken = Vec::new();
    let behind_end = volume.offset_bytes.zip(survey.capacity_bytes).is_some_and(|(begins, end)| begins >= end);
    if volume.file_system == FileSystem::Blank || behind_end {
        return broken;
    }
    if limits.doubtful_file_systems.contains(&volume.file_system) {
        broken.push(Broken::DoubtfulFormat);
    } else if !limits.file_systems.contains(&volume.file_system) && !refuses(survey, volume) {
        broken.push(Broken::Format);
    }
    if volume.file_system == FileSystem::Fat32 && volume.clusters.is_some_and(|count| count < FAT32_CLUSTERS) {
        broken.push(Broken::FewClusters);
    }
    let sector = volume.sector_bytes.or(survey.sector_bytes);
    if sector.is_some_and(|sector| !limits.sector_bytes.contains(&sector)) {
        broken.push(Broken::Sector);
    }
    if volume.cluster_bytes.is_some_and(|bytes| volume.file_system.is_fat() && bytes > limits.largest_cluster_bytes) {
        broken.push(Broken::Cluster);
    }
    if volume.free_bytes == Some(0) {
        broken.push(Broken::Full);
    }
    broken
}

/// With fewer, a volume is FAT16 to whoever goes by the count alone (FAT05 "FAT Type Determination").
const FAT32_CLUSTERS: u64 = 65_525;

/// Whether the partition table is damaged so that nothing may be found by it.
fn table_hides(survey: &Survey) -> bool {
    let hides = |finding: &Finding| finding.code == PARTITION_TABLE_DAMAGED.code && finding.severity == Severity::Fault;
    survey.findings.iter().any(hides)
}

/// Without a sound first sector nothing opens the volume.
fn refuses(survey: &Survey, volume: &Volume) -> bool {
    let of_volume = |finding: &&Finding| finding.place.volume == Some(volume.index);
    let of_first_sector = |finding: &Finding| {
        // That only its copy is wrong is a note.
        finding.code == BOOT_SECTOR_DAMAGED.code && finding.severity > Severity::Note
    };
    survey.findings.iter().filter(of_volume).any(of_first_sector)
}

/// Each broken limit comes with whether what it concerns, the whole stick or this volume, was written to all the same.
fn writable<'a>(survey: &Survey, volume: &Volume, broken: impl Iterator<Item = (&'a Broken, bool)>) -> Option<bool> {
    let mut verdict = Some(true);
    for (broken, written) in broken {
        match broken {
            // Rows on it show that a limit did not hinder; they do not make room.
            Broken::Full | Broken::Blank => return Some(false),
            Broken::DoubtfulFormat | Broken::FewClusters | Broken::Several => verdict = None,
            _ if written => verdict = None,
            _ => return Some(false),
        }
    }
    if refuses(survey, volume) || table_hides(survey) {
        return Some(false);
    }
    // A folder of which only names are odd is as fit to be written to as any, and so is a type that most pass over.
    let hinders = |finding: &Finding| match finding.code {
        code if code == DIRECTORY_DAMAGED.code => finding.severity == Severity::Fault,
        _ => finding.severity > Severity::Note,
    };
    let damaged = |finding: &Finding| {
        finding.place.volume == Some(volume.index) && DAMAGE.contains(&finding.code) && hinders(finding)
    };
    if survey.findings.iter().any(damaged) || volume.file_system == FileSystem::Blank { None } else { verdict }
}

/// The volume that the indicator uses decides.
fn verdict(survey: &Survey, of_stick: &[Broken], used: Option<bool>, any_written: bool) -> Verdict {
    match used {
        Some(true) => Verdict::Ready,
        Some(false) => Verdict::NotReady,
        None if survey.volumes.is_empty() => Verdict::NotReady,
        None if !any_written && of_stick.iter().any(|broken| matches!(broken, Broken::Capacity | Broken::Table)) => {
            Verdict::NotReady
        }
        None => Verdict::Unknown,
    }
}
