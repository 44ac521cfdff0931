//! What files as a whole show, also those of which no row could be read.

use super::{EXPORT_EMPTY, EXPORT_ZERO_FILLED, NO_EXPORT};
use crate::export::model::Export;
use crate::finding::{COPY_FIRST, Finding, Place, Severity};
use crate::stick::findings::WRITE_PROTECTED;

/// No export on any source.
#[must_use]
pub fn no_export(source: &str, files_seen: usize) -> Finding {
    Finding::new(&NO_EXPORT, Severity::Fault, "No export was found")
        .detail("None of the files numbers weighings and states their weights, so there is nothing to add up.")
        .evidence("files looked into", files_seen)
        .at(Place::source(source))
        .next_step(
            "Check that this is the stick of the sale. \"counterfoil examine\" says whether the indicator could write to it.",
        )
}

/// A file without a byte.
#[must_use]
pub fn no_bytes(source: &str, volume: Option<usize>, path: &str) -> Finding {
    Finding::new(&EXPORT_EMPTY, Severity::Caution, format!("{path} holds 0 bytes"))
        .detail("Its name stands on the stick, but no row of it does. If it was an export, its rows never reached the stick.")
        .evidence("size in bytes", 0)
        .at(Place { volume, ..Place::source(source) })
        .next_step("Check the paper for tickets of that time.")
}

/// A file that begins with zero bytes instead of a header.
#[must_use]
pub fn no_header(source: &str, volume: Option<usize>, path: &str, size_bytes: u64) -> Finding {
    Finding::new(&EXPORT_ZERO_FILLED, Severity::Fault, format!("{path} begins with zero bytes instead of a header"))
        .detail("What may have been an export cannot be read as one: without its header no column can be told from another.")
        .evidence("size in bytes", size_bytes)
        .at(Place { volume, ..Place::source(source) })
        .next_step("Take the weighings of that time from their paper tickets.")
        .before_you_act(COPY_FIRST)
}

/// An export that is marked as not to be written.
#[must_use]
pub fn read_only(export: &Export) -> Finding {
    let name = export.name();
    Finding::new(&WRITE_PROTECTED, Severity::Caution, format!("{name} is marked as not to be written"))
        .detail("An indicator cannot add rows to it. Weighings since it was marked may be missing from it.")
        .evidence("mark in its folder", "read-only")
        .at(Place { volume: export.volume, export: Some(export.id.clone()), ..Place::source(&export.source) })
        .next_step(
            "Compare the last transaction number in it with the last ticket. Use a fresh stick for the next sale.",
        )
}
