//! What opening and reading a stick can find.

use std::path::Path;

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

    /// The stick, or an export on it, is protected against writing.
    ///
    /// What it means: an indicator cannot add rows. It reports an error, or goes on without storing; weighings since the
    /// protection was set may be missing. Three things do it: a switch on the stick itself, the settings of this computer, and
    /// a mark on a single file. A switch leaves no trace on the stick, so an image never shows it; and a stick that is
    /// protected here by this computer's settings alone may well be written by an indicator.
    ///
    /// How we know: of the stick, this computer says that it lets nothing be written to the device, or mounted it for reading
    /// only. Of an export, the mark in the folder's entry of the file.
    ///
    /// What to do: look for a switch on the stick; take a fresh stick for the next sale. Compare the last transaction number
    /// with the last ticket.
    ///
    /// Source: Microsoft FAT Specification, 30 August 2005, "Directory Structure" (attribute read-only); Linux kernel
    /// documentation, "ABI/stable/sysfs-block" (`ro`).
    WRITE_PROTECTED = "write-protected";

    /// The drive was read through its files only, because this user may not read it raw.
    ///
    /// What it means: a computer shows the files of a stick to anyone, but the stick itself, byte by byte, only to whoever
    /// has the right to it. Without it the files that are shown are read, and everything made of them is complete. What only
    /// the bytes tell was not looked at: whether an indicator could write to the stick, damage, deleted and lost exports,
    /// and whether the stick was pulled out early.
    ///
    /// How we know: the device behind the drive was asked for, and the system refused.
    ///
    /// What to do: nothing, if the numbers are complete and the sums tie. Otherwise have someone with that right run
    /// `counterfoil examine` on the device once: on Linux and macOS with `sudo` before it, on Windows in a terminal opened as
    /// administrator. Ledger and report never need the right.
    RAW_ACCESS_REFUSED = "raw-access-refused";
}

/// A source to which the system lets nothing be written.
pub(super) fn write_protected(place: Place, device: &Path) -> Finding {
    Finding::new(&WRITE_PROTECTED, Severity::Caution, "The stick cannot be written to here")
        .detail(
            "A switch on the stick may be the cause; then an indicator cannot add rows either, and weighings since it was set may be missing. Or it is this computer's settings; then an indicator may still write to it.",
        )
        .evidence("device that takes no writing", device.display())
        .at(place)
        .next_step(
            "Look for a switch on the stick. If there is one and it is set, compare the last transaction number with the last ticket, and use a fresh stick for the next sale.",
        )
}

/// A drive of which only the files were read.
pub(super) fn raw_access_refused(place: Place, device: &Path, reason: &str) -> Finding {
    Finding::new(&RAW_ACCESS_REFUSED, Severity::Note, "Only the files of the drive were read, not the stick itself")
        .detail(
            "This user may not read its device raw. Not checked because of it: whether an indicator could write to the stick, damage, deleted and lost exports, and whether it was pulled out early. The files that are shown were read in full.",
        )
        .evidence("device behind the drive", device.display())
        .evidence("what the computer said", reason)
        .at(place)
        .next_step(with_the_right(&device.to_string_lossy()))
}

/// The one command that reads a device raw, for whoever has the right to.
pub(crate) fn with_the_right(device: &str) -> String {
    if device.starts_with('\\') {
        format!(
            "To have the stick itself checked, open a terminal as administrator and run: counterfoil examine {device}"
        )
    } else {
        format!("To have the stick itself checked, run: sudo counterfoil examine {device}")
    }
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
