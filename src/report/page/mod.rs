//! The page for people: one self-contained file that prints well and needs no network and no script.

mod closing;
mod drafts;
mod findings;
mod numbers;
mod shown;
mod sticks;
mod tickets;
mod totals;

use chrono::NaiveDateTime;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::answer::{Answer, answer};
use super::words;
use crate::day::Day;
use crate::ledger::{Control, Rows};
use crate::units::grouped;
use shown::Shown;

/// The look. It stands in the page itself, so that the page is one file.
const STYLE: &str = include_str!("style.css");

/// Nothing may be loaded from anywhere, no script may run, and only the page's own style applies.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// The page of a run as one HTML file; `unread_sources` were named and could not be opened. `made_at` is the computer's local time, shown as it is.
#[must_use]
pub fn page(
    day: &Day,
    control: &[Control],
    unread_sources: usize,
    made_at: NaiveDateTime,
    program_version: &str,
) -> String {
    let rows = Rows::of(day);
    let made = made_at.format("%Y-%m-%d %H:%M").to_string();
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light";
                meta name="referrer" content="no-referrer";
                title { "Scale report " (made) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (top(&answer(day, control, unread_sources)))
                (about(day, &made, program_version))
                main id="main" { (body(day, control, &rows)) }
                footer { p { "Counterfoil " (Shown(program_version)) ", " (made) "." } }
            }
        }
    }
    .into_string()
}

fn body(day: &Day, control: &[Control], rows: &Rows<'_>) -> Markup {
    html! {
        (findings::section(day))
        @if day.period.is_some() {
            (tickets::section(day, rows))
            (totals::section(day, control))
            (numbers::section(day))
        }
        (sticks::section(day))
        @if day.period.is_some() { (drafts::section(rows)) }
        (closing::sections(day))
    }
}

/// The answer first: whether it ties, and how much is left for a person.
fn top(answer: &Answer) -> Markup {
    html! {
        header {
            p.answer { (Shown(&answer.headline)) }
            p.call { strong { (answer.call()) } }
            h1 { "Scale report" }
        }
    }
}

/// What the answer is about.
fn about(day: &Day, made: &str, version: &str) -> Markup {
    html! {
        section.about aria-label="About this report" {
            dl {
                @if let Some(period) = &day.period {
                    dt { "Days covered" } dd { (words::period(period)) }
                    @if day.outside_period > 0 {
                        dt { "Drafts of other days" } dd { (grouped(day.outside_period)) ", not in this report's sums" }
                    }
                }
                @for source in &day.sources { dt { "Read from" } dd { (Shown(&source.path)) } }
                dt { "Made" } dd { (made) " by Counterfoil " (Shown(version)) }
            }
        }
    }
}
