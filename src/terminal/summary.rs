//! The summary of a run: the answer, what needs a person, the figures, what was not checked.

use counterfoil::day::{Day, TicketFile};
use counterfoil::draft::Standing;
use counterfoil::finding::words::{count_of, drafts};
use counterfoil::finding::{Finding, NotChecked, Severity};
use counterfoil::ledger::Control;
use counterfoil::report::{Answer, answer, period_words};
use counterfoil::sequence::Session;
use counterfoil::units::{LocalTime, Precision, grouped};

use super::bounds::{MOST, listed, shown};
use super::medium::{files as file_list, sources};
use super::{Painter, wrapped};

/// The width and colour of the screen.
#[derive(Debug, Clone, Copy)]
pub struct Screen {
    /// In columns.
    pub width: usize,
    /// Whether it shows colour.
    pub colour: bool,
}

/// The summary of `saleday` and `ledger`; `unread` sources were named and could not be opened.
pub fn saleday(day: &Day, control: &[Control], unread: usize, tickets: Option<&TicketFile>, screen: Screen) -> String {
    let painter = Painter::new(day, tickets, screen.width, screen.colour);
    let mut out = head(&answer(day, control, unread), screen);
    out.push_str(&findings(day, &painter, IN_REPORT, screen));
    out.push_str(&figures(day, control, screen));
    out.push_str(&not_checked(day, screen));
    out.push_str(&wrapped(RECORD, screen.width, ""));
    out.push('\n');
    out
}

/// The summary of `examine`.
pub fn examined(day: &Day, files: bool, screen: Screen) -> String {
    let painter = Painter::new(day, None, screen.width, screen.colour).with_evidence();
    let mut out = head(&answer(day, &[], 0), screen);
    out.push_str(&findings(day, &painter, IN_DOCUMENT, screen));
    out.push_str(&sources(day, screen));
    if files {
        out.push_str(&file_list(day));
    }
    out.push_str(&not_checked(day, screen));
    out
}

/// Where more is to be read.
const MANUAL: &str = "\"counterfoil explain\" with one of the words in brackets tells more.";

/// Where all findings are, when there are too many for a screen.
const IN_REPORT: &str = "With --out they are written into report.html and report.json as well.";
const IN_DOCUMENT: &str = "With --json all of them are told.";

/// Which paper counts.
const RECORD: &str = "The printed ticket, not this report, is the record of the weighing.";

fn head(answer: &Answer, screen: Screen) -> String {
    format!("{}\n\n", wrapped(&format!("{} {}", answer.headline, answer.call()), screen.width, ""))
}

/// What needs a person, and what is worth knowing; `all_are` says where all of it is, when there is too much for a screen.
pub fn findings(day: &Day, painter: &Painter<'_>, all_are: &str, screen: Screen) -> String {
    let (urgent, notes): (Vec<_>, Vec<_>) = day.findings.iter().partition(|finding| finding.severity > Severity::Note);
    let mut out = String::new();
    if !urgent.is_empty() {
        out.push_str("WHAT TO SETTLE, most important first\n\n");
    }
    let any = !urgent.is_empty() || !notes.is_empty();
    out.push_str(&listed(&urgent, MOST, |n, finding| painter.paint(n + 1, finding) + "\n"));
    if urgent.len() > MOST {
        out.push_str(&wrapped(all_are, screen.width, ""));
        out.push_str("\n\n");
    }
    if !notes.is_empty() {
        out.push_str("WORTH KNOWING, nothing to do\n\n");
        out.push_str(&listed(&notes, MOST, |_, note| note_line(note, screen)));
        out.push('\n');
    }
    if any {
        out.push_str(&wrapped(MANUAL, screen.width, ""));
        out.push_str("\n\n");
    }
    out
}

fn note_line(note: &Finding, screen: Screen) -> String {
    let text = format!("- {} ({})", shown(&note.title), note.code);
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
    lines.extend(not_counted(day).map(|words| ("Not counted".to_owned(), words)));
    let sessions = day.sessions.iter().filter(|session| session.drafts > 0);
    let sessions: Vec<_> = sessions.collect();
    let lines: String = lines.iter().map(|(what, value)| labelled(what, value, screen)).collect();
    let sessions =
        listed(&sessions, MOST, |n, session| labelled(&format!("Session {}", n + 1), &session_words(session), screen));
    format!("FIGURES\n\n{lines}{sessions}\n{}", sources(day, screen))
}

/// What the drafts of the period that do not count are: nothing leaves the sums unseen.
fn not_counted(day: &Day) -> Option<String> {
    let standings = [
        (Standing::Reprint, "reprint", "reprints"),
        (Standing::Recovered, "recovered draft", "recovered drafts"),
        (Standing::Test, "test weighing", "test weighings"),
        (Standing::Void, "void", "voids"),
        (Standing::Reweighed, "reweighed draft", "reweighed drafts"),
    ];
    let words = standings.into_iter().filter_map(|(standing, one, many)| {
        let drafts = day.drafts.iter().filter(|draft| draft.standing == standing && day.in_period.contains(&draft.id));
        Some(drafts.count() as u64).filter(|count| *count > 0).map(|count| count_of(count, one, many))
    });
    let words: Vec<_> = words.collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// A line of figures: what it is, and the value beside it.
pub fn labelled(what: &str, value: &str, screen: Screen) -> String {
    let text = format!("{what:<12}{}", shown(value));
    format!("{}\n", wrapped(&text, screen.width, "            "))
}

fn control_words(entry: &Control) -> String {
    let gross = entry.gross.map(|gross| format!(", {gross} gross")).unwrap_or_default();
    let pay = entry.pay_weight.map(|pay| format!(", {} pay weight", pay.in_hundredths())).unwrap_or_default();
    let proved = if entry.proved { "summed twice, same result" } else { "two ways of summing differ" };
    let records = drafts(entry.records);
    format!(
        "{records}, {} head{gross}{pay}; {} missing; sum of numbers {} ({proved})",
        grouped(entry.head),
        count_of(entry.missing, "number", "numbers"),
        entry.transaction_hash_total
    )
}

fn session_words(session: &Session) -> String {
    let numbers = session.first_transaction.zip(session.last_transaction);
    let numbers = numbers.map(|(first, last)| once_or_to(first, last) + ", ").unwrap_or_default();
    let gross = session.gross.map(|gross| format!(", {gross}")).unwrap_or_default();
    let times = session.from.zip(session.to).map(|(from, to)| format!("; {}", from_to(from, to)));
    format!("{numbers}{}, {}{gross}{}", drafts(session.drafts), session.head, times.unwrap_or_default())
}

fn once_or_to<T: PartialEq + std::fmt::Display>(first: T, last: T) -> String {
    if first == last { first.to_string() } else { format!("{first} to {last}") }
}

/// The day is said once where both times fall on it.
fn from_to(from: LocalTime, to: LocalTime) -> String {
    let time = match to.precision {
        Precision::Day => None,
        Precision::Minute => Some("%H:%M"),
        Precision::Second => Some("%H:%M:%S"),
    };
    match time.filter(|_| from.date() == to.date() && from != to) {
        Some(time) => format!("{from} to {}", to.at.format(time)),
        None => once_or_to(from, to),
    }
}

/// What was not checked, and why.
pub fn not_checked(day: &Day, screen: Screen) -> String {
    if day.not_checked.is_empty() {
        return String::new();
    }
    let line = |item: &NotChecked| {
        let text = format!("- {}: {}", shown(&item.what), shown(&item.why));
        format!("{}\n", wrapped(&text, screen.width, "  "))
    };
    format!("NOT CHECKED\n\n{}\n", listed(&day.not_checked, MOST, |_, item| line(item)))
}
