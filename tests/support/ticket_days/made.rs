//! Makes a whole day from a seed: what is weighed, what the paper says, what goes wrong, and what is printed.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::faults::plant;
use super::figures::Figures;
use super::model::{Case, Draft, Fate, Fault, Line, Mark, Mode, Row, TicketDay};
use super::print::Look;
use super::work::{Yard, weighed};
use super::{KINDS, SMALL};
use crate::support::sale_days::chance::Chance;

/// What is to go wrong.
struct Plan {
    faults: Vec<&'static str>,
    extras: Vec<Extra>,
}

/// What else happens to whole tickets.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Extra {
    LateStick,
    PulledEarly,
    LostTicket,
    VoidTicket,
    Repeated,
    NotListed,
    Unsold,
}

/// The day of a seed.
pub fn ticket_day(seed: u64) -> TicketDay {
    let chance = &mut Chance::new(seed);
    let plan = planned(chance);
    let mode = mode(chance, &plan);
    let mut look = Look::drawn(chance, mode);
    wear(&mut look, &plan, mode);
    let kilograms = chance.percent(30);
    let division = chance.pick(if kilograms { &[50, 100, 200] } else { &[100, 200, 500, 1_000] });
    let drafts = if chance.percent(70) { chance.index(5, SMALL) } else { chance.index(SMALL + 1, 45) };
    let drafts = weighed(chance, Yard { drafts, kilograms, division, tare: look.tare });
    let date = NaiveDate::from_ymd_opt(2026, chance.number(1, 12) as u32, chance.number(13, 26) as u32).unwrap();
    let mut day = blank_day(seed, mode, &drafts, look);
    (day.kilograms, day.division, day.date) = (kilograms, division, date);
    let first = u32::try_from(chance.number(1_000, 8_000)).unwrap();
    add_paper(&mut day, chance, &drafts, first);
    let together = plan.faults.len() > 1 && chance.percent(15);
    for kind in &plan.faults {
        plant(&mut day, chance, kind, together);
    }
    plan.extras.iter().for_each(|extra| add_extra(&mut day, chance, *extra));
    let plain = |case: &Case| case.faults.is_empty() && case.fate == Fate::Weighed;
    day.clean = day.cases.iter().all(plain) && plan.extras.is_empty();
    day
}

/// A day of these drafts before any paper.
pub fn blank_day(seed: u64, mode: Mode, drafts: &[Draft], look: Look) -> TicketDay {
    let row = |draft: &Draft| Row { draft: *draft, printed: 0, mark: Mark::Counted };
    TicketDay {
        seed,
        mode,
        kilograms: false,
        division: 100,
        date: NaiveDate::from_ymd_opt(2026, 10, 17).unwrap(),
        look,
        rows: drafts.iter().map(row).collect(),
        lines: Vec::new(),
        cases: Vec::new(),
        totals: Vec::new(),
        clean: true,
    }
}

fn planned(chance: &mut Chance) -> Plan {
    if chance.percent(20) {
        return Plan { faults: Vec::new(), extras: Vec::new() };
    }
    // A stick image costs time, so that only a small share of days has one.
    let kinds: Vec<_> = KINDS.iter().map(|kind| (*kind, if *kind == "recovered-draft" { 60 } else { 100 })).collect();
    let count = chance.weighted(&[(1, 50), (2, 30), (3, 20)]);
    let mut faults: Vec<_> = (0..count).map(|_| chance.weighted(&kinds)).collect();
    faults.sort_unstable();
    faults.dedup();
    // What moves drafts goes before what is typed: a weight is typed wrongly after all was added up.
    faults.sort_by_key(|kind| KINDS.iter().position(|other| other == kind));
    let shares = [
        (Extra::LateStick, 6),
        (Extra::PulledEarly, 6),
        (Extra::LostTicket, 14),
        (Extra::VoidTicket, 12),
        (Extra::Repeated, 8),
        (Extra::NotListed, 8),
        (Extra::Unsold, 6),
    ];
    let extras = shares.into_iter().filter(|(_, share)| chance.percent(*share)).map(|(extra, _)| extra).collect();
    Plan { faults, extras }
}

fn mode(chance: &mut Chance, plan: &Plan) -> Mode {
    if plan.faults.contains(&"draft-on-other-ticket") {
        return Mode::Column;
    }
    chance.weighted(&[(Mode::Column, 55), (Mode::FirstLast, 15), (Mode::Totals, 10), (Mode::Sums, 20)])
}

/// What a fault needs to be seen at all.
fn wear(look: &mut Look, plan: &Plan, mode: Mode) {
    let asked = |kind: &str| plan.faults.contains(&kind);
    let shrink = ["shrink-omitted", "shrink-twice", "shrink-rate"].into_iter().any(asked);
    look.status |= asked("void-counted");
    look.tare |= asked("tare-omitted");
    look.shrink |= shrink;
    look.pay |= shrink || asked("tare-omitted");
    // Total rows with many sums are another judge's matter.
    look.tare &= mode != Mode::Totals || asked("tare-omitted");
}

/// Adds the drafts up on tickets, numbered from `first`, and types the list.
pub fn add_paper(day: &mut TicketDay, chance: &mut Chance, drafts: &[Draft], first: u32) {
    let mut tickets: BTreeMap<usize, Vec<Draft>> = BTreeMap::new();
    drafts.iter().for_each(|draft| tickets.entry(draft.ticket).or_default().push(*draft));
    for (place, drafts) in tickets.into_values().enumerate() {
        let ticket = first + u32::try_from(place).unwrap();
        let paper: Figures = drafts.iter().map(|draft| draft.figures).sum();
        let shrink = day.look.shrink.then(|| chance.pick(&[200, 200, 300, 300, 400, 250]));
        let numbers: Vec<u64> = drafts.iter().map(|draft| draft.number).collect();
        day.lines.push(Line {
            ticket,
            paper,
            paper_tare: drafts.iter().map(|draft| draft.tare).sum(),
            typed: paper,
            shrink,
            pay: None,
            first: numbers[0],
            last: numbers[numbers.len() - 1],
            status: "valid",
            replaces: None,
        });
        day.cases.push(Case { ticket, faults: Vec::new(), fate: Fate::Weighed, weighed: numbers });
        day.totals.push((ticket, paper));
    }
    day.rows.iter_mut().for_each(|row| row.printed = first + u32::try_from(row.draft.ticket).unwrap());
}

/// Whether nothing has happened to a ticket yet.
pub fn is_untouched(case: &Case) -> bool {
    case.faults.is_empty() && case.fate == Fate::Weighed
}

fn add_extra(day: &mut TicketDay, chance: &mut Chance, extra: Extra) {
    let last = day.cases.len() - 1;
    let untouched = |place: &usize| is_untouched(&day.cases[*place]);
    match extra {
        Extra::LateStick if last > 1 && untouched(&0) => lose(day, 0, Fate::BeyondStick),
        Extra::PulledEarly if last > 1 && untouched(&last) => lose(day, last, Fate::BeyondStick),
        Extra::LostTicket => {
            let apart = |place: &usize| (place - 1..=place + 1).all(|near| untouched(&near));
            let inner: Vec<usize> = (1..last).filter(apart).collect();
            if !inner.is_empty() {
                lose(day, chance.pick(&inner), Fate::LostInHole);
            }
        }
        Extra::VoidTicket => add_void(day, chance),
        Extra::Repeated => {
            let line = day.lines[chance.index(0, day.lines.len() - 1)].clone();
            day.lines.push(line);
        }
        Extra::NotListed => {
            let gone: Vec<usize> = (1..last).filter(untouched).collect();
            if gone.len() > 1 {
                let ticket = day.cases.remove(chance.pick(&gone)).ticket;
                day.lines.retain(|line| line.ticket != ticket);
            }
        }
        Extra::Unsold => {
            // It was weighed, so that it expects its drafts like any other.
            let valid: Vec<usize> = (0..day.lines.len()).filter(|at| day.lines[*at].status == "valid").collect();
            let ticket = day.lines[chance.pick(&valid)].ticket;
            day.lines.iter_mut().filter(|line| line.ticket == ticket).for_each(|line| line.status = "unsold");
        }
        Extra::LateStick | Extra::PulledEarly => {}
    }
}

fn lose(day: &mut TicketDay, place: usize, fate: Fate) {
    let case = &mut day.cases[place];
    case.fate = fate;
    let lost: Vec<Draft> =
        day.rows.iter().map(|row| row.draft).filter(|draft| case.weighed.contains(&draft.number)).collect();
    if fate == Fate::LostInHole {
        let kind = if lost.len() == 1 { "missing-draft" } else { "missing-drafts" };
        let figures = lost.iter().map(|draft| draft.figures).sum();
        case.faults.push(Fault::of(kind, case.weighed.iter().copied(), figures));
    }
    day.rows.retain(|row| !case.weighed.contains(&row.draft.number));
}

/// A ticket was made out wrongly, kept as void, and made out again under a number that is free. Now and then the rows carry the number
/// of the void one.
fn add_void(day: &mut TicketDay, chance: &mut Chance) {
    let places: Vec<usize> = (0..day.cases.len()).filter(|place| is_untouched(&day.cases[*place])).collect();
    if places.is_empty() {
        return;
    }
    let place = chance.pick(&places);
    let old = day.cases[place].ticket;
    let free = day.lines.iter().map(|line| line.ticket).max().unwrap() + 1;
    let at = day.lines.iter().position(|line| line.ticket == old).unwrap();
    let void = Line { status: "void", ..day.lines[at].clone() };
    day.lines[at].ticket = free;
    day.lines[at].replaces = Some(old);
    day.lines.insert(at, void);
    day.cases[place].ticket = free;
    let carried = day.mode == Mode::Column && chance.percent(40);
    if carried {
        day.cases[place].fate = Fate::Replacing;
    } else {
        day.rows.iter_mut().filter(|row| row.printed == old).for_each(|row| row.printed = free);
        day.totals.iter_mut().filter(|(ticket, _)| *ticket == old).for_each(|(ticket, _)| *ticket = free);
    }
    day.cases.push(Case { ticket: old, faults: Vec::new(), fate: Fate::Void, weighed: Vec::new() });
}
