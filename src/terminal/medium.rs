//! What was read: the sticks, the exports on them, the files.

use counterfoil::day::{Day, SourceState};
use counterfoil::export::Export;
use counterfoil::finding::words::{count_of, drafts};
use counterfoil::volume::{FileState, StoredFile, Verdict, Volume};

use super::bounds::{MOST, listed, shown};
use super::summary::{Screen, labelled};

/// Files listed on a screen.
const MOST_FILES: usize = 1_000;

/// The sources, each with its exports.
pub fn sources(day: &Day, screen: Screen) -> String {
    format!("WHAT WAS READ\n\n{}\n", listed(&day.sources, MOST, |_, source| of_source(day, source, screen)))
}

fn of_source(day: &Day, source: &SourceState, screen: Screen) -> String {
    let sticks = stick_words(source);
    let exports: Vec<_> = day.exports.iter().filter(|export| export.source == source.id).collect();
    [
        labelled("Source", &source.path, screen),
        listed(&sticks, MOST, |_, words| labelled("Stick", words, screen)),
        listed(&exports, MOST, |_, export| labelled("Export", &export_words(export), screen)),
    ]
    .concat()
}

fn stick_words(source: &SourceState) -> Vec<String> {
    let Some(suitability) = &source.suitability else { return Vec::new() };
    let verdict = match suitability.verdict {
        Verdict::Ready => "an indicator can write to it, by the usual limits",
        Verdict::NotReady => "an indicator cannot write to it, by the usual limits",
        Verdict::Unknown => "whether an indicator can write to it is doubtful",
    };
    let mut lines = vec![verdict.to_owned()];
    lines.extend(source.survey.volumes.iter().map(volume_words));
    lines
}

fn volume_words(volume: &Volume) -> String {
    let label = volume.label.as_ref().map(|label| format!(" \"{label}\"")).unwrap_or_default();
    let free = volume.free_bytes.map(|free| format!(", {} free", bytes(free))).unwrap_or_default();
    let size = volume.size_bytes.map(|size| format!(", {}", bytes(size))).unwrap_or_default();
    format!("volume {}{label}: {}{size}{free}", volume.index, volume.file_system)
}

fn export_words(export: &Export) -> String {
    let state = match export.state {
        FileState::Live => "",
        FileState::Deleted => ", deleted",
        FileState::Lost => ", lost",
        FileState::Carved => ", without a name",
    };
    let copy = if export.duplicate_of.is_some() { ", a copy" } else { "" };
    let totals = match export.counts.totals {
        0 => String::new(),
        totals => format!(", {}", count_of(totals, "total", "totals")),
    };
    let unreadable = match export.counts.unreadable {
        0 => String::new(),
        rows => format!(", {} unreadable", count_of(rows, "row", "rows")),
    };
    format!("{}: {}{totals}{unreadable}{state}{copy}", export.name(), drafts(export.counts.drafts))
}

/// Every file of every volume, with its checksum.
pub fn files(day: &Day) -> String {
    let volumes = day.sources.iter().flat_map(|source| &source.survey.volumes);
    let files: Vec<_> = volumes.flat_map(|volume| &volume.files).collect();
    format!("FILES\n\n{}\n", listed(&files, MOST_FILES, |_, file| file_lines(file)))
}

/// The checksum stands on a line of its own, whole, to be compared with what other tools say.
fn file_lines(file: &StoredFile) -> String {
    let state = match file.state {
        FileState::Live => "",
        FileState::Deleted => ", deleted",
        FileState::Lost | FileState::Carved => ", lost",
    };
    let whole = if file.whole { "" } else { ", in part" };
    let path = shown(file.path.as_deref().unwrap_or("(no name)"));
    let size = count_of(file.size_bytes, "byte", "bytes");
    let written = file.modified.map(|at| format!(", written {}", at.format("%Y-%m-%d %H:%M:%S"))).unwrap_or_default();
    let hash = file.sha256.as_deref().unwrap_or("not all bytes could be read");
    format!("{path}\n    {size}{written}{state}{whole}\n    sha256 {hash}\n")
}

/// A size in the unit that fits, by thousands, as it is printed on sticks.
pub fn bytes(size: u64) -> String {
    const STEPS: [(u64, &str); 4] =
        [(1_000_000_000_000, "TB"), (1_000_000_000, "GB"), (1_000_000, "MB"), (1_000, "kB")];
    let step = STEPS.iter().find(|(step, _)| size >= *step);
    step.map_or_else(
        || count_of(size, "byte", "bytes"),
        |(step, name)| format!("{}.{} {name}", size / step, size % step * 10 / step),
    )
}
