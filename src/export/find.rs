//! Finds exports among the files of a stick: by what they hold, whatever they are called.

use crate::volume::FileState;

use super::dialect::{Table, find_table};
use super::meaning::Meaning;
use super::text::Text;

/// So many bytes from the start of a file decide whether it is worth reading whole.
pub const SAMPLE_BYTES: u64 = 64 * 1024;

/// Files this program wrote begin their first header with this.
const OUR_OWN_MARK: &str = "counterfoil_";

/// Folders that hold what was thrown away: a file there was deleted by someone, though its bytes stand.
const BINS: [&str; 4] = ["$recycle.bin", "recycler", "recycled", ".trashes"];

/// Folders and files that operating systems leave on a stick; they hold no weighings.
const SYSTEM_NAMES: [&str; 9] = [
    "system volume information",
    ".fseventsd",
    ".spotlight-v100",
    ".ds_store",
    "thumbs.db",
    "desktop.ini",
    "autorun.inf",
    ".temporaryitems",
    ".documentrevisions-v100",
];

/// Whether a path is a side file of an operating system.
#[must_use]
pub fn is_system_file(path: &str) -> bool {
    path.split('/').any(|name| {
        let name = name.to_lowercase();
        name.starts_with("._") || SYSTEM_NAMES.contains(&name.as_str())
    })
}

/// The state a file is to be read in: what lies in a bin folder is deleted.
#[must_use]
pub fn effective_state(path: Option<&str>, state: FileState) -> FileState {
    let in_bin = path.is_some_and(|path| {
        let mut names = path.split('/').map(str::to_lowercase);
        names.any(|name| BINS.contains(&name.as_str()) || name.starts_with(".trash-"))
    });
    if in_bin && state == FileState::Live { FileState::Deleted } else { state }
}

/// Whether bytes could be text at all: no zero bytes among the first ones, unless they are the other half of UTF-16.
#[must_use]
pub fn may_be_text(sample: &[u8]) -> bool {
    let head = sample.get(..sample.len().min(512)).unwrap_or_default();
    let marked = head.starts_with(&[0xFF, 0xFE]) || head.starts_with(&[0xFE, 0xFF]);
    let controls = head.iter().filter(|byte| **byte < 0x20 && !b"\t\r\n\x0c\x1a".contains(byte)).count();
    !head.is_empty() && (marked || controls == 0)
}

/// The table of an export, where the text is one: it numbers weighings and states weights.
#[must_use]
pub fn export_table(text: &Text) -> Option<Table> {
    let table = find_table(text)?;
    let ours = (0..table.header.count())
        .filter_map(|index| table.header.get(index))
        .any(|cell| cell.starts_with(OUR_OWN_MARK));
    let weighs = table.has(Meaning::Gross) || table.has(Meaning::Net);
    let places = table.has(Meaning::Head) || table.has(Meaning::Date) || table.has(Meaning::Datetime);
    (!ours && weighs && places && table.has(Meaning::Transaction)).then_some(table)
}
