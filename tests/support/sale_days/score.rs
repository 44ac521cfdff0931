//! How well answers fit what happened: events with exact bounds, missing numbers, clean days, and what a stated confidence is worth.
//!
//! Only certain events count. An answer that names an open event, or one of another possible history, is neither right nor wrong.
#![allow(clippy::float_arithmetic)] // Shares and stated confidences.

use std::collections::BTreeMap;
use std::fmt;

use serde_json::Value;

use super::answer::Said;
use super::made::{SaleDay, Truth};
use super::truth::{Event, KINDS};

/// Right, wrongly said, and not said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    pub right: u64,
    pub wrong: u64,
    pub unsaid: u64,
}

impl Tally {
    pub fn precision(self) -> f64 {
        share(self.right, self.right + self.wrong)
    }

    pub fn recall(self) -> f64 {
        share(self.right, self.right + self.unsaid)
    }

    pub fn f1(self) -> f64 {
        share(2 * self.right, 2 * self.right + self.wrong + self.unsaid)
    }

    fn add(&mut self, other: Self) {
        self.right += other.right;
        self.wrong += other.wrong;
        self.unsaid += other.unsaid;
    }
}

/// A share of a whole; of nothing, all of it.
fn share(part: u64, whole: u64) -> f64 {
    if whole == 0 { 1.0 } else { part as f64 / whole as f64 }
}

/// The upper ends of the bands of confidence.
pub const BANDS: [f64; 7] = [0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 1.01];

/// What one day's answer came to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judged {
    pub events: Tally,
    pub missing: Tally,
    pub wrong: Vec<Event>,
    pub unsaid: Vec<Event>,
    pub by_kind: BTreeMap<&'static str, Tally>,
    /// Answers by band of confidence: all, and those that name what really happened.
    pub bands: [(u64, u64); 7],
}

impl Judged {
    pub fn is_perfect(&self) -> bool {
        self.wrong.is_empty() && self.unsaid.is_empty()
    }
}

/// Holds an answer against the truth.
pub fn judged(truth: &Truth, answer: &[Said]) -> Judged {
    let mut judged = Judged { missing: missing(truth, answer), ..Judged::default() };
    let mut unsaid = truth.certain.clone();
    let mut open = truth.open.clone();
    for said in answer {
        let right = take(&mut unsaid, &said.event);
        let happened = right || take(&mut open, &said.event) || names_open_end(&open, &said.event);
        let band = BANDS.iter().position(|end| said.confidence < *end).unwrap_or(BANDS.len() - 1);
        judged.bands[band].0 += 1;
        judged.bands[band].1 += u64::from(happened);
        let tally = judged.by_kind.entry(said.event.kind).or_default();
        if right {
            tally.right += 1;
        } else if !happened && !truth.possible.contains(&said.event) {
            tally.wrong += 1;
            judged.wrong.push(said.event.clone());
        }
    }
    for event in &unsaid {
        judged.by_kind.entry(event.kind).or_default().unsaid += 1;
    }
    judged.unsaid = unsaid;
    judged.by_kind.values().for_each(|tally| judged.events.add(*tally));
    judged
}

fn take(events: &mut Vec<Event>, wanted: &Event) -> bool {
    let place = events.iter().position(|event| event == wanted);
    place.map(|place| events.swap_remove(place)).is_some()
}

/// Whether an answer says that numbers are missing at an end of the day at which indeed some are, and leaves a bound unnamed that
/// nothing tells.
fn names_open_end(open: &[Event], said: &Event) -> bool {
    let same = |event: &Event| {
        let first_missing = said.first_missing.and(event.first_missing);
        let last_missing = said.last_missing.and(event.last_missing);
        Event { first_missing, last_missing, ..event.clone() } == *said
    };
    (said.after.is_none() || said.before.is_none()) && open.iter().any(same)
}

/// Numbers said to be missing, each against those that certainly are; a number can be missing once in each session.
fn missing(truth: &Truth, answer: &[Said]) -> Tally {
    let neutral = |event: &Event| truth.open.contains(event) || truth.possible.contains(event);
    let mut certain: BTreeMap<(&str, u64), u64> = BTreeMap::new();
    for (indicator, first, last) in truth.certain.iter().filter_map(range) {
        (first..=last).for_each(|number| *certain.entry((indicator, number)).or_default() += 1);
    }
    let whole: u64 = certain.values().sum();
    let mut tally = Tally::default();
    let said = answer.iter().map(|said| &said.event).filter(|event| truth.certain.contains(event) || !neutral(event));
    for (indicator, first, last) in said.filter_map(range) {
        let still = certain.range_mut((indicator, first)..=(indicator, last)).filter(|(_, left)| **left > 0);
        let right = still.map(|(_, left)| *left -= 1).count() as u64;
        tally.right += right;
        tally.wrong += last - first + 1 - right;
    }
    tally.unsaid = whole - tally.right;
    tally
}

fn range(event: &Event) -> Option<(&str, u64, u64)> {
    let (first, last) = event.lost()?;
    (first <= last).then_some((event.indicator.as_str(), first, last))
}

/// Many days together.
#[derive(Clone, Debug, Default)]
pub struct Score {
    pub days: u64,
    pub perfect_days: u64,
    pub events: Tally,
    pub missing: Tally,
    pub by_kind: BTreeMap<&'static str, Tally>,
    pub bands: [(u64, u64); 7],
    pub clean_days: u64,
    /// Clean days without any event, and those without a caution or fault besides.
    pub clean_without_events: u64,
    pub clean_without_alarms: u64,
    pub alarms: BTreeMap<String, u64>,
    /// Days on which every row stands in the document once, with the standing it deserves.
    pub drafts_right: u64,
    pub sessions_right: u64,
}

impl Score {
    /// Adds a day's answer.
    pub fn add(&mut self, day: &SaleDay, judged: &Judged, says_nothing: bool) {
        self.days += 1;
        self.perfect_days += u64::from(judged.is_perfect());
        self.events.add(judged.events);
        self.missing.add(judged.missing);
        for (kind, tally) in &judged.by_kind {
            self.by_kind.entry(kind).or_default().add(*tally);
        }
        for (band, (all, right)) in judged.bands.iter().enumerate() {
            self.bands[band].0 += all;
            self.bands[band].1 += right;
        }
        if day.is_clean() {
            self.clean_days += 1;
            self.clean_without_events += u64::from(says_nothing);
        }
    }

    /// Adds what else stands in the document: alarms on clean days, drafts, sessions.
    pub fn add_document(&mut self, day: &SaleDay, document: &Value) {
        let alarms = alarms(document);
        if day.is_clean() {
            let events = document["sequence"].as_array().unwrap();
            self.clean_without_alarms += u64::from(alarms.is_empty() && events.is_empty());
            for code in alarms {
                *self.alarms.entry(code).or_default() += 1;
            }
        }
        self.drafts_right += u64::from(drafts_stand_once(day, document) && standings_right(day, document));
        self.sessions_right += u64::from(sessions(document) == day.sessions());
    }
}

/// The codes of cautions and faults.
pub fn alarms(document: &Value) -> Vec<String> {
    let findings = document["findings"].as_array().unwrap().iter();
    let loud = findings.filter(|finding| finding["severity"] != "note");
    loud.map(|finding| finding["code"].as_str().unwrap().to_owned()).collect()
}

/// Number, head and weight of drafts, sorted.
type Figures = Vec<(String, u64, u64, String)>;

fn figures_of(document: &Value, wanted: impl Fn(&Value) -> bool) -> Figures {
    let drafts = document["drafts"].as_array().unwrap().iter().filter(|draft| wanted(draft));
    let figures = |draft: &Value| {
        let text = |field: &str| draft[field].as_str().unwrap_or_default().to_owned();
        let number = |field: &str| draft[field].as_u64().unwrap_or(u64::MAX);
        (text("indicator"), number("transaction"), number("head"), text("gross"))
    };
    let mut all: Figures = drafts.map(figures).collect();
    all.sort();
    all
}

fn figures_in(day: &SaleDay, reprints: bool) -> Figures {
    let of_run = |run: &super::truth::Run| -> Figures {
        let rows = run.rows.iter().filter(|row| reprints || !row.reprint);
        rows.map(|row| (run.indicator.clone(), row.number, row.head, row.gross.to_string())).collect()
    };
    let mut all: Figures = day.runs.iter().flat_map(of_run).collect();
    all.sort();
    all
}

/// Whether every row of the day's exports stands among the drafts, and stands there once.
pub fn drafts_stand_once(day: &SaleDay, document: &Value) -> bool {
    figures_of(document, |_| true) == figures_in(day, true)
}

/// Whether exactly the weighings count, and no reprint does.
pub fn standings_right(day: &SaleDay, document: &Value) -> bool {
    figures_of(document, |draft| draft["standing"] == "counted") == figures_in(day, false)
}

fn sessions(document: &Value) -> Vec<super::truth::Session> {
    let session = |session: &Value| super::truth::Session {
        indicator: session["indicator"].as_str().unwrap_or_default().to_owned(),
        drafts: session["drafts"].as_u64().unwrap_or_default(),
        head: session["head"].as_u64().unwrap_or_default(),
    };
    let mut all: Vec<_> = document["sessions"].as_array().unwrap().iter().map(session).collect();
    all.sort();
    all
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let line = |f: &mut fmt::Formatter<'_>, name: &str, tally: &Tally| {
            writeln!(
                f,
                "  {name:9} F1 {:.4}  precision {:.4}  recall {:.4}  (right {}, wrong {}, unsaid {})",
                tally.f1(),
                tally.precision(),
                tally.recall(),
                tally.right,
                tally.wrong,
                tally.unsaid
            )
        };
        line(f, "events", &self.events)?;
        line(f, "missing", &self.missing)?;
        for kind in KINDS {
            line(f, kind, self.by_kind.get(kind).unwrap_or(&Tally::default()))?;
        }
        let days = |part: u64, whole: u64| format!("{part} of {whole} ({})", percent(share(part, whole)));
        writeln!(f, "  days without any error: {}", days(self.perfect_days, self.days))?;
        writeln!(f, "  clean days without an event: {}", days(self.clean_without_events, self.clean_days))
    }
}

impl Score {
    /// What only a document shows.
    pub fn of_document(&self) -> String {
        let days = |part: u64, whole: u64| format!("{part} of {whole} ({})", percent(share(part, whole)));
        let mut text = format!(
            "  clean days without an event, caution or fault: {} {:?}\n  days with every draft once and rightly standing: {}\n  \
             days with the right sessions: {}\n",
            days(self.clean_without_alarms, self.clean_days),
            self.alarms,
            days(self.drafts_right, self.days),
            days(self.sessions_right, self.days)
        );
        text += "  stated confidence: answers, right\n";
        let mut low = 0.0;
        for (end, (all, right)) in BANDS.iter().zip(self.bands) {
            text += &format!("    {low:.2} to below {end:.2}: {all:6}  {}\n", percent(share(right, all)));
            low = *end;
        }
        text
    }
}
