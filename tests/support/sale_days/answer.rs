//! Answers about a day: what a document says happened, and what a clerk would say who knows one rule.

use serde_json::Value;

use super::made::SaleDay;
use super::truth::{Event, KINDS};

/// An event, and how sure the answer is of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub event: Event,
    pub confidence: f64,
}

/// The events of a document. Delayed rows that follow each other count as one event, however they are told.
pub fn of_document(document: &Value) -> Vec<Said> {
    let events: Vec<Said> = document["sequence"].as_array().unwrap().iter().map(said).collect();
    one_late_event_a_block(events)
}

fn said(event: &Value) -> Said {
    let number = |field: &str| event[field].as_u64();
    let kind = KINDS.into_iter().find(|kind| event["kind"] == **kind).unwrap_or("unknown");
    let event_said = Event {
        kind,
        indicator: event["indicator"].as_str().unwrap_or_default().to_owned(),
        after: number("after"),
        before: number("before"),
        first_missing: number("first_missing"),
        last_missing: number("last_missing"),
    };
    Said { event: event_said, confidence: event["confidence"].as_f64().unwrap_or_default() }
}

/// `late 15..10`, `late 10..11`, `late 11..12` become `late 15..10`.
fn one_late_event_a_block(events: Vec<Said>) -> Vec<Said> {
    let goes_on = |event: &Event| {
        let before =
            |other: &Event| other.kind == "late" && other.indicator == event.indicator && other.before == event.after;
        event.kind == "late"
            && event.after.is_some_and(|after| event.before == Some(after + 1))
            && events.iter().any(|other| before(&other.event))
    };
    events.iter().filter(|said| !goes_on(&said.event)).cloned().collect()
}

/// What one finds who takes every difference other than one for lost numbers. Each scale is looked at alone where rows name it, and
/// an export with the newest rows first is read from below.
pub fn of_clerk(day: &SaleDay) -> Vec<Said> {
    let mut answers = Vec::new();
    for (place, run) in day.runs.iter().enumerate() {
        let rows = day.files.iter().flat_map(|file| {
            let mut rows: Vec<_> = file.rows.iter().filter(|(of, _)| *of == place).collect();
            if day.layout.newest_first {
                rows.reverse();
            }
            rows
        });
        let numbers: Vec<u64> = rows.map(|row| day.row(*row).number).collect();
        for pair in numbers.windows(2).filter(|pair| pair[1] != pair[0] + 1) {
            let mut event = Event::between("gap", &run.indicator, pair[0], pair[1]);
            if pair[1] > pair[0] {
                (event.first_missing, event.last_missing) = (Some(pair[0] + 1), Some(pair[1] - 1));
            }
            answers.push(Said { event, confidence: 1.0 });
        }
    }
    answers
}
