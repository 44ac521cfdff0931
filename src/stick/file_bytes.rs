//! The bytes of a file or block device of this computer.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

use super::bytes::{ByteSource, ReadFault};
use super::error::OpenError;

/// A file or block device, opened for reading only.
#[derive(Debug)]
pub struct FileBytes {
    file: File,
    size: u64,
}

impl FileBytes {
    /// Opens `path`; its size is found by seeking to the end, which serves files and block devices alike.
    ///
    /// # Errors
    /// [`OpenError`] when the system refuses.
    pub fn open(path: &Path) -> Result<Self, OpenError> {
        let opened = File::open(path).and_then(|mut file| {
            let size = file.seek(SeekFrom::End(0))?;
            Ok(Self { file, size })
        });
        opened.map_err(|error| OpenError::from_io(path, &error))
    }

    fn read_from(&self, at: u64, buffer: &mut [u8]) -> io::Result<()> {
        let mut file = &self.file;
        file.seek(SeekFrom::Start(at))?;
        file.read_exact(buffer)
    }
}

impl ByteSource for FileBytes {
    fn size(&self) -> u64 {
        self.size
    }

    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault> {
        within(self.size, at, buffer.len())?;
        self.read_from(at, buffer).map_err(|error| ReadFault {
            at,
            length: buffer.len() as u64,
            reason: error.to_string(),
        })
    }
}

/// Refuses a run that reaches beyond `size`.
pub(crate) fn within(size: u64, at: u64, length: usize) -> Result<(), ReadFault> {
    let length = length as u64;
    match at.checked_add(length) {
        Some(end) if end <= size => Ok(()),
        _ => Err(ReadFault { at, length, reason: format!("the source ends at byte {size}") }),
    }
}
