//! What was not checked, the usual cautions, and room to sign.

use maud::{Markup, html};

use super::shown::Shown;
use crate::day::Day;
use crate::finding::COPY_FIRST;

/// What everyone who holds this page should know.
const CAUTIONS: [&str; 5] = [
    "The printed ticket, not this report, is the record of the weighing.",
    COPY_FIRST,
    "Questions of accuracy go to the local weights-and-measures authority and to a registered service agency. A scale \
     that was repaired is tested before it is used for trade.",
    "Electrical work is for licensed people.",
    "Nobody enters a loaded deck.",
];

pub(super) fn sections(day: &Day) -> Markup {
    html! { (not_checked(day)) (cautions()) (signature()) }
}

fn not_checked(day: &Day) -> Markup {
    html! {
        section aria-labelledby="not-checked" {
            h2 id="not-checked" { "Not checked" }
            @if day.not_checked.is_empty() {
                p { "Everything this program can check was checked." }
            } @else {
                dl { @for gap in &day.not_checked { dt { (Shown(&gap.what)) } dd { (Shown(&gap.why)) } } }
            }
            p { "This program reads records. It does not weigh, and it says nothing about whether a scale weighs right." }
        }
    }
}

fn cautions() -> Markup {
    html! {
        section aria-labelledby="cautions" {
            h2 id="cautions" { "Cautions" }
            ul { @for caution in CAUTIONS { li { (caution) } } }
        }
    }
}

fn signature() -> Markup {
    html! {
        section.signature aria-labelledby="settled" {
            h2 id="settled" { "Settled by" }
            dl { @for line in ["Name", "Signature", "Date"] { div { dt { (line) } dd {} } } }
        }
    }
}
