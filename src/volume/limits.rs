//! The limits an indicator sets to a stick.

use serde::Deserialize;
use thiserror::Error;

use super::file_system::FileSystem;
use super::survey::PartitionTable;

/// What a stick must be for an indicator to write to it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    #[serde(rename = "$schema", default)]
    _schema: Option<String>,
    /// Where these limits are stated.
    pub source: String,
    /// Formats the indicator can write to.
    pub file_systems: Vec<FileSystem>,
    /// Formats it may be able to write to.
    pub doubtful_file_systems: Vec<FileSystem>,
    /// How the stick may be divided.
    pub partition_tables: Vec<PartitionTable>,
    /// Sector sizes it can use, in bytes.
    pub sector_bytes: Vec<u32>,
    /// The largest cluster it can use, in bytes.
    pub largest_cluster_bytes: u64,
    /// The largest stick it can use, in bytes.
    pub largest_capacity_bytes: u64,
}

/// Limits that could not be read.
#[derive(Debug, Error)]
#[error(
    "The limits are not as schemas/stick-limits.schema.json asks ({reason}). Correct the file, or leave out --limits."
)]
pub struct LimitsError {
    /// What is wrong, with line and column.
    pub reason: String,
}

impl Limits {
    /// Reads limits from the text of a JSON file laid out as `schemas/stick-limits.schema.json` says.
    ///
    /// # Errors
    /// [`LimitsError`] when it is not laid out so.
    pub fn from_json(text: &str) -> Result<Self, LimitsError> {
        serde_json::from_str(text).map_err(|error| LimitsError { reason: error.to_string() })
    }

    /// The common limits: `schemas/stick-limits.json`; common practice, no source.
    ///
    /// # Errors
    /// [`LimitsError`] if the file the program was built with is wrong; a test holds that it is not.
    pub fn common() -> Result<Self, LimitsError> {
        Self::from_json(include_str!("../../schemas/stick-limits.json"))
    }
}
