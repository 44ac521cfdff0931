//! What was found, most important first, each with its place, reason, evidence and next step.

use maud::{Markup, html};

use super::shown::{Shown, amount};
use crate::day::Day;
use crate::finding::{Finding, Severity};
use crate::report::words::place_words;

/// Findings shown of one severity; a page that never ends helps nobody, and the JSON document has them all.
const MOST: usize = 1_000;

pub(super) fn section(day: &Day) -> Markup {
    html! {
        section aria-labelledby="to-do" {
            h2 id="to-do" { "What to do" }
            @if day.findings.iter().all(|finding| finding.severity == Severity::Note) {
                p { "Nothing that was checked needs a person." }
            }
            (group(day, Severity::Fault, "Faults", "Records are lost or wrong, or the stick cannot be written."))
            (group(day, Severity::Caution, "Cautions", "To be settled before the accounts close."))
        }
        section aria-labelledby="notes" {
            h2 id="notes" { "Worth knowing" }
            (group(day, Severity::Note, "Notes", "Nothing to do."))
            @if day.findings.iter().all(|finding| finding.severity != Severity::Note) { p { "No notes." } }
        }
    }
}

fn group(day: &Day, severity: Severity, heading: &str, meaning: &str) -> Markup {
    let findings: Vec<_> = day.findings.iter().filter(|finding| finding.severity == severity).collect();
    html! {
        @if !findings.is_empty() {
            h3 { (heading) " (" (amount(findings.len())) ")" }
            p.meaning { (meaning) }
            ol.findings { @for finding in findings.iter().take(MOST) { li { (entry(day, finding)) } } }
            @if findings.len() > MOST { p { "The first " (amount(MOST)) " are shown; report.json has all." } }
        }
    }
}

fn entry(day: &Day, finding: &Finding) -> Markup {
    let place = place_words(finding, day);
    html! {
        article class={ "finding " (finding.severity.word()) } {
            h4 { span.mark { (finding.severity.word()) } " " (Shown(&finding.title)) }
            @if !place.is_empty() { p.place { "Where: " (Shown(&place)) } }
            p { (Shown(&finding.detail)) }
            @if !finding.evidence.is_empty() {
                dl.evidence {
                    @for fact in &finding.evidence { dt { (Shown(&fact.what)) } dd { (Shown(&fact.value)) } }
                }
            }
            @if let Some(caution) = &finding.before_you_act { p.before { strong { "First: " } (Shown(caution)) } }
            @if !finding.next_step.is_empty() { p.next { strong { "Next: " } (Shown(&finding.next_step)) } }
            p.code { "Code " code { (finding.code) } }
        }
    }
}
