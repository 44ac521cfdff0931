//! The run of the numbers and the sessions it falls into.

use maud::{Markup, html};

use super::shown::{Shown, value};
use crate::day::Day;
use crate::report::words::event_sentence;
use crate::sequence::{Event, Session};

pub(super) fn section(day: &Day) -> Markup {
    html! {
        section aria-labelledby="numbers" {
            h2 id="numbers" { "The run of the numbers" }
            p.meaning { "Judged on every row found, also of other days." }
            @if day.sequence.is_empty() { p { "The numbers run on without a break." } }
            ol { @for event in &day.sequence { li { (sentence(event)) } } }
            @if !day.sessions.is_empty() { (sessions(&day.sessions)) }
        }
    }
}

fn sentence(event: &Event) -> Markup {
    html! {
        (event_sentence(event)) " Indicator " (Shown(&event.indicator)) "; " (event.confidence) "."
        @if !event.why.is_empty() { ul { @for reason in &event.why { li { (Shown(reason)) } } } }
    }
}

fn sessions(sessions: &[Session]) -> Markup {
    html! {
        div.wide role="region" aria-label="Sessions" tabindex="0" {
            table {
                caption { "Sessions: stretches of one indicator's weighings in which the counter was not set." }
                thead {
                    tr {
                        th scope="col" { "Indicator" } th scope="col" { "Numbers" } th scope="col" { "From" }
                        th scope="col" { "To" } th scope="col" { "Drafts" } th scope="col" { "Head" }
                        th scope="col" { "Gross" }
                    }
                }
                tbody { @for session in sessions { (row(session)) } }
            }
        }
    }
}

fn row(session: &Session) -> Markup {
    html! {
        tr {
            th scope="row" { (Shown(&session.indicator)) }
            td { (value(session.first_transaction)) " to " (value(session.last_transaction)) }
            td { (value(session.from)) }
            td { (value(session.to)) }
            td.n { (session.drafts) }
            td.n { (session.head.0) }
            td.n { (value(session.gross)) }
        }
    }
}
