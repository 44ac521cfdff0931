//! What a survey of a medium tells: its partitions, its volumes, their files, and what is wrong with them.

use serde::{Deserialize, Serialize};

use super::file_system::FileSystem;
use super::stored::StoredFile;
use crate::finding::{Finding, NotChecked};

/// How a medium is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PartitionTable {
    /// The classic table.
    Mbr,
    /// The newer GUID partition table.
    Gpt,
    /// None: one volume takes all.
    None,
}

/// What a medium holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Survey {
    /// The source it was made of.
    pub source_id: String,
    /// Whether the medium itself was read, and not only files through this computer.
    pub read_raw: bool,
    /// The bytes of the whole medium.
    pub capacity_bytes: Option<u64>,
    /// The bytes of a sector, as the partition table or the first volume has it.
    pub sector_bytes: Option<u32>,
    /// How it is divided; `None` where only files were seen.
    pub partition_table: Option<PartitionTable>,
    /// Of a stick that looks blank, where the first bytes stand that are not zero, if there are any in the first 32 MiB.
    pub data_at: Option<u64>,
    /// Its volumes; of a folder one, which stands for it.
    pub volumes: Vec<Volume>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// What was not looked at, and why.
    pub not_checked: Vec<NotChecked>,
}

/// A volume.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Volume {
    /// Its place on the medium, from 0.
    pub index: usize,
    /// Where it begins, in bytes.
    pub offset_bytes: Option<u64>,
    /// Its length in bytes: the partition's, or without partitions its own statement.
    pub size_bytes: Option<u64>,
    /// Whether it stands inside an extended partition, where small machines do not look.
    pub logical: bool,
    /// What it is formatted as.
    pub file_system: FileSystem,
    /// The structures it was recognised by.
    pub recognised_by: Vec<&'static str>,
    /// Its name.
    pub label: Option<String>,
    /// The bytes of a sector.
    pub sector_bytes: Option<u32>,
    /// The bytes of a cluster.
    pub cluster_bytes: Option<u64>,
    /// How many clusters it has.
    pub clusters: Option<u64>,
    /// The bytes in no use, counted from its table and not taken from a recorded count.
    pub free_bytes: Option<u64>,
    /// Whether it is marked as left open by a writer.
    pub dirty: Option<bool>,
    /// How many more short names fit into a root directory of fixed length (FAT12 and FAT16).
    pub root_entries_free: Option<u64>,
    /// Its files, live and deleted.
    pub files: Vec<StoredFile>,
    /// Why no ordinary reader may be let near it: such readers trust what they find.
    pub not_for_ordinary: Option<&'static str>,
}
