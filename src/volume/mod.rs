//! What is on a stick.

use chrono::NaiveDateTime;
use serde::Serialize;

use crate::finding::{Finding, NotChecked};

/// What owns the bytes of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FileState {
    /// A healthy directory entry.
    Live,
    /// A removed directory entry.
    Deleted,
    /// Nothing.
    Lost,
    /// Found by content.
    Carved,
}

/// How a disk is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PartitionTable {
    /// MBR.
    Mbr,
    /// GPT.
    Gpt,
    /// None.
    None,
}

/// File system.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FileSystem {
    /// FAT32.
    Fat32,
}

/// Verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Ready.
    Ready,
    /// Not ready.
    NotReady,
    /// Unknown.
    Unknown,
}

/// Suitability.
#[derive(Debug, Clone)]
pub struct Suitability {
    /// Verdict.
    pub verdict: Verdict,
    /// Per volume.
    pub volumes: Vec<Option<bool>>,
    /// Findings.
    pub findings: Vec<Finding>,
}

/// A file.
#[derive(Debug, Clone)]
pub struct StoredFile {
    /// Path.
    pub path: Option<String>,
    /// Size.
    pub size_bytes: u64,
    /// Modified.
    pub modified: Option<NaiveDateTime>,
    /// State.
    pub state: FileState,
    /// Whole.
    pub whole: bool,
}

/// Volume.
#[derive(Debug, Clone)]
pub struct Volume {
    /// Index.
    pub index: usize,
    /// Offset.
    pub offset_bytes: u64,
    /// Size.
    pub size_bytes: u64,
    /// FS.
    pub file_system: FileSystem,
    /// Label.
    pub label: Option<String>,
    /// Cluster size.
    pub cluster_bytes: Option<u64>,
    /// Clusters.
    pub clusters: Option<u64>,
    /// Free.
    pub free_bytes: Option<u64>,
    /// Dirty.
    pub dirty: Option<bool>,
    /// Files.
    pub files: Vec<StoredFile>,
}

/// Survey.
#[derive(Debug, Clone)]
pub struct Survey {
    /// Capacity.
    pub capacity_bytes: Option<u64>,
    /// Sector.
    pub sector_bytes: Option<u32>,
    /// Table.
    pub partition_table: Option<PartitionTable>,
    /// Volumes.
    pub volumes: Vec<Volume>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Not checked.
    pub not_checked: Vec<NotChecked>,
}
