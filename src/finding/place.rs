//! Where a finding is: any of these that apply.

use serde::Serialize;

use crate::units::{LineNo, TransactionNo};

/// The place of a finding. Names are the ids of the report document; what does not apply is `None`.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Place {
    /// The stick, image, folder or file.
    pub source: Option<String>,
    /// The volume on it, counted from 0.
    pub volume: Option<usize>,
    /// The export.
    pub export: Option<String>,
    /// The line in the export, or in the ticket list where no export is named; counted from 1.
    pub line: Option<LineNo>,
    /// The column on that line, counted from 0.
    pub column: Option<usize>,
    /// The draft.
    pub draft: Option<String>,
    /// The number it concerns.
    pub transaction: Option<TransactionNo>,
    /// The ticket it concerns.
    pub ticket: Option<String>,
}

impl Place {
    /// A whole source.
    #[must_use]
    pub fn source(id: &str) -> Self {
        Self { source: Some(id.to_owned()), ..Self::default() }
    }

    /// A volume of a source.
    #[must_use]
    pub fn volume(source: &str, index: usize) -> Self {
        Self { volume: Some(index), ..Self::source(source) }
    }

    /// A ticket of the list.
    #[must_use]
    pub fn ticket(number: &str) -> Self {
        Self { ticket: Some(number.to_owned()), ..Self::default() }
    }
}
