//! What a careful person could see of a day, and every single story in which drafts moved: the list is right, the stick differs.

use std::collections::BTreeSet;

use super::REMOVED;
use super::figures::Figures;
use super::model::{Case, Draft, Fate, Fault, Mark, Mode, TicketDay};

/// A story that accounts for the whole difference of a ticket.
pub type Story = Fault;

/// What can be seen of a ticket.
#[derive(Clone, Debug)]
pub struct Seen {
    pub ticket: u32,
    pub typed: Figures,
    pub shrink: Option<i64>,
    /// The counted drafts that the stick gives it.
    pub own: Vec<Draft>,
    pub void: Vec<Draft>,
    pub recovered: Vec<Draft>,
    /// Missing numbers that could be its drafts.
    pub holes: Vec<BTreeSet<u64>>,
    /// Whether drafts could be missing beyond the first or last number of the stick.
    pub open_end: bool,
}

impl Seen {
    pub fn sum(&self) -> Figures {
        self.own.iter().map(|draft| draft.figures).sum()
    }

    pub fn difference(&self) -> Figures {
        self.typed - self.sum()
    }
}

/// What can be seen of a day.
#[derive(Clone, Debug)]
pub struct View {
    pub tickets: Vec<Seen>,
    /// Counted drafts under a number that the list does not have.
    pub loose: Vec<Draft>,
    pub kilograms: bool,
    pub division: i64,
    /// The least and the greatest weight per head, in hundredths, widened.
    pub range: (i64, i64),
}

impl View {
    pub fn of(day: &TicketDay) -> Self {
        let valid: Vec<&Case> = day.cases.iter().filter(|case| case.fate != Fate::Void).collect();
        let has_all = valid.iter().all(|case| day.rows.iter().any(|row| case.weighed.contains(&row.draft.number)));
        let tickets: Vec<Seen> = valid.iter().map(|case| seen(day, case, !has_all)).collect();
        let listed = |number: u64| tickets.iter().any(|seen| seen.own.iter().any(|draft| draft.number == number));
        let drafts = || day.counted().map(|row| row.draft);
        let loose = drafts().filter(|draft| !listed(draft.number)).collect();
        let per_head = || drafts().map(|draft| draft.figures.gross / draft.figures.head);
        let (least, most) = (per_head().min().unwrap_or(0), per_head().max().unwrap_or(0));
        let range = (least * 65 / 100, most * 135 / 100);
        Self { tickets, loose, kilograms: day.kilograms, division: day.division, range }
    }

    /// Whether so many head could weigh that much.
    pub fn plausible(&self, part: Figures) -> bool {
        part.head > 0 && (self.range.0 * part.head..=self.range.1 * part.head).contains(&part.gross)
    }
}

/// Whether a row is of a ticket, by what the stick or the list says.
fn is_of(day: &TicketDay, case: &Case, draft: Draft, printed: u32) -> bool {
    let line = day.line(case.ticket);
    match (day.mode, case.fate) {
        (Mode::Column, fate) if fate != Fate::Replacing => printed == case.ticket,
        (Mode::FirstLast, _) => (line.first..=line.last).contains(&draft.number),
        _ => case.weighed.contains(&draft.number),
    }
}

fn seen(day: &TicketDay, case: &Case, open_end: bool) -> Seen {
    let with = |mark: Mark| -> Vec<Draft> {
        let rows = day.rows.iter().filter(|row| row.mark == mark && is_of(day, case, row.draft, row.printed));
        rows.map(|row| row.draft).collect()
    };
    let line = day.line(case.ticket);
    let holes = holes(day, case);
    let at_end = [day.rows.first(), day.rows.last()].into_iter().flatten();
    let at_end = at_end.filter(|row| is_of(day, case, row.draft, row.printed)).count() > 0;
    Seen {
        ticket: case.ticket,
        typed: line.typed,
        shrink: line.shrink,
        own: with(Mark::Counted),
        void: with(Mark::Void),
        recovered: with(Mark::Recovered),
        open_end: open_end && at_end && day.mode != Mode::FirstLast,
        holes,
    }
}

/// The holes between the numbers of the stick that touch a draft of the ticket; where it has none, those between other tickets.
fn holes(day: &TicketDay, case: &Case) -> Vec<BTreeSet<u64>> {
    let mut rows: Vec<_> = day.rows.iter().map(|row| (row.draft.number, row.draft, row.printed)).collect();
    rows.sort_by_key(|row| row.0);
    let line = day.line(case.ticket);
    if day.mode == Mode::FirstLast {
        let lost = (line.first..=line.last).filter(|number| rows.iter().all(|row| row.0 != *number));
        let lost: BTreeSet<u64> = lost.collect();
        return if lost.is_empty() { Vec::new() } else { vec![lost] };
    }
    let own = |row: &(u64, Draft, u32)| is_of(day, case, row.1, row.2);
    let lost_whole = !rows.iter().any(own);
    let wide = rows.windows(2).filter(|pair| pair[1].0 > pair[0].0 + 1);
    let touching = wide.filter(|pair| lost_whole && pair[0].1.ticket != pair[1].1.ticket || pair.iter().any(own));
    touching.map(|pair| (pair[0].0 + 1..pair[1].0).collect()).collect()
}

/// Every way in which single drafts could account for something, with what they add to the stick's sum.
pub fn moves(view: &View, seen: &Seen) -> Vec<(Figures, Story)> {
    let mut moves = Vec::new();
    let mut add = |kind, draft: &Draft, sign: i64| {
        let figures = draft.figures;
        let by = if sign > 0 { figures } else { -figures };
        moves.push((by, Fault::of(kind, [draft.number], figures)));
    };
    seen.own.iter().for_each(|draft| add("reprint-counted", draft, 1));
    seen.void.iter().for_each(|draft| add("void-counted", draft, 1));
    view.loose.iter().for_each(|draft| add("draft-on-other-ticket", draft, 1));
    for (at, draft) in seen.own.iter().enumerate() {
        let near = [at.checked_sub(1), Some(at + 1)].into_iter().flatten().filter_map(|at| seen.own.get(at));
        let twin = near.into_iter().any(|other| weighed_twice(draft, other));
        add(if twin { "reweigh-counted" } else { "draft-left-off" }, draft, -1);
    }
    let found = &seen.recovered;
    for set in 1..1_usize << found.len().min(4) {
        let part: Vec<&Draft> =
            found.iter().enumerate().filter(|(at, _)| set & (1 << at) != 0).map(|(_, draft)| draft).collect();
        let figures = part.iter().map(|draft| draft.figures).sum();
        moves.push((figures, Fault::of("recovered-draft", part.iter().map(|draft| draft.number), figures)));
    }
    moves
}

fn weighed_twice(one: &Draft, other: &Draft) -> bool {
    let (low, high) = (one.figures.gross.min(other.figures.gross), one.figures.gross.max(other.figures.gross));
    one.number.abs_diff(other.number) == 1 && one.figures.head == other.figures.head && (high - low) * 100 <= high
}

/// Stories whose figures are free: they account for every plausible difference.
pub fn free(view: &View, seen: &Seen, difference: Figures) -> Vec<Story> {
    let mut stories = Vec::new();
    if view.plausible(difference) {
        for hole in &seen.holes {
            let kind = if hole.len() == 1 { "missing-draft" } else { "missing-drafts" };
            if usize::try_from(difference.head).unwrap() >= hole.len() {
                stories.push(Fault::of(kind, hole.iter().copied(), difference));
            }
        }
        if seen.open_end {
            let also = vec!["missing-drafts"];
            stories.push(Fault { also, ..Fault::of("missing-draft", [], difference) });
        }
    }
    if !seen.own.is_empty() && -difference.head <= REMOVED && view.plausible(-difference) {
        stories.push(Fault::of("head-removed", [], -difference));
    }
    stories
}

/// Stories of one fault that settles this ticket and another one.
pub fn of_two(view: &View, seen: &Seen) -> Vec<Story> {
    let mut stories = Vec::new();
    let difference = seen.difference();
    for other in view.tickets.iter().filter(|other| other.ticket != seen.ticket) {
        if seen.typed == other.sum() && other.typed == seen.sum() && !difference.is_zero() {
            stories.push(Fault::new("tickets-exchanged"));
        }
        if difference.is_zero() || other.difference() != -difference {
            continue;
        }
        let (from, to) = if difference.head < 0 { (seen, other) } else { (other, seen) };
        let part = to.difference();
        for draft in from.own.iter().filter(|draft| draft.figures == part) {
            stories.push(Fault::of("draft-on-other-ticket", [draft.number], part));
        }
        for draft in at_border(from, to) {
            let rest = draft.figures - part;
            if view.plausible(part) && view.plausible(rest) {
                stories.push(Fault::of("draft-split", [draft.number], part));
            }
        }
    }
    stories
}

/// The draft of one ticket that lies next to the other ticket.
fn at_border(from: &Seen, to: &Seen) -> Vec<Draft> {
    let (Some(first), Some(last)) = (from.own.first(), from.own.last()) else { return Vec::new() };
    let before = to.own.last().is_some_and(|draft| draft.number + 1 == first.number);
    let after = to.own.first().is_some_and(|draft| last.number + 1 == draft.number);
    [(before, first), (after, last)].into_iter().filter(|(near, _)| *near).map(|(_, draft)| *draft).collect()
}
