//! Faults that move drafts: lost, found again, counted twice or on no ticket, shared, or added to another ticket.

use super::REMOVED;
use super::faults::counts;
use super::figures::Figures;
use super::made::is_untouched;
use super::model::{Draft, Fault, Mark, Mode, Row, TicketDay};
use crate::support::sale_days::chance::Chance;

/// The counted drafts of a ticket.
fn drafts(day: &TicketDay, place: usize) -> Vec<Draft> {
    let case = &day.cases[place];
    day.counted().map(|row| row.draft).filter(|draft| case.weighed.contains(&draft.number)).collect()
}

/// Changes what the paper says, and with it what was typed.
fn restate(day: &mut TicketDay, place: usize, by: Figures, tare: i64) {
    let line = &mut day.lines[place];
    line.paper = line.paper + by;
    line.typed = line.typed + by;
    line.paper_tare += tare;
}

fn fault(day: &mut TicketDay, place: usize, fault: Fault) -> bool {
    day.cases[place].faults.push(fault);
    true
}

fn sum(drafts: &[Draft]) -> Figures {
    drafts.iter().map(|draft| draft.figures).sum()
}

fn numbers(drafts: &[Draft]) -> Vec<u64> {
    drafts.iter().map(|draft| draft.number).collect()
}

/// Rows are not on the stick; others of the ticket are, and the rows around them.
pub fn lost(day: &mut TicketDay, chance: &mut Chance, place: usize, count: usize) -> bool {
    let drafts = drafts(day, place);
    if drafts.len() <= count {
        return false;
    }
    let at = chance.index(0, drafts.len() - count);
    let gone = &drafts[at..at + count];
    let stands = |number: u64| day.rows.iter().any(|row| row.draft.number == number);
    if !stands(gone[0].number - 1)
        || !stands(gone[count - 1].number + 1)
        || gone[count - 1].number != gone[0].number + count as u64 - 1
    {
        return false;
    }
    let gone_numbers = numbers(gone);
    if day.rows.iter().any(|row| row.mark != Mark::Counted && gone_numbers.contains(&row.draft.number)) {
        return false;
    }
    day.rows.retain(|row| !gone_numbers.contains(&row.draft.number));
    let kind = if count == 1 { "missing-draft" } else { "missing-drafts" };
    fault(day, place, Fault::of(kind, gone_numbers, sum(gone)))
}

/// One or two rows stand in a deleted file alone; one such file a day.
pub fn recovered(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    let count = if drafts.len() > 2 { chance.index(1, 2) } else { 1 };
    if drafts.len() < 2 || day.rows.iter().any(|row| row.mark == Mark::Recovered) {
        return false;
    }
    let at = chance.index(0, drafts.len() - count);
    let found = numbers(&drafts[at..at + count]);
    day.rows.iter_mut().filter(|row| found.contains(&row.draft.number)).for_each(|row| row.mark = Mark::Recovered);
    fault(day, place, Fault::of("recovered-draft", found, sum(&drafts[at..at + count])))
}

/// A copy was printed, which stands on the stick, and the paper counts both.
pub fn reprinted(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    let Some(draft) = drafts.get(chance.index(0, drafts.len().max(1) - 1)).copied() else { return false };
    let at = day.rows.iter().position(|row| row.draft.number == draft.number).unwrap();
    let behind = (at + chance.index(1, 3)).min(day.rows.len());
    day.rows.insert(behind, Row { mark: Mark::Reprint, ..day.rows[at] });
    restate(day, place, draft.figures, draft.tare);
    fault(day, place, Fault::of("reprint-counted", [draft.number], draft.figures))
}

/// The same animals stood on the scale twice, and the paper takes one of the two weights.
pub fn reweighed(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    let pairs: Vec<usize> = (1..drafts.len()).filter(|at| drafts[*at].number == drafts[at - 1].number + 1).collect();
    if pairs.is_empty() || day.rows.iter().any(|row| row.mark == Mark::Reprint) || !is_untouched(&day.cases[place]) {
        return false;
    }
    let at = chance.pick(&pairs);
    let (first, second) = (drafts[at - 1], drafts[at]);
    let most = first.figures.gross / 200 / day.division;
    let gross = first.figures.gross + chance.between(1, most.max(1)) * day.division * chance.pick(&[-1, 1]);
    let again = Draft { figures: Figures { gross, ..first.figures }, tare: first.tare, ..second };
    let next = drafts.get(at + 1).map(|draft| draft.figures.head);
    if (gross - first.figures.gross).abs() * 100 > first.figures.gross || next == Some(first.figures.head) {
        return false;
    }
    day.rows.iter_mut().filter(|row| row.draft.number == second.number).for_each(|row| row.draft = again);
    let (kept, superseded) = if chance.percent(70) { (again, first) } else { (first, again) };
    let (_, total) = &mut day.totals[second.ticket];
    *total = *total - second.figures + again.figures;
    let change = kept.figures - first.figures - second.figures;
    restate(day, place, change, kept.tare - first.tare - second.tare);
    fault(day, place, Fault::of("reweigh-counted", [superseded.number], superseded.figures))
}

/// The stick marks a draft as void; the paper counts it all the same.
pub fn voided(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    if drafts.len() < 2 || !day.look.status {
        return false;
    }
    let draft = chance.pick(&drafts);
    if day.rows.iter().any(|row| row.mark == Mark::Reprint && row.draft.number == draft.number) {
        return false;
    }
    day.rows.iter_mut().filter(|row| row.draft.number == draft.number).for_each(|row| row.mark = Mark::Void);
    let (_, total) = &mut day.totals[draft.ticket];
    *total = *total - draft.figures;
    fault(day, place, Fault::of("void-counted", [draft.number], draft.figures))
}

/// Nobody pressed for the next ticket, or too soon: the row carries the number of the ticket beside it, or one that no list has.
pub fn on_other(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    if drafts.len() < 2 || day.mode != Mode::Column {
        return false;
    }
    let early = chance.percent(50);
    let draft = if early { drafts[drafts.len() - 1] } else { drafts[0] };
    let other = if early { Some(place + 1) } else { place.checked_sub(1) };
    let other = other.filter(|other| day.cases.get(*other).is_some_and(is_untouched) && chance.percent(80));
    let planted = Fault::of("draft-on-other-ticket", [draft.number], draft.figures);
    let printed = other.map_or(day.lines[place].ticket + 300, |other| day.lines[other].ticket);
    day.rows.iter_mut().filter(|row| row.draft.number == draft.number).for_each(|row| row.printed = printed);
    if let Some(other) = other {
        fault(day, other, planted.clone());
    }
    fault(day, place, planted)
}

/// The paper does not count a draft that was weighed.
pub fn left_off(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    let twins = drafts.windows(2).any(|pair| pair[0].figures.head == pair[1].figures.head);
    if drafts.len() < 2 || twins {
        return false;
    }
    let draft = chance.pick(&drafts);
    restate(day, place, -draft.figures, -draft.tare);
    fault(day, place, Fault::of("draft-left-off", [draft.number], draft.figures))
}

/// A part of the last draft was sold on the ticket after it, or of the first on the one before.
pub fn shared(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    let after = chance.percent(50);
    let other = if after { Some(place + 1) } else { place.checked_sub(1) };
    let Some(other) = other.filter(|other| day.cases.get(*other).is_some_and(is_untouched)) else { return false };
    let Some(draft) = (if after { drafts.last() } else { drafts.first() }).copied() else { return false };
    let whole = draft.figures;
    if whole.head < 4 || !is_untouched(&day.cases[place]) || counts(day, &day.cases[other].weighed) == 0 {
        return false;
    }
    let head = chance.between(2, whole.head - 2);
    let gross = whole.gross * head / whole.head * chance.between(970, 1_030) / 1_000 / day.division * day.division;
    let part = Figures::new(head, gross);
    restate(day, place, -part, 0);
    restate(day, other, part, 0);
    let planted = Fault::of("draft-split", [draft.number], part);
    fault(day, other, planted.clone());
    fault(day, place, planted)
}

/// The figures of two tickets were typed on each other's line.
pub fn exchanged(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let others: Vec<usize> =
        (0..day.cases.len()).filter(|other| *other != place && is_untouched(&day.cases[*other])).collect();
    if others.is_empty() || !is_untouched(&day.cases[place]) {
        return false;
    }
    let other = chance.pick(&others);
    let (mine, theirs) = (day.lines[place].clone(), day.lines[other].clone());
    if mine.paper.head == theirs.paper.head || mine.paper.gross == theirs.paper.gross {
        return false;
    }
    for (at, line) in [(place, theirs), (other, mine)] {
        let to = &mut day.lines[at];
        (to.paper, to.typed, to.paper_tare, to.shrink) = (line.paper, line.typed, line.paper_tare, line.shrink);
        fault(day, at, Fault::new("tickets-exchanged"));
    }
    true
}

/// One or two head were taken out after weighing, with what they weigh.
pub fn removed(day: &mut TicketDay, chance: &mut Chance, place: usize) -> bool {
    let drafts = drafts(day, place);
    let all = sum(&drafts);
    let head = chance.between(1, REMOVED);
    if drafts.is_empty() || all.head <= head + 2 {
        return false;
    }
    let gross = all.gross * head / all.head * chance.between(900, 1_100) / 1_000 / day.division * day.division;
    if gross == 0 {
        return false;
    }
    let part = Figures::new(head, gross);
    restate(day, place, -part, 0);
    fault(day, place, Fault::of("head-removed", [], part))
}
