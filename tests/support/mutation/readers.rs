//! Readers under test: each is given a damaged medium and tells what it delivers.

use std::io::{self, Read, Seek, SeekFrom, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use counterfoil::finding::Severity;
use counterfoil::stick::{ByteSource, ReadFault};
use counterfoil::volume::{FileState, survey};
use fatfs::{Dir, FileSystem, FsOptions};

use super::super::judges;
use super::super::memory::{Patched, read_all};

/// A reader may ask for this many times the bytes of the medium, and as many again for a very short one.
pub const MOST_READ_TIMES: u64 = 4;
const SHORT_MEDIUM: u64 = 4 << 20;

/// A file a reader handed over as there.
#[derive(Debug, Clone)]
pub struct File {
    pub path: String,
    pub bytes: Vec<u8>,
    /// Whether the reader holds that nothing of it is missing.
    pub whole: bool,
}

/// What a reader delivered.
#[derive(Debug, Clone, Default)]
pub struct Delivered {
    pub files: Vec<File>,
    /// How often it said that something is wrong.
    pub findings: usize,
    /// The bytes it asked for; 0 where that cannot be seen.
    pub asked_for: u64,
    /// Why it did not come to an end of its own.
    pub stopped: Option<String>,
}

fn limit(size: u64) -> u64 {
    MOST_READ_TIMES * (size + SHORT_MEDIUM)
}

/// A medium that stops whoever asks for too much of it: a reader that runs in circles comes to an end here.
struct Watched<'a> {
    medium: &'a Patched<'a>,
}

impl ByteSource for Watched<'_> {
    fn size(&self) -> u64 {
        self.medium.size()
    }

    fn read_at(&self, at: u64, buffer: &mut [u8]) -> Result<(), ReadFault> {
        assert!(self.medium.asked_for() < limit(self.medium.size()), "asked for too much");
        let beyond = at.checked_add(buffer.len() as u64).is_none();
        if beyond {
            return Err(ReadFault { at, length: buffer.len() as u64, reason: "beyond the end".to_owned() });
        }
        self.medium.read_at(at, buffer)
    }
}

/// This project's own reader.
pub fn counterfoil(medium: &Patched<'_>) -> Delivered {
    guarded(medium, || {
        let watched = Watched { medium };
        let survey = survey(&watched, "stick");
        let mut files = Vec::new();
        for file in survey.volumes.iter().flat_map(|volume| &volume.files) {
            let (Some(path), FileState::Live) = (&file.path, file.state) else { continue };
            let content = file.over(&watched);
            assert!(content.size() <= medium.size(), "{path} is given out as larger than the medium");
            files.push(File { path: path.clone(), bytes: read_all(&content), whole: file.whole });
        }
        let findings = survey.findings.iter().filter(|finding| finding.severity > Severity::Note).count();
        Delivered { files, findings, ..Delivered::default() }
    })
}

fn guarded(medium: &Patched<'_>, read: impl FnOnce() -> Delivered) -> Delivered {
    let mut delivered = catch_unwind(AssertUnwindSafe(read)).unwrap_or_else(|cause| {
        let text = cause.downcast_ref::<String>().cloned();
        let text = text.or_else(|| cause.downcast_ref::<&str>().map(|text| (*text).to_owned()));
        Delivered { stopped: Some(text.unwrap_or_else(|| "panic".to_owned())), findings: 1, ..Delivered::default() }
    });
    delivered.asked_for = medium.asked_for();
    delivered
}

/// The crate `fatfs`, told where the volume begins; an error is its finding.
pub fn crate_fatfs(medium: &Patched<'_>, start: u64) -> Delivered {
    guarded(medium, || {
        let mut delivered = Delivered::default();
        let disk = Disk { medium, start, at: 0 };
        match FileSystem::new(disk, FsOptions::new()) {
            Ok(volume) => walk(&volume.root_dir(), "", 0, &mut delivered),
            Err(_) => delivered.findings += 1,
        }
        delivered
    })
}

/// No honest path here is deeper.
const DEEPEST: usize = 12;

fn walk(folder: &Dir<'_, Disk<'_>>, path: &str, depth: usize, delivered: &mut Delivered) {
    for entry in folder.iter() {
        let Ok(entry) = entry else {
            delivered.findings += 1;
            return;
        };
        let name = entry.file_name();
        let inside = if path.is_empty() { name.clone() } else { format!("{path}/{name}") };
        if entry.is_dir() {
            if name != "." && name != ".." && depth < DEEPEST {
                walk(&entry.to_dir(), &inside, depth + 1, delivered);
            }
            continue;
        }
        let mut bytes = Vec::new();
        let read = entry.to_file().read_to_end(&mut bytes);
        delivered.findings += usize::from(read.is_err());
        delivered.files.push(File { path: inside, bytes, whole: read.is_ok() });
    }
}

/// A medium as that crate wants it: with a place to read from, and a way to write that is never open.
struct Disk<'a> {
    medium: &'a Patched<'a>,
    start: u64,
    at: u64,
}

impl Read for Disk<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        assert!(self.medium.asked_for() < limit(self.medium.size()), "asked for too much");
        let at = self.start.saturating_add(self.at);
        let length = buffer.len().min(usize::try_from(self.medium.size().saturating_sub(at)).unwrap_or(usize::MAX));
        self.medium.read_at(at.min(self.medium.size()), &mut buffer[..length]).map_err(io::Error::other)?;
        self.at += length as u64;
        Ok(length)
    }
}

impl Write for Disk<'_> {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(io::ErrorKind::PermissionDenied.into())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for Disk<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let end = self.medium.size().saturating_sub(self.start);
        let at = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::End(by) => end.checked_add_signed(by),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
        };
        self.at = at.ok_or(io::ErrorKind::InvalidInput)?;
        Ok(self.at)
    }
}

/// A program that copies every file of an image into a folder: its arguments, with `IMAGE`, `START` and `FOLDER` in place of
/// the image, the byte the volume begins at, and the folder.
pub struct Outside {
    pub name: &'static str,
    arguments: &'static [&'static str],
    /// Whether the place of the volume is told in sectors.
    in_sectors: bool,
}

/// Programs that read FAT volumes and know nothing of this project.
pub const OUTSIDE: [Outside; 2] = [
    Outside { name: "mcopy", arguments: &["-s", "-n", "-i", "IMAGE@@START", "::/", "FOLDER"], in_sectors: false },
    Outside { name: "tsk_recover", arguments: &["-a", "-o", "START", "IMAGE", "FOLDER"], in_sectors: true },
];

impl Outside {
    /// What the program delivers of an image; a complaint, or an exit other than 0, is its finding.
    pub fn read(&self, image: &Path, start: u64) -> Delivered {
        let folder = tempfile::tempdir().unwrap();
        let start = if self.in_sectors { start / 512 } else { start };
        let filled = |argument: &&str| {
            let filled = argument.replace("IMAGE", image.to_str().unwrap()).replace("START", &start.to_string());
            filled.replace("FOLDER", folder.path().to_str().unwrap())
        };
        // A minute is plenty for a volume this small; some readers run in circles.
        let mut arguments = vec!["60".to_owned(), self.name.to_owned()];
        arguments.extend(self.arguments.iter().map(filled));
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let done = judges::ask("timeout", &arguments, &[]).unwrap();
        let mut delivered = Delivered::default();
        let copied = String::from_utf8_lossy(&done.stdout).starts_with("Files Recovered");
        delivered.findings =
            usize::from(!done.stderr.is_empty() || !done.status.success() || (!done.stdout.is_empty() && !copied));
        delivered.stopped = (done.status.code() == Some(124)).then(|| "took over a minute".to_owned());
        add_copied(folder.path(), "", &mut delivered);
        delivered
    }
}

fn add_copied(folder: &Path, path: &str, delivered: &mut Delivered) {
    for entry in std::fs::read_dir(folder).unwrap().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let inside = if path.is_empty() { name } else { format!("{path}/{name}") };
        if entry.path().is_dir() {
            add_copied(&entry.path(), &inside, delivered);
        } else {
            let bytes = std::fs::read(entry.path()).unwrap_or_default();
            delivered.files.push(File { path: inside, bytes, whole: true });
        }
    }
}
