//! What a finding is: one coded statement with its place, its evidence and the next step.
//!
//! No kind of finding is defined here. Each stage keeps its own in its `findings.rs`, declared with [`kinds!`], where
//! the code, the manual page and the code that raises it stand together.

mod kind;
mod place;
pub mod words;

use serde::Serialize;

pub use kind::Kind;
pub(crate) use kind::kinds;
pub use place::Place;

/// How much a finding asks of a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; nothing to do.
    Note,
    /// A person can and should settle it before the accounts close.
    Caution,
    /// Records are lost or wrong, or the stick cannot be written.
    Fault,
}

impl Severity {
    /// The word shown to people, beside any colour.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Caution => "caution",
            Self::Fault => "fault",
        }
    }
}

/// One fact a finding rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Evidence {
    /// What was looked at.
    pub what: String,
    /// What was seen there, with its unit.
    pub value: String,
}

/// One coded statement: what was seen, why it matters, how we know, what to do next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// The same for the same finding in every run over the same data; a ruling names it.
    pub id: String,
    /// The kind's code, of the catalogue.
    pub code: &'static str,
    /// How much it asks of a person.
    pub severity: Severity,
    /// One line.
    pub title: String,
    /// A few sentences: what was seen and why it matters.
    pub detail: String,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
    /// Where it is.
    pub place: Place,
    /// What to do next, in plain words.
    pub next_step: String,
    /// What to think of before doing it, where something could be destroyed or someone hurt.
    pub before_you_act: Option<String>,
    /// A few words to stand at the very line it is about; screens use it, the document does not.
    #[serde(skip)]
    pub pointer: Option<String>,
}

impl Finding {
    /// A finding of `kind` with its one-line title; the rest is added by the methods below.
    #[must_use]
    pub fn new(kind: &Kind, severity: Severity, title: impl Into<String>) -> Self {
        Self {
            id: String::new(),
            code: kind.code,
            severity,
            title: title.into(),
            detail: String::new(),
            evidence: Vec::new(),
            place: Place::default(),
            next_step: String::new(),
            before_you_act: None,
            pointer: None,
        }
    }

    /// What was seen and why it matters.
    #[must_use]
    pub fn detail(mut self, text: impl Into<String>) -> Self {
        self.detail = text.into();
        self
    }

    /// One more fact it rests on.
    #[must_use]
    pub fn evidence(mut self, what: impl Into<String>, value: impl ToString) -> Self {
        self.evidence.push(Evidence { what: what.into(), value: value.to_string() });
        self
    }

    /// Where it is.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.place = place;
        self
    }

    /// What to do next.
    #[must_use]
    pub fn next_step(mut self, text: impl Into<String>) -> Self {
        self.next_step = text.into();
        self
    }

    /// The usual caution before the next step.
    #[must_use]
    pub fn before_you_act(mut self, text: impl Into<String>) -> Self {
        self.before_you_act = Some(text.into());
        self
    }

    /// A few words to stand at the very line.
    #[must_use]
    pub fn pointer(mut self, text: impl Into<String>) -> Self {
        self.pointer = Some(text.into());
        self
    }
}

/// The caution that stands before every step which could destroy what might still be got back.
pub const COPY_FIRST: &str =
    "Copy the stick before you repair or format it: formatting destroys what could still be got back.";

/// Something that was not checked, and why: silence must never read as "all well".
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotChecked {
    /// What was not checked.
    pub what: String,
    /// Why not.
    pub why: String,
}

impl NotChecked {
    /// States what was not checked, and why.
    #[must_use]
    pub fn new(what: impl Into<String>, why: impl Into<String>) -> Self {
        Self { what: what.into(), why: why.into() }
    }
}
