//! What an ordinary computer shows of a volume. It trusts what it finds, so damage stays hidden from whoever looks.
//!
//! The crate `fatfs` stands for such a computer: a broken chain gives it a short file without an error, a looped chain
//! the same bytes again, and it never looks at the second table. It panics on cluster numbers the volume does not have,
//! so it is only let near volumes of which our own walk found that none is named.

use std::io::{self, Read, Seek, SeekFrom, Write};

use fatfs::{Dir, FileSystem, FsOptions};

use super::stored::FileState;
use super::survey::Volume;
use crate::finding::NotChecked;
use crate::stick::ByteSource;
use crate::units::Checksum;

/// The most content that is read this way, in bytes: 64 MiB, many times the exports of any season.
pub const ORDINARY_LIMIT_BYTES: u64 = 64 << 20;

/// A file as an ordinary computer shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrdinaryFile {
    /// The path from the volume's root, `/` between.
    pub path: String,
    /// The size it shows, in bytes.
    pub size_bytes: u64,
    /// The bytes it could read.
    pub bytes_read: u64,
    /// SHA-256 of the bytes it read.
    pub sha256: String,
}

/// What an ordinary computer shows of `volume`, which was surveyed on `source`.
///
/// # Errors
/// Why it was not asked, or could not open the volume.
pub fn ordinary_view(source: &dyn ByteSource, volume: &Volume) -> Result<Vec<OrdinaryFile>, NotChecked> {
    let refused =
        |why: String| NotChecked::new(format!("what an ordinary computer shows of volume {}", volume.index), why);
    if let Some(why) = refusal(volume) {
        return Err(refused(why));
    }
    let disk = ReadOnly { source, offset: volume.offset_bytes.unwrap_or(0), at: 0 };
    let opened = FileSystem::new(disk, FsOptions::new()).map_err(|error| refused(error.to_string()))?;
    let mut files = Vec::new();
    add_folder(&opened.root_dir(), "", 0, &mut files);
    Ok(files)
}

fn refusal(volume: &Volume) -> Option<String> {
    let live = volume.files.iter().filter(|file| file.state == FileState::Live);
    let content = live.map(|file| file.size_bytes).fold(0, u64::saturating_add);
    if !volume.file_system.is_fat() {
        Some(format!("its format is {}", volume.file_system))
    } else if let Some(why) = volume.not_for_ordinary {
        Some(format!("{why}, on which such a reader may fail"))
    } else if content > ORDINARY_LIMIT_BYTES {
        Some(format!("its files hold {content} bytes, more than the {ORDINARY_LIMIT_BYTES} that are compared"))
    } else {
        None
    }
}

/// How many entries are looked at; our own walk lists no more.
const MAX_ENTRIES: usize = 131_072;

/// How deep folders are entered, as by our own walk.
const MAX_DEPTH: usize = 64;

/// Our own walk entered each of these folders once and found its chain sound; the bounds stand against what the crate
/// may see differently.
fn add_folder(folder: &Dir<'_, ReadOnly<'_>>, prefix: &str, depth: usize, files: &mut Vec<OrdinaryFile>) {
    for entry in folder.iter().filter_map(Result::ok).take(MAX_ENTRIES.saturating_sub(files.len())) {
        // By the stored name: a damaged long name before these two would lead round in a circle.
        if matches!(entry.short_file_name_as_bytes(), b"." | b"..") {
            continue;
        }
        let name = entry.file_name();
        let path = if prefix.is_empty() { name } else { format!("{prefix}/{name}") };
        if !entry.is_dir() {
            let (bytes_read, sha256) = read_all(entry.to_file());
            files.push(OrdinaryFile { path, size_bytes: entry.len(), bytes_read, sha256 });
        } else if depth < MAX_DEPTH {
            add_folder(&entry.to_dir(), &path, depth + 1, files);
        }
    }
}

fn read_all(mut file: impl Read) -> (u64, String) {
    let mut hash = Checksum::default();
    let mut block = vec![0; 32 * 1024];
    let mut total = 0;
    while let Ok(length) = file.read(&mut block) {
        if length == 0 {
            break;
        }
        hash.add(block.get(..length).unwrap_or_default());
        total += length as u64;
    }
    (total, hash.finish())
}

/// The volume's bytes under the interface that `fatfs` asks for; every attempt to write fails.
struct ReadOnly<'a> {
    source: &'a dyn ByteSource,
    offset: u64,
    at: u64,
}

impl Read for ReadOnly<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let at = self.offset.saturating_add(self.at);
        let left = self.source.size().saturating_sub(at);
        let length = usize::try_from(left).unwrap_or(usize::MAX).min(buffer.len());
        let piece = buffer.get_mut(..length).unwrap_or_default();
        self.source.read_at(at, piece).map_err(io::Error::other)?;
        self.at = self.at.saturating_add(length as u64);
        Ok(length)
    }
}

impl Write for ReadOnly<'_> {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(io::Error::new(io::ErrorKind::PermissionDenied, "a stick is never written to"))
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for ReadOnly<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let moved = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
            SeekFrom::End(by) => self.source.size().saturating_sub(self.offset).checked_add_signed(by),
        };
        self.at = moved.ok_or_else(|| io::Error::from(io::ErrorKind::InvalidInput))?;
        Ok(self.at)
    }
}
