//! The summary of a run: the answer, what needs a person, the figures, what was not checked.

use counterfoil::day::{Day, SourceState, TicketFile};
use counterfoil::finding::words::{count_of, drafts};
use counterfoil::finding::{Finding, Severity};
use counterfoil::ledger::Control;
use counterfoil::report::{answer, period_words};
use counterfoil::sequence::Session;
use counterfoil::units::{LocalTime, Precision};
use counterfoil::volume::{FileState, StoredFile, Verdict};

use super::{Painter, visible, wrapped};

/// The width and colour of the screen.
#[derive(Debug, Clone, Copy)]
pub struct Screen {
    /// In columns.
    pub width: usize,
    /// Whether it shows colour.
    pub colour: bool,
}

/// The summary of `saleday` and `ledger`.
pub fn saleday(day: &Day, control: &[Control], tickets: Option<&TicketFile>, screen: Screen) -> String {
    let mut out = head(day, control, screen);
    out.push_str(&findings(day, tickets, screen));
    out.push_str(&figures(day, control, screen));
    out.push_str(&not_checked(day, screen));
    out.push_str(&wrapped(RECORD, screen.width, ""));
    out.push('\n');
    out
}

/// The summary of `examine`.
pub fn examined(day: &Day, files: bool, screen: Screen) -> String {
    let mut out = head(day, &[], screen);
    out.push_str(&findings(day, None, screen));
    out.push_str(&sources(day, screen));
    if files {
        out.push_str(&file_list(day));
    }
    out.push_str(&not_checked(day, screen));
    out
}

/// Where more is to be read.
const MANUAL: &str = "\"counterfoil explain\" with one of the words in brackets tells more.";

/// Which paper counts.
const RECORD: &str = "The printed ticket, not this report, is the record of the weighing.";

fn head(day: &Day, control: &[Control], screen: Screen) -> String {
    let answer = answer(day, control);
    format!("{}\n\n", wrapped(&format!("{} {}", answer.headline, answer.call()), screen.width, ""))
}

fn findings(day: &Day, tickets: Option<&TicketFile>, screen: Screen) -> String {
    let painter = Painter::new(day, tickets, screen.width, screen.colour);
    let (urgent, notes): (Vec<_>, Vec<_>) = day.findings.iter().partition(|finding| finding.severity > Severity::Note);
    let mut out = String::new();
    if !urgent.is_empty() {
        out.push_str("WHAT TO SETTLE, most important first\n\n");
    }
    let any = !urgent.is_empty() || !notes.is_empty();
    for (n, finding) in urgent.into_iter().enumerate() {
        out.push_str(&painter.paint(n + 1, finding));
        out.push('\n');
    }
    if !notes.is_empty() {
        out.push_str("WORTH KNOWING, nothing to do\n\n");
        out.extend(notes.into_iter().map(|note| note_line(note, screen)));
        out.push('\n');
    }
    if any {
        out.push_str(&wrapped(MANUAL, screen.width, ""));
        out.push_str("\n\n");
    }
    out
}

fn note_line(note: &Finding, screen: Screen) -> String {
    let text = format!("- {} ({})", visible(&note.title), note.code);
    format!("{}\n", wrapped(&text, screen.width, "  "))
}

fn figures(day: &Day, control: &[Control], screen: Screen) -> String {
    let mut lines = Vec::new();
    if let Some(period) = &day.period {
        lines.push(("Period".to_owned(), period_words(period)));
    }
    if day.outside_period > 0 {
        lines.push(("Outside it".to_owned(), drafts(day.outside_period)));
    }
    lines.extend(control.iter().map(|entry| ("Counted".to_owned(), control_words(entry))));
    let sessions = day.sessions.iter().filter(|session| session.drafts > 0);
    lines.extend(sessions.enumerate().map(|(n, session)| (format!("Session {}", n + 1), session_words(session))));
    let mut out = "FIGURES\n\n".to_owned();
    out.extend(lines.iter().map(|(what, value)| labelled(what, value, screen)));
    out.push('\n');
    out.push_str(&sources(day, screen));
    out
}

fn labelled(what: &str, value: &str, screen: Screen) -> String {
    let text = format!("{what:<12}{}", visible(value));
    format!("{}\n", wrapped(&text, screen.width, "            "))
}

fn control_words(entry: &Control) -> String {
    let gross = entry.gross.map(|gross| format!(", {gross} gross")).unwrap_or_default();
    let pay = entry.pay_weight.map(|pay| format!(", {pay} pay weight")).unwrap_or_default();
    let proved = if entry.proved { "summed twice, same result" } else { "two ways of summing differ" };
    let records = drafts(entry.records);
    format!(
        "{records}, {} head{gross}{pay}; {} missing; sum of numbers {} ({proved})",
        entry.head,
        count_of(entry.missing, "number", "numbers"),
        entry.transaction_hash_total
    )
}

fn session_words(session: &Session) -> String {
    let numbers = session.first_transaction.zip(session.last_transaction);
    let numbers = numbers.map(|(first, last)| format!("{first} to {last}, ")).unwrap_or_default();
    let gross = session.gross.map(|gross| format!(", {gross}")).unwrap_or_default();
    let times = session.from.zip(session.to).map(|(from, to)| format!("; {}", from_to(from, to)));
    format!("{numbers}{}, {}{gross}{}", drafts(session.drafts), session.head, times.unwrap_or_default())
}

/// The day is said once where both times fall on it.
fn from_to(from: LocalTime, to: LocalTime) -> String {
    if from.date() == to.date() && to.precision > Precision::Day {
        return format!("{from} to {}", to.at.format("%H:%M:%S"));
    }
    format!("{from} to {to}")
}

fn sources(day: &Day, screen: Screen) -> String {
    let mut out = "WHAT WAS READ\n\n".to_owned();
    for source in &day.sources {
        out.push_str(&labelled("Source", &source.path, screen));
        out.extend(stick_words(source).into_iter().map(|words| labelled("Stick", &words, screen)));
        for export in day.exports.iter().filter(|export| export.source == source.id) {
            out.push_str(&labelled("Export", &export_words(export), screen));
        }
    }
    out.push('\n');
    out
}

fn stick_words(source: &SourceState) -> Vec<String> {
    let Some(suitability) = &source.suitability else { return Vec::new() };
    let verdict = match suitability.verdict {
        Verdict::Ready => "an indicator can write to it, by the usual limits",
        Verdict::NotReady => "an indicator cannot write to it, by the usual limits",
        Verdict::Unknown => "whether an indicator can write to it is doubtful",
    };
    let volume = |volume: &counterfoil::volume::Volume| {
        let label = volume.label.as_ref().map(|label| format!(" \"{label}\"")).unwrap_or_default();
        let free = volume.free_bytes.map(|free| format!(", {} free", bytes(free))).unwrap_or_default();
        let size = volume.size_bytes.map(|size| format!(", {}", bytes(size))).unwrap_or_default();
        format!("volume {}{label}: {}{size}{free}", volume.index, volume.file_system)
    };
    let mut lines = vec![verdict.to_owned()];
    lines.extend(source.survey.volumes.iter().map(volume));
    lines
}

fn export_words(export: &counterfoil::export::Export) -> String {
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

fn file_list(day: &Day) -> String {
    let volumes = day.sources.iter().flat_map(|source| &source.survey.volumes);
    let files: String = volumes.flat_map(|volume| &volume.files).map(file_lines).collect();
    format!("FILES\n\n{files}\n")
}

/// The checksum stands on a line of its own, whole, to be compared with what other tools say.
fn file_lines(file: &StoredFile) -> String {
    let state = match file.state {
        FileState::Live => "",
        FileState::Deleted => ", deleted",
        FileState::Lost | FileState::Carved => ", lost",
    };
    let whole = if file.whole { "" } else { ", in part" };
    let path = visible(file.path.as_deref().unwrap_or("(no name)"));
    let size = count_of(file.size_bytes, "byte", "bytes");
    let written = file.modified.map(|at| format!(", written {}", at.format("%Y-%m-%d %H:%M:%S"))).unwrap_or_default();
    let hash = file.sha256.as_deref().unwrap_or("not all bytes could be read");
    format!("{path}\n    {size}{written}{state}{whole}\n    sha256 {hash}\n")
}

fn not_checked(day: &Day, screen: Screen) -> String {
    if day.not_checked.is_empty() {
        return String::new();
    }
    let line = |item: &counterfoil::finding::NotChecked| {
        format!("{}\n", wrapped(&visible(&format!("- {}: {}", item.what, item.why)), screen.width, "  "))
    };
    let lines: String = day.not_checked.iter().map(line).collect();
    format!("NOT CHECKED\n\n{lines}\n")
}

/// A size in the unit that fits, by thousands, as it is printed on sticks.
fn bytes(size: u64) -> String {
    const STEPS: [(u64, &str); 3] = [(1_000_000_000, "GB"), (1_000_000, "MB"), (1_000, "kB")];
    let step = STEPS.iter().find(|(step, _)| size >= *step);
    step.map_or_else(
        || format!("{size} bytes"),
        |(step, name)| format!("{}.{} {name}", size / step, size % step * 10 / step),
    )
}
