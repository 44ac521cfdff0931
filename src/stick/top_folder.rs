//! Opens the top folder of a mounted drive: raw where this user may, else its files alone.

use std::fs;
use std::path::Path;

use super::bytes::ByteSource;
use super::drives::{Drive, Drives};
use super::error::OpenError;
use super::findings::{raw_access_refused, write_protected};
use super::here::Here;
use super::open::{Medium, SourceKind, Stick};
use super::tree::FileTree;
use crate::finding::{NotChecked, Place};

/// The volume whose files are seen in `folder`, if all of it is.
pub(super) fn volume_behind<'a>(folder: &Path, drives: &'a Drives) -> Option<&'a Drive> {
    let folder = fs::canonicalize(folder).ok()?;
    let drive = drives.mounted_at(&folder).filter(|drive| drive.whole)?;
    let device = drive.device.as_deref()?;
    same_number(&folder, device).then_some(drive)
}

/// Whether the folder stands on this very device; what is mounted over a part of a drive, or out of several, does not.
#[cfg(unix)]
fn same_number(folder: &Path, device: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let on = fs::metadata(folder).map(|about| about.dev());
    let is = fs::metadata(device).map(|about| about.rdev());
    matches!((on, is), (Ok(on), Ok(is)) if on == is)
}

#[cfg(not(unix))]
fn same_number(_folder: &Path, _device: &Path) -> bool {
    true
}

/// Opens the top folder `folder` of the mounted volume `drive`. `raw` opens its device.
///
/// The format, damage and deleted files can only be read raw. Where this user may not, the files are read as the computer
/// shows them, and what was left undone is said.
///
/// # Errors
/// [`OpenError`] when the folder cannot be listed.
pub fn open_top_folder(
    folder: &Path,
    id: &str,
    drive: &Drive,
    raw: impl FnOnce(&Path) -> Result<Box<dyn ByteSource>, OpenError>,
) -> Result<Stick, OpenError> {
    let mut stick = Stick { kind: SourceKind::Mounted, here: Here::of_mount(drive), ..Stick::unread(folder, id) };
    let files = FileTree::walk(folder)?;
    let device = drive.device.clone().unwrap_or_default();
    if drive.read_only {
        stick.findings.push(write_protected(Place::source(id), &device));
    }
    match raw(&device) {
        Ok(bytes) => stick.hold_raw_with(bytes, |raw| Medium::Mounted { raw, files }),
        Err(error) => {
            let why = not_raw(&mut stick, &device, &error);
            stick.here.files_only = Some(why);
            stick.hold_files(files);
            Ok(stick)
        }
    }
}

/// Says why the device was not read; where a right is missing, how to run with it.
fn not_raw(stick: &mut Stick, device: &Path, error: &OpenError) -> String {
    let name = device.display();
    if let OpenError::DeviceRefused { reason, .. } = error {
        stick.findings.push(raw_access_refused(Place::source(&stick.id), device, reason));
        return format!("this user may not read its device {name} raw");
    }
    stick.not_checked.push(NotChecked::new(format!("the device {name}"), error.to_string()));
    format!("its device {name} could not be read")
}
