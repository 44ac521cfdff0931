//! A day in readable form: what was asked of whoever explained it, and what came of it. Never for days of the scoring seeds.

use super::answer::Said;
use super::layout::PaperTicket;
use super::made::{SaleDay, Truth};
use super::score::Judged;
use super::truth::{Event, Run};

/// Rows shown before and after a break.
const AROUND: usize = 3;

/// An event in short: `North gap 41..44 lost 42-43`.
pub fn in_short(event: &Event) -> String {
    let number = |number: Option<u64>| number.map_or("-".to_owned(), |number| number.to_string());
    let lost = event.lost().map(|(first, last)| format!(" lost {first}-{last}")).unwrap_or_default();
    format!("{} {} {}..{}{lost}", event.indicator, event.kind, number(event.after), number(event.before))
}

/// The day, the rows around each break, the truth and the answer.
pub fn day(day: &SaleDay, truth: &Truth, answer: &[Said], judged: &Judged) -> String {
    let layout = &day.layout;
    let mut text = format!(
        "\n== day {}: {} files, list {:?}, ticket column {}, scale column {}, lot column {}, newest first {}, time {}\n   {:?}\n",
        day.seed,
        day.files.len(),
        day.list,
        layout.ticket,
        layout.scale,
        layout.lot,
        layout.newest_first,
        layout.time,
        day.incidents
    );
    for run in &day.runs {
        text += &breaks(run, answer);
    }
    let stated = |ticket: &PaperTicket| {
        let numbers = if day.list.is_some_and(|list| list.first_and_last) {
            format!(" no. {}-{}", ticket.first, ticket.last)
        } else {
            String::new()
        };
        format!("{}:{numbers} {} head", ticket.number, ticket.head)
    };
    if day.list.is_some() {
        text += &format!("   paper {}\n", day.paper.iter().map(stated).collect::<Vec<_>>().join("; "));
    }
    let list = |what: &str, events: &[Event]| -> String {
        events.iter().map(|event| format!("   {what} {}\n", in_short(event))).collect()
    };
    text += &list("certain ", &truth.certain);
    text += &list("open    ", &truth.open);
    text += &list("possible", &truth.possible);
    for said in answer {
        text += &format!("   answer   {} ({:.2})\n", in_short(&said.event), said.confidence);
    }
    text + &list("WRONG   ", &judged.wrong) + &list("UNSAID  ", &judged.unsaid)
}

/// The rows around each event that happened or that the answer names.
fn breaks(run: &Run, answer: &[Said]) -> String {
    let answered = |row: usize| {
        let number = |place: Option<usize>| place.and_then(|place| run.rows.get(place)).map(|row| row.number);
        let (after, before) = (number(row.checked_sub(1)), number(Some(row)));
        answer.iter().any(|said| said.event.after == after && said.event.before == before)
    };
    let near = |row: usize| row.saturating_sub(AROUND)..=row + AROUND;
    let noted = |row: &usize| {
        run.noted.iter().any(|noted| near(noted.to_row).contains(row) || near(noted.from_row).contains(row))
    };
    let shown = |row: &usize| noted(row) || near(*row).any(answered);
    let mut text = format!("   {} rows on {}\n", run.rows.len(), run.indicator);
    let mut last = 0;
    for place in (0..run.rows.len()).filter(shown) {
        let row = &run.rows[place];
        let dots = if place > last + 1 { "        ...\n" } else { "" };
        text += &format!(
            "{dots}   {place:4} no. {:7}  {}  lot {:3} ticket {:3} {:3} head {:6}{}\n",
            row.number,
            row.at,
            row.lot + 1,
            row.ticket,
            row.head,
            row.gross,
            if row.reprint { "  (written again)" } else { "" }
        );
        last = place;
    }
    text
}
