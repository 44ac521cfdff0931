//! Puts files into a folder, each whole or not at all, and never over another content.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::prepare::OutputFile;

/// Names tried for a file that is kept beside before giving up.
const MOST_KEPT: u32 = 9_999;

/// Why a file could not be written. Files named before it are written, files after it are not.
#[derive(Debug, Error)]
pub enum WriteError {
    /// The target folder cannot be made.
    #[error("the folder {} could not be made: {source}", folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A file that stands there already cannot be read or kept beside.
    #[error("{} stands there already and could not be kept beside: {source}", path.display())]
    Keep {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The new file cannot be written.
    #[error("{} could not be written: {source}", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

/// What became of one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Where it stands.
    pub path: PathBuf,
    /// Whether it stood there already with the very same content and was left alone.
    pub unchanged: bool,
    /// Where the file that stood there with another content was kept.
    pub kept: Option<PathBuf>,
}

/// Writes files into a folder, which is made if it is not there. Each appears whole or not at all, by rename.
///
/// A file of the same name with other content is kept beside (`ledger-drafts.kept-1.csv`); one with the same content
/// is left alone.
///
/// # Errors
/// A [`WriteError`] naming the folder or file: no right to write there, no room left, or something that is no file has
/// the name.
pub fn write_files(folder: &Path, files: &[OutputFile]) -> Result<Vec<Written>, WriteError> {
    fs::create_dir_all(folder).map_err(|source| WriteError::Folder { folder: folder.to_owned(), source })?;
    files.iter().map(|file| write_one(folder, file)).collect()
}

fn write_one(folder: &Path, file: &OutputFile) -> Result<Written, WriteError> {
    let path = folder.join(&file.name);
    let standing = standing(&path, &file.bytes).map_err(|source| WriteError::Keep { path: path.clone(), source })?;
    if standing == Standing::Same {
        return Ok(Written { path, unchanged: true, kept: None });
    }
    let whole = whole_beside(folder, &file.bytes).map_err(|source| WriteError::Write { path: path.clone(), source })?;
    let kept = match standing {
        Standing::Other => Some(keep_beside(&path).map_err(|source| WriteError::Keep { path: path.clone(), source })?),
        Standing::Same | Standing::Nothing => None,
    };
    match named(whole, &path) {
        Ok(()) => Ok(Written { path, unchanged: false, kept }),
        Err(source) => {
            let put_back = kept.map(|kept| fs::rename(kept, &path));
            Err(WriteError::Write { path, source: put_back.and_then(Result::err).unwrap_or(source) })
        }
    }
}

/// Gives the finished content its name, over nothing that came there meanwhile. Some file systems cannot rename without
/// overwriting; there an ordinary rename serves.
fn named(whole: tempfile::NamedTempFile, path: &Path) -> io::Result<()> {
    match whole.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(failed) if failed.error.kind() == io::ErrorKind::AlreadyExists => Err(failed.error),
        Err(failed) => failed.file.persist(path).map(drop).map_err(|failed| failed.error),
    }
}

#[derive(PartialEq, Eq)]
enum Standing {
    Nothing,
    Same,
    Other,
}

/// What stands at the path, compared with the new content; the size first, so that a large stranger is not read.
fn standing(path: &Path, bytes: &[u8]) -> io::Result<Standing> {
    match fs::symlink_metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Standing::Nothing),
        Err(error) => Err(error),
        Ok(about) if about.is_dir() => Err(io::Error::other("a folder has this name")),
        Ok(about) if about.is_file() && about.len() == bytes.len() as u64 && fs::read(path)? == bytes => {
            Ok(Standing::Same)
        }
        Ok(_) => Ok(Standing::Other),
    }
}

/// The content in a nameless neighbour, on the disk before its name is given: a full disk leaves nothing behind.
fn whole_beside(folder: &Path, bytes: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let mut file = tempfile::Builder::new().prefix(".counterfoil-").suffix(".part").tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    open_to_readers(file.as_file())?;
    Ok(file)
}

/// Gives the rights of an ordinary new document; a temporary file is made for its maker's eyes alone.
#[cfg(unix)]
fn open_to_readers(file: &fs::File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn open_to_readers(_file: &fs::File) -> io::Result<()> {
    Ok(())
}

/// Gives the file that stands there the first free name of its own and says which.
fn keep_beside(path: &Path) -> io::Result<PathBuf> {
    for number in 1..=MOST_KEPT {
        let kept = kept_name(path, number);
        match move_to_free_name(path, &kept) {
            Ok(()) => return Ok(kept),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other("too many older ones are kept already"))
}

fn move_to_free_name(path: &Path, kept: &Path) -> io::Result<()> {
    if fs::symlink_metadata(kept).is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    fs::rename(path, kept)
}

fn kept_name(path: &Path, number: u32) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
    path.with_file_name(format!("{stem}.kept-{number}{ending}"))
}
