//! The words of the report for what the program holds as values; the page and the terminal use the same.

use std::fmt::Display;

use serde::Serialize;

use crate::day::{ChosenBy, Day, Period};
use crate::draft::Draft;
use crate::export::Export;
use crate::finding::Finding;
use crate::finding::words::count_of;
use crate::reconcile::Outcome;
use crate::sequence::{Event, EventKind};
use crate::ticket::TicketStatus;
use crate::units::Precision;
use crate::volume::FileState;

/// An event in the run of numbers, as one sentence.
#[must_use]
pub fn event_sentence(event: &Event) -> String {
    let after = known(event.after, "the start");
    let before = known(event.before, "the end");
    match event.kind {
        EventKind::Gap => gap(event, &after, &before),
        EventKind::Restart => format!(
            "The counter went from {after} back to {before}: it was set lower, or another indicator follows. Nothing is \
             lost by this."
        ),
        EventKind::Jump => format!(
            "The counter went from {after} ahead to {before}: it was set higher, or another indicator follows. Nothing \
             is lost by this."
        ),
        EventKind::Rollover => {
            format!("The counter passed its largest number: after {after} comes {before}. Nothing is lost by this.")
        }
        EventKind::Reprint => {
            format!("Number {before} stands again after {after}: the same weighing, printed again, counted once.")
        }
        EventKind::Clash => {
            format!("Number {before} stands on two different weighings. Both are counted; one number is wrong.")
        }
        EventKind::Late => format!("Number {before} stands out of order, after {after}. Nothing is lost by this."),
        EventKind::Clock => {
            format!("Between {after} and {before} the indicator's clock leapt or went back. The numbers did not.")
        }
    }
}

fn gap(event: &Event, after: &str, before: &str) -> String {
    match (event.first_missing, event.last_missing) {
        (Some(first), Some(last)) if first == last => format!("Number {first} is not on the stick."),
        (Some(first), Some(last)) => {
            format!("Numbers {first} to {last} are not on the stick: {} missing.", event.missing)
        }
        _ => {
            let lost = count_of(event.missing, "number is", "numbers are");
            format!("Between {after} and {before}, {lost} not on the stick.")
        }
    }
}

fn known(value: Option<impl Display>, unknown: &str) -> String {
    value.map_or_else(|| unknown.to_owned(), |value| value.to_string())
}

/// Where a finding is, in words, the nearest thing to the reader first; empty where it has no place.
#[must_use]
pub fn place_words(finding: &Finding, day: &Day) -> String {
    let place = &finding.place;
    let export = |id: &String| day.exports.iter().find(|export| export.id == *id).map(Export::name);
    let source = |id: &String| day.sources.iter().find(|source| source.id == *id).map(|source| source.path.as_str());
    let several_sources = day.sources.len() > 1 || (place.export.is_none() && place.ticket.is_none());
    let parts = [
        place.ticket.as_ref().map(|ticket| format!("ticket {ticket}")),
        place.transaction.map(|number| format!("number {number}")),
        place.line.map(|line| format!("{}line {line}", side(finding.code))),
        place.column.map(|column| format!("column {}", column.saturating_add(1))),
        place.export.as_ref().map(|id| format!("export {}", export(id).unwrap_or(id))),
        place.volume.filter(|_| place.export.is_none()).map(|volume| format!("volume {volume}")),
        place.source.as_ref().filter(|_| several_sources).map(|id| format!("source {}", source(id).unwrap_or(id))),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// A lost draft is on no line; its finding names the line that stands next to where it should be.
fn side(code: &str) -> &'static str {
    match code {
        "numbers-missing" | "stick-inserted-late" => "before ",
        "stick-removed-early" => "after ",
        _ => "",
    }
}

pub(super) const fn outcome(outcome: Outcome, status: TicketStatus) -> &'static str {
    match (status, outcome) {
        (TicketStatus::Void, Outcome::Tied) => "void",
        (_, Outcome::Tied) => "tied",
        (_, Outcome::Explained) => "explained",
        (_, Outcome::Open) => "open",
        (_, Outcome::NoDrafts) => "no drafts",
    }
}

/// The word a value is written with in the JSON document, so that page and document agree; hyphens become blanks.
pub(super) fn word(value: impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word.replace('-', " "),
        _ => String::new(),
    }
}

/// What a draft counts as, and its marks.
pub(super) fn standing_and_marks(draft: &Draft) -> String {
    let standing = word(draft.standing);
    let marks: Vec<_> = draft.flags.iter().map(word).filter(|mark| *mark != standing).collect();
    std::iter::once(standing).chain(marks).collect::<Vec<_>>().join(", ")
}

/// When a draft was weighed, as finely as it was stated.
pub(super) fn when(draft: &Draft) -> String {
    let Some(at) = draft.stated.at else { return String::new() };
    let pattern = match at.precision {
        Precision::Day => "%Y-%m-%d",
        Precision::Minute | Precision::Second => "%Y-%m-%d %H:%M",
    };
    at.at.format(pattern).to_string()
}

pub(super) const fn file_state(state: FileState) -> &'static str {
    match state {
        FileState::Live => "on the stick",
        FileState::Deleted => "deleted",
        FileState::Lost => "lost",
        FileState::Carved => "nameless data",
    }
}

/// The days covered and what chose them.
#[must_use]
pub fn period(period: &Period) -> String {
    let days = match (period.from, period.to) {
        (Some(from), Some(to)) if from == to => from.to_string(),
        (Some(from), Some(to)) => format!("{from} to {to}"),
        (Some(from), None) => format!("from {from}"),
        (None, Some(to)) => format!("to {to}"),
        (None, None) => "every day found".to_owned(),
    };
    match period.chosen_by {
        ChosenBy::Option => format!("{days} (as asked for)"),
        ChosenBy::Tickets => format!("{days} (the dates of the ticket list)"),
        ChosenBy::All => days,
    }
}
