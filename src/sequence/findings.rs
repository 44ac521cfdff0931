//! What the run of the numbers shows.

use std::collections::{HashMap, HashSet};

use super::leaps::{Leap, leap};
use super::model::{Event, EventKind};
use super::stories::what_begins;
use crate::draft::Draft;
use crate::draft::findings::place;
use crate::finding::words;
use crate::finding::{Finding, Place, Severity, kinds};
use crate::units::{Confidence, TransactionNo};

kinds! {
    /// Numbers are missing between two drafts.
    ///
    /// The indicator counts up by one. Where numbers are missing inside a session, drafts were weighed that are not on the
    /// stick: the stick was out, was full, or could not be written at that moment.
    ///
    /// How we know: the number jumps ahead, the time that passed leaves room for the missing drafts, and nothing speaks for a
    /// counter that was set.
    ///
    /// What to do: find the paper tickets of that time. Where a ticket states head and weight, the lost draft often follows
    /// from it.
    NUMBERS_MISSING = "numbers-missing";

    /// The stick was put in after weighing had begun.
    ///
    /// What is weighed without a stick is in no export (common practice, no source). The first numbers of the day are
    /// missing for that reason.
    ///
    /// How we know: the paper has a ticket, or a number, from before the first row on the stick.
    ///
    /// What to do: take these drafts from their paper tickets. Put the stick in before the first draft.
    STICK_INSERTED_LATE = "stick-inserted-late";

    /// The stick was pulled before weighing had ended.
    ///
    /// What is weighed after the stick is out is in no export (common practice, no source).
    ///
    /// How we know: the paper has a ticket, or a number, from after the last row on the stick.
    ///
    /// What to do: take these drafts from their paper tickets. Pull the stick after the last draft.
    STICK_REMOVED_EARLY = "stick-removed-early";

    /// The counter was set back.
    ///
    /// A person can set the number lower at any time, commonly to 1 at a new lot or day (common practice, no source). No
    /// draft is lost by that; the same number then stands for two weighings, told apart by their session.
    ///
    /// How we know: the numbers begin again lower and run on from there.
    ///
    /// What to do: nothing, if someone set the counter there; else ask who weighed.
    COUNTER_RESTARTED = "counter-restarted";

    /// The counter was set ahead.
    ///
    /// A person can set the number higher at any time (common practice, no source). No draft is lost by that.
    ///
    /// How we know: the time between the two drafts leaves no room for so many, or the new number is one people begin at.
    ///
    /// What to do: if nobody set the counter, treat the numbers between as missing.
    COUNTER_SET_AHEAD = "counter-set-ahead";

    /// The counter passed its largest number.
    ///
    /// A counter of three digits goes from 999 to 000. No draft is lost by that.
    ///
    /// How we know: the number before is the largest that such a counter can hold, and the next is 0 or 1.
    ///
    /// What to do: nothing.
    ///
    /// Source: NIST Handbook 44, Appendix D, "event counter" (from memory).
    COUNTER_ROLLED_OVER = "counter-rolled-over";

    /// A draft was printed again.
    ///
    /// A copy of a ticket carries the old number, head and weight again. It is counted once.
    ///
    /// How we know: number, head, weight, ticket and lot are those of an earlier row, and the numbers after it run on as if
    /// it were not there, or the time is the same.
    ///
    /// What to do: nothing, if the paper ticket was printed again.
    ///
    /// Source: common practice, no source.
    REPRINTED = "reprinted";

    /// Two weighings carry the same number.
    ///
    /// Both are counted, because both were weighed; but one of the numbers is wrong, or one weighing stands for the other.
    ///
    /// How we know: an earlier row of the same session has the number with another head, weight or ticket.
    ///
    /// What to do: compare both with their paper tickets.
    NUMBER_CLASH = "number-clash";

    /// A draft, or a block of drafts, stands out of order.
    ///
    /// Its number belongs further up, where it was missing: the indicator wrote it later than it was weighed. Nothing is lost.
    ///
    /// How we know: the number was still missing in this session, and the rows after it go on from the number before it.
    ///
    /// What to do: nothing.
    ///
    /// Source: common practice, no source.
    OUT_OF_ORDER = "out-of-order";

    /// The indicator's clock leapt.
    ///
    /// The numbers run on while the time goes back, or ahead farther than anybody stops: the clock was set, or its battery is
    /// empty. Times after that place may be wrong; they stand in the ledger as written. One hour back around the night in which
    /// clocks are set is no fault.
    ///
    /// How we know: a row has the next number and an earlier time than the row before it; or a time hours later among the
    /// drafts of one lot; or one so much later that no stick waits so long for the next sale.
    ///
    /// What to do: compare the dates with the paper, and set the indicator's clock before the next sale.
    ///
    /// Source: common practice, no source.
    CLOCK_LEAP = "clock-leap";
}

/// One finding per event.
#[must_use]
pub fn of_events(events: &[Event], drafts: &[Draft]) -> Vec<Finding> {
    let wanted: HashSet<&str> = events
        .iter()
        .flat_map(|event| [&event.after_draft, &event.before_draft])
        .flatten()
        .map(String::as_str)
        .collect();
    let named = drafts.iter().map(|draft| (draft.id.as_str(), draft)).filter(|(id, _)| wanted.contains(id));
    let by_id: HashMap<&str, &Draft> = named.collect();
    let draft = |id: &Option<String>| id.as_deref().and_then(|id| by_id.get(id).copied());
    events.iter().map(|event| of_event(event, draft(&event.after_draft), draft(&event.before_draft))).collect()
}

fn of_event(event: &Event, after: Option<&Draft>, before: Option<&Draft>) -> Finding {
    let finding = match event.kind {
        EventKind::Gap => gap(event),
        EventKind::Restart => set(event, &COUNTER_RESTARTED, "back", after, before),
        EventKind::Jump => set(event, &COUNTER_SET_AHEAD, "ahead", after, before),
        EventKind::Rollover => rollover(event),
        EventKind::Reprint => reprint(event),
        EventKind::Clash => clash(event),
        EventKind::Late => late(event),
        EventKind::Clock => clock(event, after, before),
    };
    let mut finding = with_rows(finding, after, before).evidence("how sure", event.confidence);
    if !event.why.is_empty() {
        finding.detail = format!("{} We think so because {}.", finding.detail, event.why.join("; "));
    }
    let place = before.or(after).map(place).unwrap_or_default();
    finding.at(Place { transaction: event.first_missing.or(event.before), ticket: None, ..place })
}

fn with_rows(finding: Finding, after: Option<&Draft>, before: Option<&Draft>) -> Finding {
    let row = |draft: &Draft| {
        let number = draft.stated.transaction_text.clone().unwrap_or_default();
        let time = draft.stated.at.map(|at| format!(" at {at}")).unwrap_or_default();
        let ticket = draft.stated.ticket.as_ref().map(|ticket| format!(", ticket {ticket}")).unwrap_or_default();
        format!("number {number}{time}{ticket}")
    };
    let finding = after.into_iter().fold(finding, |finding, draft| finding.evidence("row before", row(draft)));
    before.into_iter().fold(finding, |finding, draft| finding.evidence("row after", row(draft)))
}

/// The numbers that are missing, as far as they are known.
fn missing_numbers(event: &Event) -> String {
    match (event.first_missing, event.last_missing) {
        (Some(first), Some(last)) => words::numbers(first, last),
        (Some(first), None) => format!("numbers from {first} on"),
        (None, Some(last)) => format!("numbers up to {last}"),
        (None, None) => "numbers".to_owned(),
    }
}

/// "1 draft is", "3 drafts are", "1 or more drafts are".
fn missing_drafts(event: &Event) -> String {
    let open = event.first_missing.is_none() || event.last_missing.is_none();
    match event.missing {
        _ if open => "one or more drafts are".to_owned(),
        1 => "1 draft is".to_owned(),
        missing => format!("{missing} drafts are"),
    }
}

fn gap(event: &Event) -> Finding {
    let numbers = missing_numbers(event);
    let verb = if event.first_missing.is_some() && event.first_missing == event.last_missing { "is" } else { "are" };
    let drafts = missing_drafts(event);
    let fault = |kind, title: String, detail: String, next_step: &str| {
        Finding::new(kind, Severity::Fault, title).detail(detail).next_step(next_step)
    };
    match (event.after, event.before) {
        (None, _) => fault(
            &STICK_INSERTED_LATE,
            format!("The stick was put in late: {numbers} {verb} not on it"),
            format!("Weighing had begun before the first row was written; {drafts} in no export."),
            "Take these drafts from their paper tickets. Put the stick in before the first draft.",
        )
        .pointer("the first row on the stick"),
        (_, None) => fault(
            &STICK_REMOVED_EARLY,
            format!("The stick was pulled early: {numbers} {verb} not on it"),
            format!("Weighing went on after the last row was written; {drafts} in no export."),
            "Take these drafts from their paper tickets. Pull the stick after the last draft.",
        )
        .pointer("the last row on the stick"),
        (Some(after), Some(before)) => fault(
            &NUMBERS_MISSING,
            format!("{} {verb} missing", words::capital(&numbers)),
            format!("Between {after} and {before}, {drafts} not on the stick."),
            "Find the paper tickets of that time. Head and weight of a lost draft often follow from them.",
        )
        .pointer(format!("{numbers} missing before this")),
    }
}

/// Below this, drafts may as well be missing as the counter set ahead.
const SURE_ENOUGH: Confidence = Confidence::percent(95);

/// A counter set between lots, tickets or days is daily business; inside one, a person should say why.
fn set(
    event: &Event,
    kind: &crate::finding::Kind,
    way: &str,
    after: Option<&Draft>,
    before: Option<&Draft>,
) -> Finding {
    // Where rows name neither lot nor ticket, nothing shows that the counter was set among the drafts of one.
    let named = |draft: &Draft| draft.stated.lot.is_some() || draft.stated.ticket.is_some();
    let inside = after.zip(before).is_some_and(|(after, before)| named(before) && what_begins(after, before).is_none());
    let doubtful = event.kind == EventKind::Jump && event.confidence < SURE_ENOUGH;
    let numbers = |number: Option<TransactionNo>| number.map(|number| number.to_string()).unwrap_or_default();
    let title = format!("The counter was set {way}, from {} to {}", numbers(event.after), numbers(event.before));
    let (severity, next_step) = if inside || doubtful {
        (Severity::Caution, "Ask who set the counter there. If nobody did, drafts may be missing.")
    } else {
        (Severity::Note, "Nothing to do, if someone set the counter there.")
    };
    Finding::new(kind, severity, title)
        .detail("No draft is lost by that. A new session begins here.")
        .next_step(next_step)
}

fn rollover(event: &Event) -> Finding {
    let title = format!("The counter was full at {} and went on at {}", shown(event.after), shown(event.before));
    Finding::new(&COUNTER_ROLLED_OVER, Severity::Note, title)
        .detail("No draft is lost by that; the session goes on.")
        .next_step("Nothing to do.")
}

fn reprint(event: &Event) -> Finding {
    Finding::new(&REPRINTED, Severity::Note, format!("Draft {} was printed again", shown(event.before)))
        .detail("The same number, head and weight stand twice. It is counted once.")
        .next_step("Nothing to do, if the paper ticket was printed again.")
}

fn clash(event: &Event) -> Finding {
    Finding::new(&NUMBER_CLASH, Severity::Caution, format!("Two weighings carry number {}", shown(event.before)))
        .detail("Their head or weight differ. Both are counted, but one of the numbers is wrong.")
        .next_step("Compare both with their paper tickets.")
}

fn late(event: &Event) -> Finding {
    Finding::new(&OUT_OF_ORDER, Severity::Note, format!("Draft {} stands out of order", shown(event.before)))
        .detail("Its number belongs further up, where it was missing. Nothing is lost.")
        .next_step("Nothing to do.")
}

fn clock(event: &Event, after: Option<&Draft>, before: Option<&Draft>) -> Finding {
    let row = shown(event.before);
    let leap = after.zip(before).and_then(|(after, before)| leap(after, before));
    let (severity, title) = match leap {
        Some(Leap::HourBack) => {
            (Severity::Note, format!("The indicator's clock went back one hour before draft {row}"))
        }
        Some(Leap::BeganAgain(year)) => {
            (Severity::Caution, format!("The indicator's clock began again in {year} before draft {row}"))
        }
        Some(Leap::Ahead(_)) => (Severity::Caution, format!("The indicator's clock leapt ahead before draft {row}")),
        Some(Leap::Back(_)) | None => {
            (Severity::Caution, format!("The indicator's clock went back before draft {row}"))
        }
    };
    let next_step = match leap {
        Some(Leap::HourBack) => "Nothing to do, if clocks were set in that night.",
        Some(Leap::BeganAgain(_)) => {
            "Check the dates of these drafts against the paper. Have the indicator's battery changed and its clock set."
        }
        _ => "Check the dates of these drafts against the paper. Set the indicator's clock before the next sale.",
    };
    Finding::new(&CLOCK_LEAP, severity, title)
        .detail("The numbers run on, the time does not. Times stand in the ledger as written.")
        .next_step(next_step)
}

fn shown(number: Option<TransactionNo>) -> String {
    number.map(|number| number.to_string()).unwrap_or_default()
}
