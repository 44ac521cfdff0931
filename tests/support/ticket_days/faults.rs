//! Plants a fault on a ticket of a day. What moves drafts about stands in [`moved`](super::moved); here is what is typed wrongly.

use super::figures::{Figures, divided, hundredths, in_other_unit, shrunk, step_of, typed};
use super::made::is_untouched;
use super::model::{Case, Fate, Fault, Mark, TicketDay};
use super::print::expected_pay;
use super::{MISCOUNT, moved};
use crate::support::sale_days::chance::Chance;

/// Plants a fault where there is room for it; `together` puts it on a ticket that has one already, where that can be. Says whether
/// there was room.
pub fn plant(day: &mut TicketDay, chance: &mut Chance, kind: &'static str, together: bool) -> bool {
    let single = |case: &Case| case.faults.len() == 1 && case.fate == Fate::Weighed && !settles_two(&case.faults[0]);
    for attempt in 0..24 {
        let doubled = together && attempt < 12 && !matches!(kind, "missing-draft" | "missing-drafts");
        let wanted = |place: &usize| {
            let case = &day.cases[*place];
            if doubled { single(case) } else { is_untouched(case) }
        };
        let places: Vec<usize> = (0..day.cases.len()).filter(wanted).collect();
        if !places.is_empty() {
            let place = chance.pick(&places);
            if planted_at(day, chance, kind, place) {
                return true;
            }
        }
    }
    false
}

/// Whether a fault concerns two tickets, or the pay weight alone: those stay alone.
fn settles_two(fault: &Fault) -> bool {
    matches!(fault.kind, "draft-on-other-ticket" | "draft-split" | "tickets-exchanged") || fault.pay
}

/// Plants a fault on this ticket, if it can be there.
pub fn planted_at(day: &mut TicketDay, chance: &mut Chance, kind: &'static str, place: usize) -> bool {
    match kind {
        "missing-draft" => moved::lost(day, chance, place, 1),
        "missing-drafts" => {
            let count = chance.pick(&[2, 2, 3]);
            moved::lost(day, chance, place, count)
        }
        "recovered-draft" => moved::recovered(day, chance, place),
        "reprint-counted" => moved::reprinted(day, chance, place),
        "reweigh-counted" => moved::reweighed(day, chance, place),
        "void-counted" => moved::voided(day, chance, place),
        "draft-on-other-ticket" => moved::on_other(day, chance, place),
        "draft-left-off" => moved::left_off(day, chance, place),
        "draft-split" => moved::shared(day, chance, place),
        "tickets-exchanged" => moved::exchanged(day, chance, place),
        "head-removed" => moved::removed(day, chance, place),
        _ => mistyped(day, chance, kind, place),
    }
}

fn mistyped(day: &mut TicketDay, chance: &mut Chance, kind: &'static str, place: usize) -> bool {
    let old = day.lines[place].typed;
    if old != day.lines[place].paper || day.cases[place].faults.iter().any(|fault| fault.pay) {
        return false;
    }
    let in_weight = match kind {
        "shrink-omitted" | "shrink-rate" => false,
        "shrink-twice" => chance.percent(30),
        "tare-omitted" => chance.percent(50) && day.lines[place].paper_tare > 0,
        _ => true,
    };
    if !in_weight {
        return pay(day, chance, kind, place);
    }
    let new = wrongly(day, chance, kind, place).filter(|new| *new != old && new.head > 0 && new.gross > 0);
    let Some(new) = new else { return false };
    day.lines[place].typed = new;
    let mut fault = Fault::of(kind, [], new - old);
    if kind == "shrink-twice" {
        // The weight typed has the shrink off already: whether one calls that twice, omitted or another rate is open.
        fault.also = vec!["shrink-omitted", "shrink-rate"];
    }
    day.cases[place].faults.push(fault);
    true
}

/// What is typed instead.
fn wrongly(day: &TicketDay, chance: &mut Chance, kind: &str, place: usize) -> Option<Figures> {
    let line = &day.lines[place];
    let old = line.typed;
    let weight = old.gross;
    let gross = match kind {
        "digits-swapped" | "digit-wrong" | "digit-dropped" | "digit-added" => return digits(chance, kind, old),
        "head-miscounted" => {
            let by = chance.pick(&[-1, 1, -1, 1, -MISCOUNT, MISCOUNT]);
            return Some(Figures { head: old.head + by, ..old });
        }
        "decimal-slide" => slid(chance, weight),
        "unit-mistaken" => in_other_unit(weight, !day.kilograms, chance.pick(&[100, 100, 10])),
        "average-for-gross" => divided(i128::from(weight), i128::from(old.head), chance.pick(&[100, 10, 1])),
        "rounding" => rounded(day, chance, place)?,
        "tare-omitted" => weight - line.paper_tare,
        "shrink-twice" => shrunk(weight, line.shrink?, 100),
        other => unreachable!("no fault {other}"),
    };
    Some(Figures { gross, ..old })
}

/// One slip of the fingers in the weight, less often in the head.
fn digits(chance: &mut Chance, kind: &str, old: Figures) -> Option<Figures> {
    let in_head = chance.percent(25);
    let text = if in_head { old.head.to_string() } else { typed(old.gross) };
    let new = slipped(chance, kind, &text)?;
    if new.starts_with('0') || new.ends_with('.') {
        return None;
    }
    let figures =
        if in_head { Figures { head: new.parse().ok()?, ..old } } else { Figures { gross: hundredths(&new)?, ..old } };
    (!in_head || (figures.head - old.head).abs() > MISCOUNT).then_some(figures)
}

fn slipped(chance: &mut Chance, kind: &str, text: &str) -> Option<String> {
    let mut bytes = text.as_bytes().to_vec();
    let at = chance.index(0, bytes.len() - 1);
    let digit = b'0' + u8::try_from(chance.between(0, 9)).unwrap();
    match kind {
        "digits-swapped" if at + 1 < bytes.len() => bytes.swap(at, at + 1),
        "digit-wrong" => bytes[at] = digit,
        "digit-dropped" if bytes.len() > 1 => drop(bytes.remove(at)),
        "digit-added" => bytes.insert(at, if chance.percent(60) { bytes[at] } else { digit }),
        _ => return None,
    }
    let point = |bytes: &[u8]| bytes.iter().position(|byte| *byte == b'.');
    let kept = point(&bytes).is_some() == text.contains('.');
    (kept && bytes != text.as_bytes()).then(|| String::from_utf8(bytes).unwrap())
}

fn slid(chance: &mut Chance, weight: i64) -> i64 {
    match chance.index(0, 3) {
        0 => weight * 10,
        1 => weight * 100,
        _ if weight % 10 == 0 => weight / 10,
        _ => weight,
    }
}

/// At most half a division for each draft; what is typed has no more places than the scale shows.
fn rounded(day: &TicketDay, chance: &mut Chance, place: usize) -> Option<i64> {
    let drafts = i64::try_from(day.belonging(&day.cases[place]).len()).unwrap();
    let step = if day.division < 100 { day.division } else { 100 };
    let most = drafts * day.division / 2 / step;
    (most > 0).then(|| {
        let by = chance.between(1, most) * step;
        day.lines[place].typed.gross + if chance.percent(50) { by } else { -by }
    })
}

/// What is paid for does not follow from weight, tare and shrink.
fn pay(day: &mut TicketDay, chance: &mut Chance, kind: &'static str, place: usize) -> bool {
    let line = &day.lines[place];
    let percent = line.shrink.unwrap_or(0);
    if !day.look.pay || !day.cases[place].faults.is_empty() || (percent == 0 && kind != "tare-omitted") {
        return false;
    }
    let net = line.paper.gross - line.paper_tare;
    let pay = match kind {
        "shrink-omitted" => net,
        "shrink-twice" => shrunk(shrunk(net, percent, 1), percent, 1),
        "shrink-rate" => shrunk(net, if percent == 300 { 200 } else { chance.pick(&[300, 350, 500]) }, 1),
        _ => shrunk(line.paper.gross, percent, 1),
    };
    if pay == expected_pay(line) {
        return false;
    }
    day.lines[place].pay = Some(pay);
    day.cases[place].faults.push(Fault { pay: true, ..Fault::of(kind, [], Figures::default()) });
    true
}

/// Whether a typed weight could be the other one, rounded.
pub fn rounds_to(typed: i64, exact: impl Fn(i64) -> i64) -> bool {
    exact(step_of(typed)) == typed
}

/// How many rows count.
pub fn counts(day: &TicketDay, numbers: &[u64]) -> usize {
    day.rows.iter().filter(|row| row.mark == Mark::Counted && numbers.contains(&row.draft.number)).count()
}
