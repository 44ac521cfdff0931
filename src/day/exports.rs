//! Goes through the files of every source and reads the exports among them.

use super::notes::Notes;
use super::sources::Source;
use crate::draft::{self, Weighings};
use crate::export::{self, DateHints, Export};
use crate::finding::NotChecked;
use crate::stick::{ByteSource, Medium};
use crate::volume::{FileState, StoredFile};

/// A larger file is not read as an export: a year of a busy yard is a few megabytes. In bytes (1 GiB).
const LARGEST_EXPORT: u64 = 1 << 30;

/// All exports together are read up to this size, in bytes (1 GiB): thousands of deleted entries may claim the same bytes.
const ALL_EXPORTS: u64 = 1 << 30;

/// The exports of all sources, and the rows in them.
#[derive(Debug, Default)]
pub struct Exports {
    /// In the order of the sources and of the files on them.
    pub exports: Vec<Export>,
    /// Their drafts and totals, each weighing once.
    pub weighings: Weighings,
}

/// What must not be taken for an export, and what helps to read one.
#[derive(Debug, Clone, Default)]
pub struct Reading {
    /// What is known about dates.
    pub hints: DateHints,
    /// SHA-256 of files named by options: the ticket list is no export.
    pub not_exports: Vec<String>,
    /// Whether rows of deleted and lost data count.
    pub accept_recovered: bool,
}

/// A file and where it stands.
struct Candidate<'a> {
    source: &'a str,
    volume: Option<usize>,
    file: &'a StoredFile,
    medium: &'a Medium,
}

/// Reads the exports of all sources, and tells what they show by themselves.
#[must_use]
pub fn read_exports(sources: &[Source], reading: &Reading, notes: &mut Notes) -> Exports {
    let mut exports: Vec<Export> = Vec::new();
    let candidates = candidates(sources);
    let mut left = ALL_EXPORTS;
    for candidate in &candidates {
        match read_file(candidate, reading, &mut left) {
            Ok(Some((export, dates_uncertain))) => {
                let export = Export { id: format!("e{}", exports.len() + 1), ..export };
                notes.findings.extend(export::findings::of_export(&export, dates_uncertain));
                exports.push(export);
            }
            Ok(None) => {}
            Err(why) => {
                let name = candidate.file.path.as_deref().unwrap_or("nameless data");
                notes.not_checked.push(NotChecked::new(format!("the file {name}"), why));
            }
        }
    }
    if let (true, Some(first)) = (exports.is_empty(), sources.first()) {
        notes.findings.push(export::findings::no_export(&first.state.id, candidates.len()));
    }
    let weighings = draft::collect(&exports, reading.accept_recovered);
    mark_copies(&mut exports, &weighings, notes);
    tell_deleted(&exports, &weighings, reading.accept_recovered, notes);
    Exports { exports, weighings }
}

/// Every file worth a look, with where it stands.
fn candidates(sources: &[Source]) -> Vec<Candidate<'_>> {
    let mut all = Vec::new();
    for source in sources {
        let raw = matches!(source.medium, Medium::Raw(_));
        for volume in &source.state.survey.volumes {
            let volume_index = raw.then_some(volume.index);
            let worth_a_look =
                |file: &&StoredFile| !file.path.as_deref().is_some_and(export::is_system_file) && file.bytes_had() > 0;
            all.extend(volume.files.iter().filter(worth_a_look).map(|file| Candidate {
                source: &source.state.id,
                volume: volume_index,
                file,
                medium: &source.medium,
            }));
        }
    }
    // What stands on the stick is read before what was deleted from it.
    all.sort_by_key(|candidate| candidate.file.state != FileState::Live);
    all
}

fn mark_copies(exports: &mut [Export], weighings: &Weighings, notes: &mut Notes) {
    for (copy, original) in &weighings.copies {
        let name = exports.iter().find(|export| export.id == *original).map(|export| export.name().to_owned());
        let Some(export) = exports.iter_mut().find(|export| export.id == *copy) else { continue };
        export.duplicate_of = Some(original.clone());
        // A deleted copy is told of once, as deleted.
        if export.state == FileState::Live {
            notes.findings.push(export::findings::duplicated(export, name.as_deref().unwrap_or(original)));
        }
    }
}

fn tell_deleted(exports: &[Export], weighings: &Weighings, accepted: bool, notes: &mut Notes) {
    for export in exports.iter().filter(|export| export.state != FileState::Live) {
        let only_here = weighings.only_in.get(&export.id).copied().unwrap_or(0);
        notes.findings.push(export::findings::deleted(export, only_here, accepted));
    }
}

/// Reads a file; `None` where it is no export. `left` is how many bytes of exports may still be read.
fn read_file(candidate: &Candidate<'_>, reading: &Reading, left: &mut u64) -> Result<Option<(Export, bool)>, String> {
    let file = candidate.file;
    let bytes = file.open(candidate.medium).map_err(|error| error.to_string())?;
    let sample = read_from_start(bytes.as_ref(), export::SAMPLE_BYTES)?;
    let worth_reading = export::may_be_text(&sample) && export::export_table(&export::Text::decode(&sample)).is_some();
    if !worth_reading {
        return Ok(None);
    }
    if bytes.size() > LARGEST_EXPORT {
        return Err(format!("it has {} bytes, more than an export is read up to ({LARGEST_EXPORT})", bytes.size()));
    }
    *left = left.checked_sub(bytes.size()).ok_or("the exports before it are too large together to read more")?;
    let whole = read_from_start(bytes.as_ref(), LARGEST_EXPORT)?;
    let sha256 = crate::units::sha256(&whole);
    if reading.not_exports.contains(&sha256) {
        return Ok(None);
    }
    let mut hints = reading.hints.clone();
    hints.near.extend(file.modified.map(|modified| modified.date()));
    let Some(content) = export::read_content(&whole, &hints, &|byte| file.medium_offset(byte)) else {
        return Ok(None);
    };
    let export = Export {
        id: String::new(),
        source: candidate.source.to_owned(),
        volume: candidate.volume,
        path: file.path.clone(),
        state: export::effective_state(file.path.as_deref(), file.state),
        duplicate_of: None,
        size_bytes: file.size_bytes,
        sha256,
        modified: file.modified,
        layout: content.layout,
        text: content.text,
        rows: content.rows,
        counts: content.counts,
    };
    // A deleted entry whose bytes hold no weighing any more shows nothing.
    let of_use = export.state == FileState::Live || export.counts.drafts > 0;
    Ok(of_use.then_some((export, content.dates_uncertain)))
}

fn read_from_start(bytes: &dyn ByteSource, most: u64) -> Result<Vec<u8>, String> {
    let length = usize::try_from(bytes.size().min(most)).map_err(|error| error.to_string())?;
    let mut buffer = vec![0; length];
    bytes.read_at(0, &mut buffer).map_err(|fault| fault.to_string())?;
    Ok(buffer)
}
