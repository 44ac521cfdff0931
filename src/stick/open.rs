//! Opens what was named and tells what it is.

use std::fs;
use std::path::Path;

use serde::Serialize;

use super::bytes::{ByteSource, checksum};
use super::detect::is_raw_medium;
use super::error::OpenError;
use super::file_bytes::FileBytes;
use super::findings::{unpacked_in_part, unreadable_sectors, write_protected};
use super::here::Here;
use super::mounted::drives;
use super::named::{Named, block_device_of};
use super::top_folder::{open_top_folder, volume_behind};
use super::tree::{FileTree, LooseFile};
use super::unpack::{Packing, UnpackBounds, unpack};
use crate::finding::{Finding, NotChecked, Place};

/// Images and devices up to this size in bytes (1 GiB) get a checksum.
pub const HASH_LIMIT_BYTES: u64 = 1 << 30;

/// What a source is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SourceKind {
    /// A raw image of a stick or of one volume.
    Image,
    /// A device, read raw.
    Device,
    /// The top folder of a mounted drive.
    Mounted,
    /// A folder.
    Folder,
    /// One file.
    File,
    /// What travels to support.
    Packet,
}

/// An opened source.
pub struct Stick {
    /// Its name in the report.
    pub id: String,
    /// The path as given.
    pub path: String,
    /// What it is.
    pub kind: SourceKind,
    /// Its size in bytes, unpacked; of a folder, the sum of its files.
    pub size_bytes: u64,
    /// SHA-256 of the unpacked bytes, in lower-case hexadecimal; `None` for folders, for images above
    /// [`HASH_LIMIT_BYTES`] and where some bytes could not be read.
    pub sha256: Option<String>,
    /// Its content.
    pub medium: Medium,
    /// What this computer knows of it beside its bytes.
    pub here: Here,
    /// What opening it found.
    pub findings: Vec<Finding>,
    /// What was not looked at, and why.
    pub not_checked: Vec<NotChecked>,
}

/// The content of a source.
pub enum Medium {
    /// The bytes of a disk or volume.
    Raw(Box<dyn ByteSource>),
    /// The bytes of a mounted volume, and its files as this computer shows them.
    Mounted {
        /// The volume.
        raw: Box<dyn ByteSource>,
        /// Its files.
        files: FileTree,
    },
    /// Files without the volume they stand on.
    Files(FileTree),
}

impl std::fmt::Debug for Medium {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Raw(bytes) => write!(f, "Raw({} bytes)", bytes.size()),
            Self::Mounted { raw, files } => write!(f, "Mounted({} bytes, {} files)", raw.size(), files.files.len()),
            Self::Files(tree) => write!(f, "Files({})", tree.files.len()),
        }
    }
}

impl std::fmt::Debug for Stick {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Stick {{ {}, {:?}, {:?} }}", self.path, self.kind, self.medium)
    }
}

/// Opens `path` for reading, under the name `id`.
///
/// # Errors
/// [`OpenError`] when there is nothing that could be read.
pub fn open(path: &Path, id: &str) -> Result<Stick, OpenError> {
    open_within(path, id, UnpackBounds::default())
}

/// The same with other bounds on unpacking.
///
/// # Errors
/// [`OpenError`] when there is nothing that could be read.
pub fn open_within(path: &Path, id: &str, bounds: UnpackBounds) -> Result<Stick, OpenError> {
    let blank = Stick::unread(path, id);
    let named = Named::here(path);
    let path = named.path();
    if matches!(named, Named::Device(_)) {
        return open_device(blank, path);
    }
    let about = fs::metadata(path).map_err(|error| OpenError::from_io(path, &error))?;
    if about.is_dir() {
        open_folder(blank, path, id)
    } else if is_device(path, &about) {
        open_device(blank, path)
    } else if about.is_file() {
        open_file(blank, path, &about, bounds)
    } else {
        Err(OpenError::NotReadableKind { path: blank.path })
    }
}

impl Stick {
    /// A source of which nothing was read yet.
    pub(super) fn unread(path: &Path, id: &str) -> Self {
        Self {
            id: id.to_owned(),
            path: path.display().to_string(),
            kind: SourceKind::Folder,
            size_bytes: 0,
            sha256: None,
            medium: Medium::Files(FileTree::default()),
            here: Here::default(),
            findings: Vec::new(),
            not_checked: Vec::new(),
        }
    }

    /// Takes the files of a folder for its content.
    pub(super) fn hold_files(&mut self, tree: FileTree) {
        self.size_bytes = tree.files.iter().map(|file| file.size_bytes).fold(0, u64::saturating_add);
        self.not_checked.extend(tree.unreadable.iter().map(|place| NotChecked::new(&place.path, &place.why)));
        self.medium = Medium::Files(tree);
    }

    /// Takes the bytes of a disk or volume for its content, as `medium` holds them.
    pub(super) fn hold_raw_with(
        mut self,
        bytes: Box<dyn ByteSource>,
        medium: impl FnOnce(Box<dyn ByteSource>) -> Medium,
    ) -> Result<Self, OpenError> {
        self.size_bytes = bytes.size();
        if self.size_bytes == 0 {
            return Err(OpenError::Empty { path: self.path });
        }
        if self.size_bytes <= HASH_LIMIT_BYTES {
            add_hash(&mut self, bytes.as_ref());
        }
        self.medium = medium(bytes);
        Ok(self)
    }
}

fn open_folder(mut stick: Stick, path: &Path, id: &str) -> Result<Stick, OpenError> {
    if is_mount_point(path) {
        stick.kind = SourceKind::Mounted;
        if let Some(drive) = volume_behind(path, &drives()) {
            let named = stick.path;
            let raw = |device: &Path| Ok(Box::new(FileBytes::open_device(device)?) as Box<dyn ByteSource>);
            return Ok(Stick { path: named, ..open_top_folder(path, id, drive, raw)? });
        }
    }
    stick.hold_files(FileTree::walk(path)?);
    Ok(stick)
}

fn open_device(mut stick: Stick, path: &Path) -> Result<Stick, OpenError> {
    let bytes = FileBytes::open_device(path)?;
    let device = block_device_of(&fs::canonicalize(path).unwrap_or_else(|_| path.to_owned()));
    stick.kind = SourceKind::Device;
    stick.here = Here::of_device(&device, &drives());
    if stick.here.read_only {
        stick.findings.push(write_protected(Place::source(&stick.id), path));
    }
    hold_raw(stick, Box::new(bytes))
}

fn open_file(mut stick: Stick, path: &Path, about: &fs::Metadata, bounds: UnpackBounds) -> Result<Stick, OpenError> {
    let bytes = FileBytes::open(path)?;
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    if let Some(packing) = Packing::of(&head(&bytes)) {
        let unpacked = unpack(path, packing, bounds)?;
        if let Some(reason) = &unpacked.cut {
            stick.findings.push(unpacked_in_part(&stick.id, packing.word(), unpacked.bytes.size(), reason));
        }
        let inner = unpacked_name(&name);
        if is_raw_medium(&unpacked.bytes, inner) {
            stick.kind = SourceKind::Image;
            return hold_raw(stick, Box::new(unpacked.bytes));
        }
        return hold_file(stick, LooseFile::in_memory(inner.to_owned(), unpacked.bytes));
    }
    if is_raw_medium(&bytes, &name) {
        stick.kind = SourceKind::Image;
        return hold_raw(stick, Box::new(bytes));
    }
    hold_file(stick, LooseFile::on_disk(name, path, about))
}

fn hold_raw(stick: Stick, bytes: Box<dyn ByteSource>) -> Result<Stick, OpenError> {
    stick.hold_raw_with(bytes, Medium::Raw)
}

fn hold_file(mut stick: Stick, file: LooseFile) -> Result<Stick, OpenError> {
    stick.kind = SourceKind::File;
    stick.size_bytes = file.size_bytes;
    if file.size_bytes == 0 {
        return Err(OpenError::Empty { path: stick.path });
    }
    let bytes = file.open()?;
    add_hash(&mut stick, bytes.as_ref());
    stick.medium = Medium::Files(FileTree::of(file));
    Ok(stick)
}

fn add_hash(stick: &mut Stick, bytes: &dyn ByteSource) {
    match checksum(bytes) {
        Ok(sum) => stick.sha256 = Some(sum),
        Err(fault) => stick.findings.extend(unreadable_sectors(Place::source(&stick.id), &[fault])),
    }
}

fn head(bytes: &dyn ByteSource) -> [u8; 4] {
    let mut head = [0; 4];
    if bytes.read_at(0, &mut head).is_err() {
        return [0; 4];
    }
    head
}

/// The name without its `.gz` or `.zst`.
fn unpacked_name(name: &str) -> &str {
    for ending in [".gz", ".zst"] {
        let cut = name.len().saturating_sub(ending.len());
        if let (Some(stem), Some(tail)) = (name.get(..cut), name.get(cut..))
            && tail.eq_ignore_ascii_case(ending)
            && !stem.is_empty()
        {
            return stem;
        }
    }
    name
}

#[cfg(unix)]
fn is_device(path: &Path, about: &fs::Metadata) -> bool {
    use std::os::unix::fs::FileTypeExt;
    let kind = about.file_type();
    kind.is_block_device() || (kind.is_char_device() && super::named::is_raw_disk(path))
}

/// Windows tells devices by their names alone.
#[cfg(not(unix))]
fn is_device(_: &Path, _: &fs::Metadata) -> bool {
    false
}

/// A mounted drive's top folder stands on another device than the folder around it.
#[cfg(unix)]
fn is_mount_point(path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let device = |path: &Path| fs::metadata(path).map(|about| about.dev()).ok();
    device(path).is_some_and(|own| device(&path.join("..")).is_some_and(|around| around != own))
}

/// A drive's top folder has a name and nothing above it.
#[cfg(not(unix))]
fn is_mount_point(path: &Path) -> bool {
    fs::canonicalize(path).is_ok_and(|path| path.parent().is_none())
}
