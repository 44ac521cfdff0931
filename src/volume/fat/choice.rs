//! Which of several chains holds the longer good export: the one whose rows go on as they began.

use crate::volume::stored::Extent;
use crate::volume::window::Window;

/// So much of a file is compared, in bytes (1 MiB).
pub(super) const COMPARED_BYTES: u64 = 1 << 20;

/// So much of a volume is compared in all, in bytes (64 MiB, and no more than it has): thousands of files may each have dozens of ways.
pub(super) const ALL_COMPARED_BYTES: u64 = 64 << 20;

/// The marks that stand between the fields of a row.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];

/// How many bytes of these, which begin a file, belong to rows that are alike: text, with as many fields as most rows have. A
/// chain that goes on in a wrong cluster breaks off in the middle of a row, and the row that results is not like the others.
pub(super) fn text_reach(window: &Window, extents: &[Extent]) -> u64 {
    let mut bytes = Vec::new();
    for extent in extents {
        let from = bytes.len();
        bytes.resize(from + usize::try_from(extent.length).unwrap_or(0), 0);
        let at = extent.medium_offset.saturating_sub(window.on_medium(0));
        window.read(at, bytes.get_mut(from..).unwrap_or_default());
    }
    let rows = || bytes.split_inclusive(|byte| *byte == b'\n');
    let usual =
        rows().take(64).map(fields).max_by_key(|count| rows().take(64).filter(|row| fields(row) == *count).count());
    let alike = |row: &&[u8]| is_text(row) && Some(fields(row)) == usual && row.ends_with(b"\n");
    // A banner or a header before the rows is no break; whatever stands after the first row must be like it.
    let head: usize = rows().take_while(|row| is_text(row) && Some(fields(row)) != usual).map(<[u8]>::len).sum();
    let body: usize =
        rows().skip_while(|row| is_text(row) && Some(fields(row)) != usual).take_while(alike).map(<[u8]>::len).sum();
    (head + body) as u64
}

fn fields(row: &[u8]) -> (usize, usize) {
    let count = row.iter().filter(|byte| DELIMITERS.contains(byte)).count();
    // Rows of one layout are of nearly one length too.
    (count, row.len() / 16)
}

/// Whether a row, or the beginning of a file, is text: no control characters but those that divide lines and fields.
pub(super) fn is_text(row: &[u8]) -> bool {
    row.iter().all(|byte| *byte >= 0x20 && *byte != 0x7F || matches!(byte, b'\t' | b'\r' | b'\n'))
}
