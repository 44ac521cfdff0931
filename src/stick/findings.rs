//! What opening and reading a stick can find.

use super::bytes::ReadFault;
use crate::finding::words::bytes;
use crate::finding::{Finding, Place, Severity, kinds};

kinds! {
    /// Parts of the stick could not be read.
    ///
    /// What it means: the computer asked the stick for bytes and got an error instead. Sticks wear out, and a bad
    /// contact does the same. What lies there is missing from everything said about this stick; rows may be among it.
    ///
    /// A stick may also bear marks of it: whoever wrote to it met such places and noted that, or marked pieces (clusters) as
    /// bad. Then everything may be readable today, but the stick is wearing out.
    ///
    /// How we know: the system's own answer, with the first byte concerned; or the marks in the file allocation table
    /// (Microsoft FAT Specification, 30 August 2005, "Reserved FAT Entries").
    ///
    /// What to do: try another port and another computer, and have a whole copy of the stick made. Write nothing more
    /// to this stick.
    UNREADABLE_SECTORS = "unreadable-sectors";

    /// The packed image or file ends early.
    ///
    /// What it means: the file was packed with gzip or zstd, and unpacking stopped before its end: it was cut short, is
    /// damaged, or holds more than is ever unpacked. What came out before is read as usual; what lies behind is not
    /// seen, so files and rows may be missing that are on the stick.
    ///
    /// How we know: the unpacker's own answer and the number of bytes that came out.
    ///
    /// What to do: get the file again from whoever packed it, and compare the sizes.
    ///
    /// Source: RFC 1952 (gzip) and RFC 8878 (zstd): both formats say where a packed file ends.
    UNPACKED_IN_PART = "unpacked-in-part";
}

/// Says where reading failed.
#[must_use]
pub fn unreadable_sectors(place: Place, faults: &[ReadFault]) -> Option<Finding> {
    let first = faults.first()?;
    let total: u64 = faults.iter().map(|fault| fault.length).fold(0, u64::saturating_add);
    let title = format!("{} of the stick could not be read", bytes(total));
    Some(
        Finding::new(&UNREADABLE_SECTORS, Severity::Fault, title)
            .detail(
                "The stick gave errors instead of its content. Whatever lies there is missing from what is said here, and rows may be among it.",
            )
            .evidence("unreadable places", faults.len())
            .evidence("first unreadable place", format!("byte {}, {}", first.at, bytes(first.length)))
            .evidence("what the computer said", &first.reason)
            .at(place)
            .next_step(
                "Try another USB port and another computer, then have a whole copy of the stick made. Write nothing more to this stick.",
            ),
    )
}

/// Says that unpacking ended early.
pub(super) fn unpacked_in_part(source: &str, packing: &str, size_bytes: u64, reason: &str) -> Finding {
    Finding::new(&UNPACKED_IN_PART, Severity::Fault, format!("Only the first {} could be unpacked", bytes(size_bytes)))
        .detail(
            "The packed file is cut short, damaged, or holds more than is ever unpacked. What came out is read as usual; files and rows may lie behind it.",
        )
        .evidence("packed with", packing)
        .evidence("came out", bytes(size_bytes))
        .evidence("why it stopped", reason)
        .at(Place::source(source))
        .next_step("Get the file again from whoever packed it, and compare its size with theirs.")
}
