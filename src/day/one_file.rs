//! How one export is laid out, and why it was read so.

use super::model::Day;
use super::run::{Wishes, examine};
use crate::export::{self, KnownLayout, LineEnd, Reason, RowSample, SAMPLE_BYTES};
use crate::stick::{Medium, Stick, read_leniently};

/// What is told of one file.
#[derive(Debug)]
pub struct LaidOut {
    /// The file, read as an export; it holds one export at most.
    pub day: Day,
    /// Its layout as it can be kept; `None` where it is no export.
    pub known: Option<KnownLayout>,
    /// Why it was read so.
    pub why: Vec<Reason>,
    /// What a file that is no export looks like, in words that follow "it looks like".
    pub looks_like: Option<String>,
}

/// Reads one file, opened as a source, and tells how it is laid out.
#[must_use]
pub fn lay_out(stick: Stick, wishes: &Wishes) -> LaidOut {
    let sample = beginning(&stick.medium);
    let day = examine(vec![stick], wishes);
    let Some(export) = day.exports.first() else {
        let looks_like = export::looks_like(&sample);
        return LaidOut { day, known: None, why: Vec::new(), looks_like };
    };
    let rows = RowSample::of(export);
    let known = export::observe(export, &rows, LineEnd::of(&sample));
    let why = export::reasons(export, &rows, &known);
    LaidOut { day, known: Some(known), why, looks_like: None }
}

/// The first bytes of the one file; nothing where it cannot be opened, which is told elsewhere.
fn beginning(medium: &Medium) -> Vec<u8> {
    let Medium::Files(tree) = medium else { return Vec::new() };
    let opened = tree.files.first().and_then(|file| file.open().ok());
    opened.map(|bytes| read_leniently(bytes.as_ref(), SAMPLE_BYTES).bytes).unwrap_or_default()
}
