//! Goes through the files of every source and reads the exports among them.

use sha2::{Digest, Sha256};

use super::model::SourceState;
use crate::export::{self, DateHints, Export};
use crate::finding::{Finding, NotChecked};
use crate::stick::{ByteSource, Medium};
use crate::volume::{FileState, StoredFile};

/// A larger file is not read as an export: a year of a busy yard is a few megabytes. In bytes (1 GiB).
const LARGEST_EXPORT: u64 = 1 << 30;

/// The exports of all sources, and what they show.
#[derive(Debug, Default)]
pub struct Exports {
    /// In the order of the sources and of the files on them.
    pub exports: Vec<Export>,
    /// What they show by themselves.
    pub findings: Vec<Finding>,
    /// Files that were not looked into, and why.
    pub not_checked: Vec<NotChecked>,
    /// How many files were looked into.
    pub files_seen: usize,
}

/// What must not be taken for an export, and what helps to read one.
#[derive(Debug, Clone, Default)]
pub struct Reading {
    /// What is known about dates.
    pub hints: DateHints,
    /// SHA-256 of files named by options: the ticket list is no export.
    pub not_exports: Vec<String>,
}

/// A file and where it stands.
struct Candidate<'a> {
    source: &'a str,
    volume: Option<usize>,
    file: &'a StoredFile,
    medium: &'a Medium,
}

/// Reads the exports of all sources.
#[must_use]
pub fn read_exports(sources: &[(SourceState, &Medium)], reading: &Reading) -> Exports {
    let mut out = Exports::default();
    for (source, medium) in sources {
        let raw = matches!(medium, Medium::Raw(_));
        for volume in &source.survey.volumes {
            for file in &volume.files {
                let candidate = Candidate { source: &source.id, volume: raw.then_some(volume.index), file, medium };
                out.look_into(&candidate, reading);
            }
        }
    }
    out
}

impl Exports {
    fn look_into(&mut self, candidate: &Candidate<'_>, reading: &Reading) {
        let path = candidate.file.path.as_deref();
        if path.is_some_and(export::is_system_file) || candidate.file.bytes_had() == 0 {
            return;
        }
        self.files_seen += 1;
        match read_file(candidate, reading) {
            Ok(Some((export, dates_uncertain))) => self.add(export, dates_uncertain),
            Ok(None) => {}
            Err(why) => {
                let name = path.unwrap_or("nameless data");
                self.not_checked.push(NotChecked::new(format!("the file {name}"), why));
            }
        }
    }

    fn add(&mut self, mut export: Export, dates_uncertain: bool) {
        export.id = format!("e{}", self.exports.len() + 1);
        self.findings.extend(export::findings::of_export(&export, dates_uncertain));
        self.exports.push(export);
    }
}

/// Reads a file; `None` where it is no export.
fn read_file(candidate: &Candidate<'_>, reading: &Reading) -> Result<Option<(Export, bool)>, String> {
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
    let whole = read_from_start(bytes.as_ref(), LARGEST_EXPORT)?;
    let sha256 = hex(&Sha256::digest(&whole));
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

/// Bytes in hexadecimal.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
