//! The files of a folder or mounted drive.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use chrono::{DateTime, Local, NaiveDateTime};

use super::bytes::{ByteSource, ReadFault};
use super::error::OpenError;
use super::file_bytes::FileBytes;
use super::sparse::SparseBytes;

/// How many folders deep a tree is walked.
pub const MAX_DEPTH: usize = 32;

/// How many files of a tree are listed.
pub const MAX_FILES: usize = 65_536;

/// How many unreadable places are remembered one by one.
const MAX_UNREADABLE: usize = 1_000;

/// A folder's files, sorted by path, so that two runs over the same folder agree.
#[derive(Debug, Default)]
pub struct FileTree {
    /// The files.
    pub files: Vec<LooseFile>,
    /// What could not be listed or read, or was passed over, and why.
    pub unreadable: Vec<Unreadable>,
}

/// A place in a folder that was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// The path from the folder's root, `/` between.
    pub path: String,
    /// Why it was not read.
    pub why: String,
}

/// One file of a folder.
#[derive(Debug)]
pub struct LooseFile {
    /// The path from the folder's root, `/` between.
    pub path: String,
    /// The size in bytes when it was listed.
    pub size_bytes: u64,
    /// When it was last written, on this computer's clock and in its time zone; a FAT stick states local times.
    pub modified: Option<NaiveDateTime>,
    content: Content,
}

#[derive(Debug)]
enum Content {
    OnDisk(PathBuf),
    InMemory(Arc<SparseBytes>),
}

/// Unpacked bytes shared by whoever reads the file.
struct Shared(Arc<SparseBytes>);

impl ByteSource for Shared {
    fn size(&self) -> u64 {
        self.0.size()
    }

    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault> {
        self.0.read_at(at, buffer)
    }
}

impl LooseFile {
    /// Opens its bytes for reading; nothing is read before.
    ///
    /// # Errors
    /// [`OpenError`] when the system refuses.
    pub fn open(&self) -> Result<Box<dyn ByteSource>, OpenError> {
        match &self.content {
            Content::OnDisk(path) => Ok(Box::new(FileBytes::open(path)?)),
            Content::InMemory(bytes) => Ok(Box::new(Shared(Arc::clone(bytes)))),
        }
    }

    /// A file that stands on this computer.
    pub(super) fn on_disk(path: String, at: &Path, about: &fs::Metadata) -> Self {
        let modified = about.modified().ok().and_then(local_time);
        Self { path, size_bytes: about.len(), modified, content: Content::OnDisk(at.to_owned()) }
    }

    /// A file that was unpacked; its time of writing is not known.
    pub(super) fn in_memory(path: String, bytes: SparseBytes) -> Self {
        let size_bytes = bytes.size();
        Self { path, size_bytes, modified: None, content: Content::InMemory(Arc::new(bytes)) }
    }
}

impl FileTree {
    /// A tree of one file.
    pub(super) fn of(file: LooseFile) -> Self {
        Self { files: vec![file], unreadable: Vec::new() }
    }

    /// Lists the files below `root`: at most [`MAX_FILES`], at most [`MAX_DEPTH`] folders deep, links not followed.
    ///
    /// # Errors
    /// [`OpenError`] when the folder itself cannot be listed.
    pub fn walk(root: &Path) -> Result<Self, OpenError> {
        let mut tree = Self::default();
        let first = list(root).map_err(|error| OpenError::from_io(root, &error))?;
        tree.add_folder("", 0, first);
        tree.files.sort_by(|a, b| a.path.cmp(&b.path));
        Ok(tree)
    }

    fn add_folder(&mut self, prefix: &str, depth: usize, entries: Vec<PathBuf>) {
        for at in entries {
            let name = at.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            let path = if prefix.is_empty() { name } else { format!("{prefix}/{name}") };
            self.add_entry(path, &at, depth);
        }
    }

    fn add_entry(&mut self, path: String, at: &Path, depth: usize) {
        let about = match fs::symlink_metadata(at) {
            Ok(about) => about,
            Err(error) => return self.pass_over(path, error.to_string()),
        };
        if about.is_dir() && depth + 1 >= MAX_DEPTH {
            self.pass_over(path, format!("more than {MAX_DEPTH} folders deep"));
        } else if about.is_dir() {
            match list(at) {
                Ok(entries) => self.add_folder(&path, depth + 1, entries),
                Err(error) => self.pass_over(path, error.to_string()),
            }
        } else if !about.is_file() {
            let why = if about.is_symlink() { "a link, which is not followed" } else { "not an ordinary file" };
            self.pass_over(path, why.to_owned());
        } else if self.files.len() >= MAX_FILES {
            self.pass_over(path, format!("more than {MAX_FILES} files"));
        } else {
            self.files.push(LooseFile::on_disk(path, at, &about));
        }
    }

    fn pass_over(&mut self, path: String, why: String) {
        if self.unreadable.len() < MAX_UNREADABLE {
            self.unreadable.push(Unreadable { path, why });
        }
    }
}

/// The entries of one folder, sorted.
fn list(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut entries =
        fs::read_dir(folder)?.map(|entry| entry.map(|entry| entry.path())).collect::<Result<Vec<_>, _>>()?;
    entries.sort();
    Ok(entries)
}

fn local_time(time: SystemTime) -> Option<NaiveDateTime> {
    let since = time.duration_since(UNIX_EPOCH).ok()?;
    let at = DateTime::from_timestamp(i64::try_from(since.as_secs()).ok()?, 0)?;
    Some(at.with_timezone(&Local).naive_local())
}
