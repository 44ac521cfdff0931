//! Whether a place to write to lies on the stick that is read: the stick is never written to.

use std::fs;
use std::path::{Component, Path, PathBuf};

use super::drives::{Drive, Drives};
use super::mounted::drives;
use super::named::{Named, block_device_of, is_whole_drive_of_windows};
use super::open::SourceKind;

/// Whether `target`, which need not exist yet, lies on the stick behind a source.
///
/// It does if it lies in the folder named as source. It also does if both stand on one file system that is none of
/// `own`, places known to be of this computer itself: whoever names a folder or file of a mounted stick as source and
/// another place on it as target means the same stick. Beside a file that was copied to this computer people may write.
/// Of a device, every volume that stands on it counts. An image or packet is itself a copy; what lies beside it is not on
/// the stick.
#[must_use]
pub fn lies_on_stick(target: &Path, source: &Path, kind: SourceKind, own: &[PathBuf]) -> bool {
    let named = Named::here(source);
    let source = named.path();
    match kind {
        SourceKind::Image | SourceKind::Packet => false,
        SourceKind::Device => lies_on_device(target, source, &drives()),
        // Nothing but the file itself lies inside a file.
        SourceKind::Folder | SourceKind::File => lies_beside(target, source, own),
        SourceKind::Mounted => lies_beside(target, source, own) || on_same_drive(target, source, &drives()),
    }
}

fn lies_beside(target: &Path, source: &Path, own: &[PathBuf]) -> bool {
    let (target, source) = (resolved(target), resolved(source));
    target.starts_with(&source) || on_same_stick(&target, &source, own)
}

/// Whether `target` lies on a volume that stands on `device`, be that the device itself or one of its parts.
#[must_use]
pub fn lies_on_device(target: &Path, device: &Path, drives: &Drives) -> bool {
    let target = resolved(target);
    let device = block_device_of(&fs::canonicalize(device).unwrap_or_else(|_| device.to_owned()));
    let holds = |drive: &Drive| drive.mounted_at.as_deref().is_some_and(|at| stands_in(&target, at));
    same_device(&target, &device)
        || drives.parts_of(&device).any(|part| same_device(&target, part))
        || drives.mounted_on(&device).any(holds)
        // Which letters stand on a numbered drive is not told: any that can be taken out may.
        || (is_whole_drive_of_windows(&device) && drives.list().iter().any(|drive| drive.removable && holds(drive)))
}

/// Whether `target` lies on another volume of the removable drive whose top folder is the source.
fn on_same_drive(target: &Path, source: &Path, drives: &Drives) -> bool {
    let drive = drives.mounted_at(&resolved(source)).filter(|drive| drive.removable);
    drive.and_then(|drive| drive.disk.as_deref()).is_some_and(|disk| lies_on_device(target, disk, drives))
}

/// Whether a place stands on the volume whose files are seen in the folder `mounted_at`.
#[cfg(unix)]
fn stands_in(target: &Path, mounted_at: &Path) -> bool {
    file_system(mounted_at).is_some_and(|volume| file_system(target) == Some(volume))
}

/// The same by the beginning of its full path.
#[cfg(not(unix))]
fn stands_in(target: &Path, mounted_at: &Path) -> bool {
    resolved(target).starts_with(resolved(mounted_at))
}

fn on_same_stick(target: &Path, source: &Path, own: &[PathBuf]) -> bool {
    let Some(stick) = file_system(source) else { return false };
    let own_systems = own.iter().filter_map(|place| file_system(place));
    file_system(target).as_ref() == Some(&stick) && own_systems.into_iter().all(|system| system != stick)
}

/// The path without links and `..`, also where its end does not exist yet: writing makes the folders that are missing,
/// so that each `..` then leads back out of the one before it.
fn resolved(path: &Path) -> PathBuf {
    let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let mut so_far = PathBuf::new();
    for part in absolute.components() {
        match part {
            Component::ParentDir => {
                so_far.pop();
            }
            Component::CurDir => {}
            Component::Normal(_) | Component::Prefix(_) | Component::RootDir => {
                so_far.push(part);
                so_far = fs::canonicalize(&so_far).unwrap_or(so_far);
            }
        }
    }
    so_far
}

/// What tells one file system from another: that of the deepest part of the path which is there.
#[cfg(unix)]
fn file_system(path: &Path) -> Option<u64> {
    use std::os::unix::fs::MetadataExt;
    path.ancestors().find_map(|part| fs::metadata(part).ok()).map(|about| about.dev())
}

/// What tells one drive from another: the letter or share that its full path begins with.
#[cfg(not(unix))]
fn file_system(path: &Path) -> Option<PathBuf> {
    let there = path.ancestors().find_map(|part| fs::canonicalize(part).ok())?;
    there.ancestors().last().map(Path::to_owned)
}

/// Whether the target stands on the volume which is this very device.
#[cfg(unix)]
fn same_device(target: &Path, device: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(device).is_ok_and(|about| file_system(target) == Some(about.rdev()))
}

#[cfg(not(unix))]
fn same_device(_target: &Path, _device: &Path) -> bool {
    false
}
