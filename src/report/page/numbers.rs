//! The run of the numbers and the sessions it falls into.

use maud::{Markup, html};

use super::shown::{Shown, heads, value, width};
use crate::day::Day;
use crate::report::words::event_sentence;
use crate::sequence::{Event, Session};
use crate::units::grouped;

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
    let numbers = match (session.first_transaction, session.last_transaction) {
        (Some(first), Some(last)) if first != last => format!("{first} to {last}"),
        (first, last) => value(first.or(last)),
    };
    html! {
        tr {
            th scope="row" class=(width(&session.indicator)) { (Shown(&session.indicator)) }
            td.w { (numbers) }
            td.w { (value(session.from)) }
            td.w { (value(session.to)) }
            td.n { (grouped(session.drafts)) }
            td.n { (heads(Some(session.head))) }
            td.n { (value(session.gross)) }
        }
    }
}
