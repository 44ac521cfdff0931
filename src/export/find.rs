//! Finds exports among the files of a stick: by what they hold, whatever they are called.

use crate::volume::FileState;

use super::dialect::{Table, find_table};
use super::text::Text;

/// So many bytes from the start of a file decide whether it is worth reading whole.
pub const SAMPLE_BYTES: u64 = 64 * 1024;

/// As names of exports commonly end.
const EXPORT_ENDINGS: [&str; 4] = [".csv", ".txt", ".tsv", ".dat"];

/// So many zero bytes at the head of a file are space that was set aside.
const LEAST_ZEROS: usize = 16;

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

/// The table of an export, where the text is one: it numbers weighings and states weights.
#[must_use]
pub fn export_table(text: &Text) -> Option<Table> {
    let table = find_table(text)?;
    let ours = (0..table.header.count())
        .filter_map(|index| table.header.get(index))
        .any(|cell| cell.starts_with(OUR_OWN_MARK));
    (!ours && table.is_export()).then_some(table)
}

/// Whether a name ends as those of exports commonly do (common practice, no source).
#[must_use]
pub fn is_named_like_export(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path).to_ascii_lowercase();
    EXPORT_ENDINGS.iter().any(|ending| name.ends_with(ending))
}

/// Whether the start of a file that reads as no export could be one whose header, or all of it, was never written: it
/// begins with zero bytes, and rows of cells follow them, or nothing but more of them.
#[must_use]
pub fn zeros_at_head(sample: &[u8], path: Option<&str>) -> bool {
    let zeros = sample.iter().take_while(|byte| **byte == 0).count();
    if zeros < LEAST_ZEROS {
        return false;
    }
    let rest = sample.get(zeros..).unwrap_or_default();
    if rest.is_empty() {
        return path.is_some_and(is_named_like_export);
    }
    let text = Text::decode(rest);
    let shaped_as_row = |line: &str| {
        let figures = line.split([',', ';', '\t', '|']).filter(|cell| cell.trim().parse::<u64>().is_ok()).count();
        figures >= 2 && !line.contains(|letter: char| letter.is_control() && letter != '\t')
    };
    text.lines().take(20).filter(|line| shaped_as_row(line.text)).count() >= 2
}
