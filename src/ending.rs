//! How a run ends: its exit status, and what is left to be said.

use counterfoil::day::Day;
use counterfoil::finding::Severity;

/// The version the reports name.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// What the program ends with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// Nothing that was checked needs a person.
    Clean = 0,
    /// Done, but something needs a person.
    NeedsPerson = 1,
    /// The command line is wrong, or a file named by an option is missing.
    Usage = 2,
    /// A source could not be opened or read at all.
    NoSource = 3,
}

/// Why a run stopped before its end.
pub struct Stop {
    /// What the program ends with.
    pub exit: Exit,
    /// What is left to be said.
    pub message: Option<String>,
}

impl Stop {
    /// The command line is wrong.
    pub fn usage(message: impl ToString) -> Self {
        Self { exit: Exit::Usage, message: Some(message.to_string()) }
    }
}

/// Whether anything found needs a person.
pub fn exit_of(day: &Day) -> Exit {
    let needs_person = day.findings.iter().any(|finding| finding.severity > Severity::Note);
    if needs_person { Exit::NeedsPerson } else { Exit::Clean }
}
