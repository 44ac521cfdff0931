//! Reads one file of a stick as an export, as far as its bytes can be had.

use std::ops::Range;

use crate::export::{self, DateHints, Export, KnownLayout};
use crate::finding::{Finding, NotChecked, Place};
use crate::stick::{LenientBytes, Medium, ReadFault, read_leniently};
use crate::volume::{FileState, StoredFile};

/// A larger file is not read as an export: a year of a busy yard is a few megabytes. In bytes (64 MiB).
const LARGEST_EXPORT: u64 = 64 << 20;

/// All exports together are read up to this size, in bytes (256 MiB): thousands of deleted entries may claim the same
/// bytes.
pub const ALL_EXPORTS: u64 = 256 << 20;

/// What must not be taken for an export, and what helps to read one.
#[derive(Debug, Clone, Default)]
pub struct Reading {
    /// What is known about dates.
    pub hints: DateHints,
    /// SHA-256 of files named by options: the ticket list is no export.
    pub not_exports: Vec<String>,
    /// Whether rows of deleted and lost data count.
    pub accept_recovered: bool,
    /// A layout that exports it fits are read by.
    pub layout: Option<KnownLayout>,
}

/// A file and where it stands.
pub struct Candidate<'a> {
    /// The source it lies on.
    pub source: &'a str,
    /// The volume of that source; `None` for folders and single files.
    pub volume: Option<usize>,
    /// The file.
    pub file: &'a StoredFile,
    /// Where its bytes are.
    pub medium: &'a Medium,
}

/// What became of a file.
#[derive(Debug, Default)]
pub struct FileRead {
    /// The export, still without its id.
    pub export: Option<Export>,
    /// A date as written, where no date of it can be read.
    pub unread_date: Option<String>,
    /// What of it differs from the layout that was given, where that does not fit.
    pub misfit: Option<String>,
    /// What of it could not be read, in places of the medium where those are known.
    pub faults: Vec<ReadFault>,
    /// What a file shows that is no export but may have been one.
    pub finding: Option<Finding>,
    /// What was not checked.
    pub not_checked: Option<NotChecked>,
}

impl Candidate<'_> {
    /// What people call it.
    #[must_use]
    pub fn name(&self) -> &str {
        self.file.path.as_deref().unwrap_or("nameless data")
    }

    /// Whether it stands on the stick, rather than being deleted or lost.
    #[must_use]
    pub fn is_live(&self) -> bool {
        export::effective_state(self.file.path.as_deref(), self.file.state) == FileState::Live
    }

    /// Reads it. `left` is how many bytes of exports may still be read.
    #[must_use]
    pub fn read(&self, reading: &Reading, left: &mut u64) -> FileRead {
        self.try_read(reading, left).unwrap_or_else(|why| self.unchecked(why))
    }

    fn unchecked(&self, why: String) -> FileRead {
        let not_checked = Some(NotChecked::new(format!("the file {}", self.name()), why));
        FileRead { not_checked, ..FileRead::default() }
    }

    fn try_read(&self, reading: &Reading, left: &mut u64) -> Result<FileRead, String> {
        let bytes = self.file.open(self.medium).map_err(|error| error.to_string())?;
        let sample = read_leniently(bytes.as_ref(), export::SAMPLE_BYTES);
        if !export::fits(&sample.bytes, reading.layout.as_ref()) {
            return self.no_export(&sample);
        }
        let size = bytes.size();
        if size > LARGEST_EXPORT {
            return Err(format!("it has {size} bytes, more than an export is read up to ({LARGEST_EXPORT})"));
        }
        *left = left.checked_sub(size).ok_or("the exports before it are too large together to read more")?;
        let whole = if size <= export::SAMPLE_BYTES { sample } else { read_leniently(bytes.as_ref(), size) };
        Ok(self.as_export(&whole, reading))
    }

    /// A file that reads as no export is passed over, unless it may have been one.
    fn no_export(&self, sample: &LenientBytes) -> Result<FileRead, String> {
        if let Some(fault) = sample.faults.first() {
            return Err(format!("its beginning could not be read ({}), so it is not known what it is", fault.reason));
        }
        let zeros = self.is_live() && export::zeros_at_head(&sample.bytes, self.file.path.as_deref());
        let finding =
            zeros.then(|| export::findings::no_header(self.source, self.volume, self.name(), self.file.size_bytes));
        Ok(FileRead { finding, ..FileRead::default() })
    }

    fn as_export(&self, whole: &LenientBytes, reading: &Reading) -> FileRead {
        let file = self.file;
        let sha256 = crate::units::sha256(&whole.bytes);
        if reading.not_exports.contains(&sha256) {
            return FileRead::default();
        }
        let mut hints = reading.hints.clone();
        hints.near.extend(file.modified.map(|modified| modified.date()));
        let unreadable: Vec<Range<u64>> =
            whole.faults.iter().map(|fault| fault.at..fault.at.saturating_add(fault.length)).collect();
        let medium_offset = |byte| file.medium_offset(byte);
        let content =
            export::FileContent { bytes: &whole.bytes, unreadable: &unreadable, medium_offset: &medium_offset };
        let Some(content) = export::read_known(content, &hints, reading.layout.as_ref()) else {
            return FileRead::default();
        };
        let (unread_date, misfit) = (content.unread_date.clone(), content.misfit.clone());
        let export = self.export(content, sha256);
        // A deleted entry whose bytes hold no weighing any more shows nothing.
        let of_use = export.state == FileState::Live || export.counts.drafts > 0;
        FileRead {
            export: of_use.then_some(export),
            unread_date,
            misfit,
            faults: whole.faults.iter().map(|fault| self.on_medium(fault)).collect(),
            ..FileRead::default()
        }
    }

    fn export(&self, content: export::Content, sha256: String) -> Export {
        let file = self.file;
        Export {
            id: String::new(),
            source: self.source.to_owned(),
            volume: self.volume,
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
        }
    }

    fn on_medium(&self, fault: &ReadFault) -> ReadFault {
        ReadFault { at: self.file.medium_offset(fault.at).unwrap_or(fault.at), ..fault.clone() }
    }
}

/// Where an export is.
#[must_use]
pub fn place(export: &Export) -> Place {
    Place { volume: export.volume, export: Some(export.id.clone()), ..Place::source(&export.source) }
}
