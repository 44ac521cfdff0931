//! Findings as text, for golden tests.

use std::fmt::Write;

use counterfoil::finding::{Finding, NotChecked};

/// Every part of each finding that a person reads.
pub fn shown(findings: &[Finding], not_checked: &[NotChecked]) -> String {
    let mut out = String::new();
    for finding in findings {
        writeln!(out, "{} ({}): {}", finding.code, finding.severity.word(), finding.title).unwrap();
        writeln!(out, "  {}", finding.detail).unwrap();
        for evidence in &finding.evidence {
            writeln!(out, "  - {}: {}", evidence.what, evidence.value).unwrap();
        }
        let place = &finding.place;
        let volume = place.volume.map_or_else(String::new, |index| format!(", volume {index}"));
        writeln!(out, "  at: {}{volume}", place.source.as_deref().unwrap_or("nowhere")).unwrap();
        writeln!(out, "  next: {}", finding.next_step).unwrap();
        if let Some(before) = &finding.before_you_act {
            writeln!(out, "  before: {before}").unwrap();
        }
    }
    for line in not_checked {
        writeln!(out, "not checked: {}: {}", line.what, line.why).unwrap();
    }
    out
}

/// Every finding says what was seen, on what it rests, where, and what to do.
pub fn assert_complete(findings: &[Finding]) {
    for finding in findings {
        assert!(!finding.title.is_empty() && !finding.detail.is_empty(), "{finding:?}");
        assert!(!finding.evidence.is_empty() && !finding.next_step.is_empty(), "{finding:?}");
        assert!(finding.place.source.is_some(), "{finding:?}");
    }
}
