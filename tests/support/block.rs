//! Real block devices over images, and mounts of them, where this user may make them.

use std::path::Path;
use std::process::Command;

use super::judges::{present, run};

/// A block device over an image; it goes away with this value.
pub struct Loop(pub String);

impl Loop {
    /// `None`, with a word on the test's output, where the system refuses.
    pub fn of(image: &str) -> Option<Self> {
        Self::made(&["-f", "--show", image])
    }

    /// A block device to which nothing can be written.
    pub fn read_only(image: &str) -> Option<Self> {
        Self::made(&["-r", "-f", "--show", image])
    }

    fn made(arguments: &[&str]) -> Option<Self> {
        if !present("losetup") {
            return None;
        }
        let device = Command::new("losetup").args(arguments).output().ok().and_then(|made| {
            let device = String::from_utf8(made.stdout).ok()?.trim().to_owned();
            (made.status.success() && std::fs::File::open(&device).is_ok()).then_some(Self(device))
        });
        if device.is_none() {
            println!("not judged: losetup (no right to make a block device here)");
        }
        device
    }
}

impl Drop for Loop {
    fn drop(&mut self) {
        run("losetup", &["-d", &self.0]);
    }
}

/// A mounted volume; it is unmounted with this value.
pub struct Mount<'a>(&'a Path);

impl<'a> Mount<'a> {
    /// `None`, with a word on the test's output, where the system refuses.
    pub fn of(device: &Loop, at: &'a Path, options: &str) -> Option<Self> {
        if !present("mount") || !present("umount") {
            return None;
        }
        let done = Command::new("mount").args(["-t", "ext4", "-o", options, &device.0]).arg(at).output();
        if done.is_ok_and(|done| done.status.success()) {
            return Some(Self(at));
        }
        println!("not judged: mount (no right to mount a volume here)");
        None
    }
}

impl Drop for Mount<'_> {
    fn drop(&mut self) {
        run("umount", &[self.0.to_str().unwrap()]);
    }
}

/// An ext4 volume with these files in its top folder, made by a program that was not written here.
pub fn ext4_image(image: &Path, files: &[(&str, &str)]) -> bool {
    if !present("mkfs.ext4") {
        return false;
    }
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    std::fs::File::create(image).unwrap().set_len(8 << 20).unwrap();
    run("mkfs.ext4", &["-q", "-F", "-d", folder.path().to_str().unwrap(), image.to_str().unwrap()]);
    true
}
