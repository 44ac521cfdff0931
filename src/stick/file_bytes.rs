//! The bytes of a file or device of this computer.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

use super::aligned::read_aligned;
use super::bytes::{ByteSource, ReadFault};
use super::device_size::sector_count;
use super::error::OpenError;

/// The sector sizes in use, in bytes.
const SECTORS: [usize; 2] = [512, 4096];

/// A file or device, opened for reading only.
#[derive(Debug)]
pub struct FileBytes {
    file: File,
    size: u64,
    /// Whether only whole sectors can be had: raw devices of macOS and Windows give nothing else.
    by_sectors: bool,
}

impl FileBytes {
    /// Opens the file at `path`; its size is found by seeking to the end.
    ///
    /// # Errors
    /// [`OpenError`] when the system refuses.
    pub fn open(path: &Path) -> Result<Self, OpenError> {
        let opened = File::open(path).and_then(|mut file| {
            let size = file.seek(SeekFrom::End(0))?;
            Ok(Self { file, size, by_sectors: false })
        });
        opened.map_err(|error| OpenError::from_io(path, &error))
    }

    /// Opens the device at `path`. Where seeking to its end tells nothing, as on macOS and Windows (from memory), its size
    /// is found by reading.
    ///
    /// # Errors
    /// [`OpenError`] when the system refuses, or the drive holds nothing that can be read.
    pub fn open_device(path: &Path) -> Result<Self, OpenError> {
        let opened = File::open(path).and_then(|mut file| {
            let size = match file.seek(SeekFrom::End(0)) {
                Ok(size) if size > 0 => size,
                _ => size_by_reading(&file)?,
            };
            Ok(Self { file, size, by_sectors: true })
        });
        let opened = opened.map_err(|error| OpenError::of_device(path, &error))?;
        if opened.size == 0 { Err(OpenError::NoMedium { path: path.display().to_string() }) } else { Ok(opened) }
    }

    fn read_from(&self, at: u64, buffer: &mut [u8]) -> io::Result<()> {
        if self.by_sectors {
            read_aligned(self.size, at, buffer, &mut |at, sectors| read_exactly(&self.file, at, sectors))
        } else {
            read_exactly(&self.file, at, buffer)
        }
    }
}

fn read_exactly(mut file: &File, at: u64, buffer: &mut [u8]) -> io::Result<()> {
    file.seek(SeekFrom::Start(at))?;
    file.read_exact(buffer)
}

/// The size of a device up to its last sector that can be read, in bytes; 0 where it ends before the first.
fn size_by_reading(file: &File) -> io::Result<u64> {
    let mut refused = None;
    for sector_bytes in SECTORS {
        let mut sector = vec![0; sector_bytes];
        let bytes = sector_bytes as u64;
        let count = sector_count(&mut |number| read_exactly(file, number.saturating_mul(bytes), &mut sector).is_ok());
        if count > 0 {
            return Ok(count.saturating_mul(bytes));
        }
        refused = read_exactly(file, 0, &mut sector).err();
    }
    match refused {
        Some(error) if error.kind() != io::ErrorKind::UnexpectedEof => Err(error),
        _ => Ok(0),
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
