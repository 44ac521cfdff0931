//! What is said where a layout that was given does not fit.

use std::collections::BTreeMap;

use super::super::model::Export;
use super::{LAYOUT_UNCERTAIN, MOST_NAMED, place};
use crate::finding::words::count_of;
use crate::finding::{Finding, Severity};

/// The layout given does not fit some exports; said once for all of them. `misfits` says by export id what differs.
///
/// Where it fits others, the sticks hold exports of several indicators and nothing is wrong; where it fits none, it was
/// most likely the wrong file.
#[must_use]
pub fn layout_does_not_fit(exports: &[Export], misfits: &BTreeMap<String, String>) -> Option<Finding> {
    let others: Vec<(&Export, &String)> = exports
        .iter()
        .filter(|export| export.duplicate_of.is_none())
        .filter_map(|export| Some((export, misfits.get(&export.id)?)))
        .collect();
    let (first, differs) = others.first()?;
    let fits = exports.iter().filter(|export| export.layout.given).count();
    let who = match others.len() {
        1 => first.name().to_owned(),
        several => count_of(several as u64, "export", "exports"),
    };
    let (severity, next_step) = match fits {
        0 => (
            Severity::Caution,
            "Give the layout of this indicator, leave --layout out, or save a new one with \"counterfoil layout\".",
        ),
        _ => (Severity::Note, "Nothing to do, if these come from another indicator."),
    };
    let detail = format!("{}: {differs}. What it does not fit was read as if no layout had been given.", first.name());
    let finding = Finding::new(&LAYOUT_UNCERTAIN, severity, format!("The layout given does not fit {who}"))
        .detail(detail)
        .evidence("exports it fits", fits);
    let named = |finding: Finding, (export, differs): &(&Export, &String)| {
        finding.evidence(format!("{} on source {}", export.name(), export.source), differs)
    };
    let finding = others.iter().take(MOST_NAMED).fold(finding, named);
    Some(finding.at(place(first, None, None)).next_step(next_step))
}
