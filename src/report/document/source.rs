//! The sources and what is on them.

use chrono::NaiveDateTime;
use serde::Serialize;

use super::local_time;
use crate::day::SourceState;
use crate::stick::SourceKind;
use crate::volume::{FileState, FileSystem, PartitionTable, StoredFile, Verdict, Volume};

#[derive(Debug, Serialize)]
pub(super) struct SourceEntry<'a> {
    id: &'a str,
    path: &'a str,
    kind: SourceKind,
    size_bytes: u64,
    sha256: Option<&'a str>,
    stick: Option<StickEntry<'a>>,
}

#[derive(Debug, Serialize)]
struct StickEntry<'a> {
    capacity_bytes: Option<u64>,
    sector_bytes: Option<u32>,
    partition_table: Option<PartitionTable>,
    read_raw: bool,
    volumes: Vec<VolumeEntry<'a>>,
    verdict: Verdict,
}

#[derive(Debug, Serialize)]
struct VolumeEntry<'a> {
    index: usize,
    offset_bytes: Option<u64>,
    size_bytes: Option<u64>,
    file_system: FileSystem,
    label: Option<&'a str>,
    cluster_bytes: Option<u64>,
    clusters: Option<u64>,
    free_bytes: Option<u64>,
    dirty: Option<bool>,
    writable_by_indicator: Option<bool>,
    files: Option<Vec<FileEntry<'a>>>,
}

#[derive(Debug, Serialize)]
struct FileEntry<'a> {
    path: Option<&'a str>,
    size_bytes: u64,
    #[serde(serialize_with = "local_time")]
    modified: Option<NaiveDateTime>,
    sha256: Option<&'a str>,
    state: FileState,
    whole: bool,
}

pub(super) fn entry(state: &SourceState) -> SourceEntry<'_> {
    let stick_seen = !matches!(state.kind, SourceKind::File | SourceKind::Folder);
    SourceEntry {
        id: &state.id,
        path: &state.path,
        kind: state.kind,
        size_bytes: state.size_bytes,
        sha256: state.sha256.as_deref(),
        stick: stick_seen.then(|| stick(state)),
    }
}

fn stick(state: &SourceState) -> StickEntry<'_> {
    let survey = &state.survey;
    let writable = |position: usize| state.suitability.as_ref()?.volumes.get(position).copied().flatten();
    let volumes = survey.volumes.iter().enumerate();
    StickEntry {
        capacity_bytes: survey.capacity_bytes,
        sector_bytes: survey.sector_bytes,
        partition_table: survey.partition_table,
        read_raw: survey.read_raw,
        volumes: volumes.map(|(position, volume)| volume_entry(volume, writable(position))).collect(),
        verdict: state.suitability.as_ref().map_or(Verdict::Unknown, |suitability| suitability.verdict),
    }
}

fn volume_entry(volume: &Volume, writable_by_indicator: Option<bool>) -> VolumeEntry<'_> {
    VolumeEntry {
        index: volume.index,
        offset_bytes: volume.offset_bytes,
        size_bytes: volume.size_bytes,
        file_system: volume.file_system,
        label: volume.label.as_deref(),
        cluster_bytes: volume.cluster_bytes,
        clusters: volume.clusters,
        free_bytes: volume.free_bytes,
        dirty: volume.dirty,
        writable_by_indicator,
        files: None,
    }
}

impl<'a> SourceEntry<'a> {
    /// Fills in the files of each volume.
    pub(super) fn list_files(&mut self, state: &'a SourceState) {
        let Some(stick) = &mut self.stick else { return };
        for (entry, volume) in stick.volumes.iter_mut().zip(&state.survey.volumes) {
            entry.files = Some(volume.files.iter().map(file_entry).collect());
        }
    }
}

fn file_entry(file: &StoredFile) -> FileEntry<'_> {
    FileEntry {
        path: file.path.as_deref(),
        size_bytes: file.size_bytes,
        modified: file.modified,
        sha256: file.sha256.as_deref(),
        state: file.state,
        whole: file.whole,
    }
}
