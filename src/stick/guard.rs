//! Whether a place to write to lies on the stick that is read: the stick is never written to.

use std::fs;
use std::path::{Component, Path, PathBuf};

use super::open::SourceKind;

/// Whether `target`, which need not exist yet, lies on the stick behind a source.
///
/// It does if it lies in the folder named as source. It also does if both stand on one file system that is none of
/// `own`, places known to be of this computer itself: whoever names a folder or file of a mounted stick as source and
/// another place on it as target means the same stick. Beside a file that was copied to this computer people may write.
/// An image or packet is itself a copy; what lies beside it is not on the stick.
#[must_use]
pub fn lies_on_stick(target: &Path, source: &Path, kind: SourceKind, own: &[PathBuf]) -> bool {
    let target = resolved(target);
    match kind {
        SourceKind::Image | SourceKind::Packet => false,
        SourceKind::Device => same_device(&target, source),
        // Nothing but the file itself lies inside a file.
        SourceKind::Mounted | SourceKind::Folder | SourceKind::File => {
            let source = resolved(source);
            target.starts_with(&source) || on_same_stick(&target, &source, own)
        }
    }
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
