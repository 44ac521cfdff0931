//! What stands on a stick: partitions, file systems, and every file that can be had, damaged or not.
//!
//! The only reader of damaged FAT volumes here is our own; the crate `fatfs` is asked what an ordinary computer would
//! show, and where the two differ, the difference is evidence.

pub mod fat;
mod file_system;
pub mod findings;
mod hash;
mod identify;
mod limits;
mod little_endian;
mod ordinary;
mod partitions;
mod reading;
mod stored;
mod suitability;
mod survey;
mod window;

pub use file_system::FileSystem;
pub use hash::hash_files;
pub use limits::{Limits, LimitsError};
pub use ordinary::{ORDINARY_LIMIT_BYTES, OrdinaryFile, ordinary_view};
pub use reading::{survey, survey_known, survey_medium, survey_tree};
pub use stored::{Extent, FileState, StoredBytes, StoredFile};
pub use suitability::{Suitability, Verdict, judge};
pub use survey::{PartitionTable, Survey, Volume};
