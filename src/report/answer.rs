//! The first line: does everything tie, and how many things need a person?

use crate::day::Day;
use crate::finding::words::{count_of, drafts as drafts_in_words};
use crate::finding::{Finding, Severity};
use crate::ledger::Control;
use crate::reconcile::Outcome;
use crate::sequence::{Event, EventKind};
use crate::ticket::{TicketSource, TicketStatus};
use crate::units::{Weight, grouped};
use crate::volume::Verdict;

/// What a run comes to, in one breath. The page and the terminal both begin with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// What was seen and whether it ties, one or two sentences.
    pub headline: String,
    /// How many cautions and faults there are, and sources that could not be read.
    pub needs_person: usize,
}

impl Answer {
    /// What is left for a person, as a sentence.
    #[must_use]
    pub fn call(&self) -> String {
        match self.needs_person {
            0 => "Nothing that was checked needs a person.".to_owned(),
            1 => "1 thing needs a person.".to_owned(),
            several => format!("{} things need a person.", grouped(length(several))),
        }
    }
}

/// The answer to a run; `unread_sources` were named and could not be opened.
#[must_use]
pub fn answer(day: &Day, control: &[Control], unread_sources: usize) -> Answer {
    let needs_person = day.findings.iter().filter(|finding| finding.severity >= Severity::Caution).count();
    let needs_person = needs_person.saturating_add(unread_sources);
    let headline = if day.period.is_some() { of_the_day(day, control) } else { of_the_sticks(day) };
    let unread = unread(day, unread_sources).map(|sentence| sentence + " ").unwrap_or_default();
    Answer { headline: unread + &headline, needs_person }
}

/// How many of the sources named could not be read, as a sentence; `None` where all were.
#[must_use]
pub fn unread(day: &Day, unread_sources: usize) -> Option<String> {
    let named = day.sources.len().saturating_add(unread_sources);
    let named = count_of(length(named), "source", "sources");
    (unread_sources > 0).then(|| format!("{unread_sources} of {named} could not be read."))
}

fn of_the_sticks(day: &Day) -> String {
    let verdicts: Vec<_> = day.sources.iter().filter_map(|source| source.suitability.as_ref()).collect();
    let all = |verdict| verdicts.iter().all(|suitability| suitability.verdict == verdict);
    let any_unready = verdicts.iter().any(|suitability| suitability.verdict == Verdict::NotReady);
    let text = if verdicts.is_empty() {
        "Whether an indicator could write to the stick was not judged: the stick itself was not seen."
    } else if any_unready {
        "By the limits used, an indicator could not write to this stick."
    } else if all(Verdict::Ready) {
        "By the limits used, an indicator can write to this stick."
    } else {
        "Whether an indicator can write to this stick is doubtful."
    };
    text.to_owned()
}

fn of_the_day(day: &Day, control: &[Control]) -> String {
    if control.iter().all(|entry| entry.records == 0) && day.tickets.is_empty() {
        return nothing_read(day);
    }
    let unproved = control.iter().any(|entry| !entry.proved);
    let proof = if unproved { " The totals are not proved, so there is no ledger." } else { "" };
    format!("{} {}.{proof}", tickets(day), drafts(control, open_end(day)))
}

/// Whether numbers are missing whose end is not known.
fn open_end(day: &Day) -> bool {
    let open = |event: &Event| event.first_missing.is_none() || event.last_missing.is_none();
    day.sequence.iter().any(|event| event.kind == EventKind::Gap && open(event))
}

fn nothing_read(day: &Day) -> String {
    match day.outside_period {
        0 => "No draft was read.".to_owned(),
        others => format!("No draft falls on the days asked for; {} on other days.", stand(others)),
    }
}

fn stand(count: u64) -> String {
    format!("{} {}", drafts_in_words(count), if count == 1 { "stands" } else { "stand" })
}

fn without_list(day: &Day) -> &'static str {
    if day.findings.iter().any(|finding| finding.code == "tickets-unusable") {
        "The ticket list could not be used, so nothing was laid against it."
    } else {
        "No ticket list was given, so nothing was laid against the paper."
    }
}

fn tickets(day: &Day) -> String {
    if !day.ticket_list_given {
        return without_list(day).to_owned();
    }
    let standing = |outcome: Option<Outcome>| {
        let typed = day.tickets.iter().filter(|result| result.stated.source == TicketSource::Stated);
        let valid = typed.filter(|result| result.stated.status != TicketStatus::Void);
        valid.filter(|result| outcome.is_none_or(|outcome| result.outcome == outcome)).count()
    };
    let (all, tied) = (standing(None), standing(Some(Outcome::Tied)));
    let loose = day.unticketed.as_ref().map_or(0, Vec::len);
    if all == 0 {
        return "The ticket list holds no valid ticket.".to_owned();
    }
    let unusable = unusable_lines(day);
    let void = void_with_drafts(day);
    if all == tied && loose == 0 && unusable == 0 && void == 0 {
        return format!("Everything ties: {}.", count_of(length(all), "ticket", "tickets"));
    }
    let others = [
        (standing(Some(Outcome::Explained)), "explained"),
        (standing(Some(Outcome::Open)), "open"),
        (standing(Some(Outcome::NoDrafts)), "without any draft"),
    ];
    let others = others.iter().filter(|(count, _)| *count > 0).map(|(count, word)| format!(", {count} {word}"));
    let loose = if loose > 0 { format!("; {} on no ticket", drafts_in_words(length(loose))) } else { String::new() };
    let void = match void {
        0 => String::new(),
        tickets => format!("; {} with drafts", count_of(length(tickets), "void ticket", "void tickets")),
    };
    let unusable = match unusable {
        0 => String::new(),
        lines => format!("; {} of the list not usable", count_of(length(lines), "line", "lines")),
    };
    format!(
        "Not everything ties: {tied} of {} tied{}{loose}{void}{unusable}.",
        count_of(length(all), "ticket", "tickets"),
        others.collect::<String>()
    )
}

/// Void tickets that drafts on the stick carry all the same.
fn void_with_drafts(day: &Day) -> usize {
    let void = day.tickets.iter().filter(|result| result.stated.status == TicketStatus::Void);
    void.filter(|result| result.outcome != Outcome::Tied).count()
}

/// Lines of the list that could not be read: their tickets were not compared.
fn unusable_lines(day: &Day) -> usize {
    let of_a_line = |finding: &&Finding| finding.code == "tickets-unusable" && finding.place.line.is_some();
    day.findings.iter().filter(of_a_line).count()
}

fn drafts(control: &[Control], open_end: bool) -> String {
    let parts: Vec<_> = control.iter().filter(|entry| entry.records > 0).map(|entry| sums(entry, open_end)).collect();
    if parts.is_empty() { "No draft counts".to_owned() } else { parts.join("; ") }
}

fn sums(entry: &Control, open_end: bool) -> String {
    let drafts = drafts_in_words(entry.records);
    let head = format!("{} head", grouped(entry.head));
    let gross = entry.gross.map(|gross: Weight| format!(", {gross} gross")).unwrap_or_default();
    let missing = match entry.missing {
        0 => String::new(),
        lost if open_end => format!(", at least {} missing", count_of(lost, "number", "numbers")),
        lost => format!(", {} missing", count_of(lost, "number", "numbers")),
    };
    format!("{drafts}, {head}{gross}{missing}")
}

fn length(count: usize) -> u64 {
    u64::try_from(count).unwrap_or(u64::MAX)
}
