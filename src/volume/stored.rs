//! A file on a stick, where its bytes lie, and how they are read.

use chrono::NaiveDateTime;
use serde::Serialize;

use crate::stick::{ByteSource, Medium, OpenError, ReadFault};

/// What became of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FileState {
    /// A directory lists it.
    Live,
    /// It was deleted; the directory still tells where it began.
    Deleted,
    /// Clusters that are in use but belong to no file.
    Lost,
    /// Found by its content alone.
    Carved,
}

/// A run of a file's bytes that lie together on the medium.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Extent {
    /// Where the run begins in the file, in bytes.
    pub file_offset: u64,
    /// Where it begins on the medium, in bytes.
    pub medium_offset: u64,
    /// Its length in bytes.
    pub length: u64,
}

/// A file, live or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredFile {
    /// The path from the volume's root, `/` between; `None` for nameless data.
    pub path: Option<String>,
    /// The recorded size in bytes.
    pub size_bytes: u64,
    /// When it was last written, by the writer's own clock.
    pub modified: Option<NaiveDateTime>,
    /// What became of it.
    pub state: FileState,
    /// Whether every byte of the recorded size was found; whether it can be read shows on reading.
    pub whole: bool,
    /// Where its bytes lie, up to the recorded size; empty for files of a folder.
    pub extents: Vec<Extent>,
    /// What its chain holds beyond the recorded size: the rest of the last cluster and any further clusters.
    pub beyond_size: Vec<Extent>,
    /// The cluster it begins in, of FAT volumes.
    pub first_cluster: Option<u32>,
    /// Whether its clusters were found by the second file allocation table, because the first did not hold them all.
    pub by_second_table: bool,
    /// Whether it is marked as not to be written.
    pub read_only: bool,
    /// SHA-256 of its bytes, in hexadecimal; `None` until it was asked for, and where some bytes cannot be read.
    pub sha256: Option<String>,
    /// The file's place in the folder's list, where it stands in a folder.
    pub loose: Option<usize>,
}

impl StoredFile {
    /// How many bytes of the recorded size are there.
    #[must_use]
    pub fn bytes_had(&self) -> u64 {
        if self.loose.is_some() { self.size_bytes } else { total(&self.extents) }
    }

    /// Where a byte of the file lies on the medium, in bytes; `None` for files of a folder and for bytes not had.
    #[must_use]
    pub fn medium_offset(&self, file_byte: u64) -> Option<u64> {
        self.extents.iter().chain(&self.beyond_size).find_map(|extent| {
            let inside = file_byte.checked_sub(extent.file_offset)?;
            (inside < extent.length).then(|| extent.medium_offset.saturating_add(inside))
        })
    }

    /// Its bytes, read from the medium the survey was made of: those of the recorded size that are there.
    ///
    /// # Errors
    /// [`OpenError`] when a file of a folder can no longer be opened.
    pub fn open<'a>(&'a self, medium: &'a Medium) -> Result<Box<dyn ByteSource + 'a>, OpenError> {
        match (medium, self.loose) {
            (Medium::Raw(source) | Medium::Mounted { raw: source, .. }, None) => {
                Ok(Box::new(self.over(source.as_ref())))
            }
            (Medium::Files(tree) | Medium::Mounted { files: tree, .. }, Some(index))
                if tree.files.get(index).is_some() =>
            {
                let file = tree.files.get(index).map(crate::stick::LooseFile::open);
                Ok(file.transpose()?.unwrap_or_else(|| Box::new(StoredBytes::empty())))
            }
            _ => Err(OpenError::NotFound { path: self.path.clone().unwrap_or_default() }),
        }
    }

    /// Its bytes on a raw medium: those of the recorded size that are there.
    #[must_use]
    pub fn over<'a>(&'a self, source: &'a dyn ByteSource) -> StoredBytes<'a> {
        StoredBytes { source: Some(source), extents: self.extents.clone() }
    }

    /// Its bytes on a raw medium with those its chain holds beyond the recorded size.
    #[must_use]
    pub fn over_chain<'a>(&'a self, source: &'a dyn ByteSource) -> StoredBytes<'a> {
        StoredBytes { source: Some(source), extents: self.extents.iter().chain(&self.beyond_size).copied().collect() }
    }
}

/// The total length of some runs, in bytes.
pub(super) fn total(extents: &[Extent]) -> u64 {
    extents.iter().map(|extent| extent.length).fold(0, u64::saturating_add)
}

/// A file's bytes where they lie on a raw medium.
pub struct StoredBytes<'a> {
    source: Option<&'a dyn ByteSource>,
    extents: Vec<Extent>,
}

impl StoredBytes<'_> {
    const fn empty() -> Self {
        Self { source: None, extents: Vec::new() }
    }

    fn read_piece(&self, at: u64, buffer: &mut [u8]) -> Result<usize, ReadFault> {
        let beyond = || ReadFault { at, length: buffer.len() as u64, reason: "the file has no bytes there".to_owned() };
        let index = self.extents.partition_point(|extent| extent.file_offset.saturating_add(extent.length) <= at);
        let (Some(extent), Some(source)) = (self.extents.get(index), self.source) else { return Err(beyond()) };
        let Some(inside) = at.checked_sub(extent.file_offset) else { return Err(beyond()) };
        let length = usize::try_from(extent.length.saturating_sub(inside)).unwrap_or(usize::MAX).min(buffer.len());
        let piece = buffer.get_mut(..length).unwrap_or_default();
        source.read_at(extent.medium_offset.saturating_add(inside), piece).map_err(|fault| ReadFault {
            at,
            length: length as u64,
            reason: fault.to_string(),
        })?;
        Ok(length)
    }
}

impl ByteSource for StoredBytes<'_> {
    /// The bytes from the first to the last that is there; without a hole in all files of a survey.
    fn size(&self) -> u64 {
        self.extents.last().map_or(0, |extent| extent.file_offset.saturating_add(extent.length))
    }

    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault> {
        let mut done = 0;
        while let Some(rest) = buffer.get_mut(done..).filter(|rest| !rest.is_empty()) {
            done += self.read_piece(at.saturating_add(done as u64), rest)?;
        }
        Ok(())
    }
}
