//! Makes a whole sale day from a seed: who weighs where, what goes wrong, what is printed, and what the paper knows.

use std::collections::BTreeMap;

use chrono::{NaiveDate, Timelike};

use super::chance::Chance;
use super::histories::{Known, histories};
use super::incident::{Allowed, Incident, plan};
use super::indicator::{Day, played};
use super::layout::{Layout, ListForm, PaperTicket, typed};
use super::truth::{Event, Row, Run};
use super::work::{Weighing, Yard, weighed};

/// An export of the day.
#[derive(Clone, Debug)]
pub struct File {
    /// Which stick it lies on.
    pub stick: usize,
    pub name: String,
    pub text: String,
    /// Its rows, from the top: the place of the run and of the row in it.
    pub rows: Vec<(usize, usize)>,
}

/// A day with everything that is known about it.
#[derive(Clone, Debug)]
pub struct SaleDay {
    pub seed: u64,
    pub layout: Layout,
    pub runs: Vec<Run>,
    /// What went wrong, also what left no trace.
    pub incidents: Vec<Incident>,
    pub paper: Vec<PaperTicket>,
    /// How the paper was typed, on days on which it was.
    pub list: Option<ListForm>,
    pub date: NaiveDate,
    pub files: Vec<File>,
}

/// What happened, as far as rows and paper can tell.
#[derive(Clone, Debug, Default)]
pub struct Truth {
    /// Events that no other history of at most as many incidents does without.
    pub certain: Vec<Event>,
    /// Events that happened, though the rows allow others.
    pub open: Vec<Event>,
    /// Events of other histories: an answer that names one cannot be called wrong.
    pub possible: Vec<Event>,
    /// Whether every run's own history was among those found. It always is, or the search is wrong.
    pub found: bool,
}

/// How the yard works on a day.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Scales {
    One,
    /// Two at the same time, each with its id.
    Two,
    /// A second one takes over, and rows carry ids.
    Changeover,
}

/// The day of a seed.
pub fn sale_day(seed: u64) -> SaleDay {
    let chance = &mut Chance::new(seed);
    let scales = chance.weighted(&[(Scales::One, 78), (Scales::Two, 14), (Scales::Changeover, 8)]);
    let layout = Layout::drawn(chance, scales != Scales::One);
    let date = NaiveDate::from_ymd_opt(2026, chance.number(1, 12) as u32, chance.number(13, 26) as u32).unwrap();
    let clean = chance.percent(15);
    let incidents = if clean { 0 } else { chance.weighted(&[(1, 45), (2, 30), (3, 17), (4, 8)]) };
    let work = work(chance, scales, layout.unit == "kg");
    let scale_ids = chance.pick(&[["North", "South"], ["S1", "S2"], ["7", "3"]]);
    let list = chance.percent(40).then(|| ListForm { first_and_last: chance.percent(60), date: chance.percent(50) });
    let mut happened = Vec::new();
    let mut runs = Vec::new();
    for (place, weighings) in work.iter().enumerate() {
        let share = incidents / work.len() + usize::from(place < incidents % work.len());
        let alone = work.len() == 1;
        let allowed = Allowed { incidents: share, ends: alone, changeover: alone && !layout.scale };
        let plan = plan(chance, weighings, allowed);
        let indicator = if layout.scale { scale_ids[place] } else { "1" };
        let run = played(chance, &Day { indicator, date, weighings, plan: &plan });
        runs.push(as_shown(run, &layout));
        happened.extend(plan.into_iter().map(|(_, incident)| incident));
    }
    let paper = paper(&work, &runs);
    let mut day = SaleDay { seed, layout, runs, incidents: happened, paper, list, date, files: Vec::new() };
    day.files = files(chance, &day);
    day
}

/// A run with the times that can be read, where the clock shows no seconds.
fn as_shown(mut run: Run, layout: &Layout) -> Run {
    if layout.slack() > 0 {
        run.rows.iter_mut().for_each(|row| row.at = row.at.with_second(0).unwrap());
    }
    run
}

fn work(chance: &mut Chance, scales: Scales, kilograms: bool) -> Vec<Vec<Weighing>> {
    let start = chance.weighted(&[(8, 50), (10, 20), (13, 10), (18, 10), (21, 10)]) * 3_600 + chance.between(0, 3_500);
    let division = chance.pick(if kilograms { &[1, 2] } else { &[1, 2, 5] });
    let count = chance.index(40, 150);
    let hours = chance.weighted(&[((3, 6), 20), ((9, 15), 50), ((156, 170), 30)]);
    let rest = chance.between(hours.0 * 3_600, hours.1 * 3_600);
    let rest = (chance.percent(15) && scales != Scales::Two).then_some(rest);
    let yard = Yard { drafts: count, start, division, kilograms, rest };
    let first = weighed(chance, yard);
    match scales {
        Scales::One => vec![first],
        Scales::Two => {
            let (drafts, start) = (chance.index(40, 90), start + chance.between(-900, 900));
            vec![first, weighed(chance, Yard { drafts, start, ..yard })]
        }
        Scales::Changeover => {
            let boundary = (first.len() / 3..first.len()).find(|place| first[*place].begins_lot).unwrap_or(first.len());
            let (before, after) = first.split_at(boundary);
            [before, after].into_iter().filter(|part| !part.is_empty()).map(<[_]>::to_vec).collect()
        }
    }
}

/// One book of tickets serves the whole yard: numbers in the order in which tickets were begun.
fn paper(work: &[Vec<Weighing>], runs: &[Run]) -> Vec<PaperTicket> {
    let mut tickets: BTreeMap<(usize, usize), (i64, PaperTicket)> = BTreeMap::new();
    for (run, weighings) in work.iter().enumerate() {
        for (weighing, number) in weighings.iter().zip(&runs[run].numbers) {
            let Weighing { ticket, day, .. } = *weighing;
            let fresh = PaperTicket { number: 0, run, ticket, head: 0, gross: 0, first: *number, last: *number, day };
            let (_, ticket) = tickets.entry((run, ticket)).or_insert((weighing.second, fresh));
            ticket.head += weighing.head;
            ticket.gross += weighing.gross;
            ticket.last = *number;
        }
    }
    let mut tickets: Vec<_> = tickets.into_values().collect();
    tickets.sort_by_key(|(begun, _)| *begun);
    let numbered = |(number, (_, ticket)): (u32, (i64, PaperTicket))| PaperTicket { number, ..ticket };
    (5_001..).zip(tickets).map(numbered).collect()
}

/// The exports: one, or two on one stick or on two, cut where nothing happened, or one for each scale.
fn files(chance: &mut Chance, day: &SaleDay) -> Vec<File> {
    let all = in_written_order(&day.runs);
    let (separate, two_sticks) = (chance.percent(40), chance.percent(50));
    let parts: Vec<Vec<(usize, usize)>> = if day.runs.len() == 2 && separate {
        (0..2).map(|run| all.iter().filter(|(of, _)| *of == run).copied().collect()).collect()
    } else if day.runs.len() == 1 && chance.percent(25) {
        let seams: Vec<usize> = (8..all.len().saturating_sub(8)).filter(|seam| is_quiet(&day.runs[0], *seam)).collect();
        match seams.is_empty() {
            true => vec![all],
            false => {
                let (early, late) = all.split_at(chance.pick(&seams));
                vec![early.to_vec(), late.to_vec()]
            }
        }
    } else {
        vec![all]
    };
    let names = [["weighed-a.csv", "weighed-b.csv"], ["list-9.csv", "list-1.csv"]][chance.index(0, 1)];
    let file = |(place, mut rows): (usize, Vec<(usize, usize)>)| {
        if day.layout.newest_first {
            rows.reverse();
        }
        let stick = if two_sticks { place } else { 0 };
        File { stick, name: names[place].to_owned(), text: day.text(&rows), rows }
    };
    parts.into_iter().enumerate().map(file).collect()
}

/// Whether no event lies around a seam between two rows.
fn is_quiet(run: &Run, seam: usize) -> bool {
    run.noted.iter().all(|noted| seam + 5 < noted.from_row || noted.to_row + 5 < seam)
}

/// The rows of all runs, by the time at which they were written; those of one run stay in their order.
fn in_written_order(runs: &[Run]) -> Vec<(usize, usize)> {
    let mut all: Vec<(usize, usize)> =
        runs.iter().enumerate().flat_map(|(run, rows)| (0..rows.rows.len()).map(move |row| (run, row))).collect();
    all.sort_by_key(|(run, row)| (runs[*run].rows[*row].written, *run, *row));
    all
}

impl SaleDay {
    pub fn row(&self, (run, row): (usize, usize)) -> &Row {
        &self.runs[run].rows[row]
    }

    fn ticket_number(&self, run: usize, ticket: usize) -> u32 {
        self.paper.iter().find(|paper| (paper.run, paper.ticket) == (run, ticket)).unwrap().number
    }

    fn text(&self, rows: &[(usize, usize)]) -> String {
        let line = |place: &(usize, usize)| {
            let (run, row) = (&self.runs[place.0], self.row(*place));
            self.layout.line(row, &run.indicator, self.ticket_number(place.0, row.ticket), run.digits)
        };
        self.layout.header() + &rows.iter().map(line).collect::<String>()
    }

    /// The typed list, on days on which there is one.
    pub fn typed(&self) -> Option<String> {
        Some(typed(&self.paper, self.list?, self.layout.unit, self.date))
    }

    /// Whether nothing at all went wrong.
    pub fn is_clean(&self) -> bool {
        self.incidents.is_empty()
    }

    /// What can be known of what happened.
    pub fn truth(&self) -> Truth {
        let mut truth = Truth { found: true, ..Truth::default() };
        for place in 0..self.runs.len() {
            self.add_truth(place, &mut truth);
        }
        truth
    }

    fn add_truth(&self, place: usize, truth: &mut Truth) {
        let run = &self.runs[place];
        let at_end = |event: &Event| event.after.is_none() || event.before.is_none();
        let (ends, inner): (Vec<Event>, Vec<Event>) =
            run.noted.iter().map(|noted| noted.event.clone()).partition(at_end);
        // What is missing at the ends shows in the paper's first and last numbers or nowhere; where the counter was set, only
        // the ticket column tells of which stretch a number is.
        let stated = self.list.is_some_and(|list| list.first_and_last);
        if stated && (self.layout.ticket || run.sessions.len() == 1) {
            truth.certain.extend(ends);
        } else {
            truth.open.extend(ends);
        }
        let paper = (0..run.rows.len()).map(|row| self.paper_says_lost(place, row)).collect();
        let mut found = histories(&self.known(run, &run.rows, paper), inner.len());
        if let Some(rows) = self.other_order() {
            let paper = vec![None; rows.len()];
            let others = histories(&self.known(run, &rows, paper), inner.len());
            found = found.zip(others).map(|(found, others)| [found, others].concat());
        }
        let Some(found) = found else {
            truth.open.extend(inner);
            return;
        };
        let mut own = inner.clone();
        own.sort();
        truth.found &= found.contains(&own);
        let in_all = |event: &Event| found.iter().all(|history| history.contains(event));
        let (certain, open): (Vec<_>, Vec<_>) = inner.into_iter().partition(in_all);
        truth.possible.extend(found.iter().flatten().filter(|event| !certain.contains(event)).cloned());
        truth.certain.extend(certain);
        truth.open.extend(open);
        truth.possible.sort();
        truth.possible.dedup();
    }

    fn known<'r>(&self, run: &'r Run, rows: &'r [Row], paper: Vec<Option<bool>>) -> Known<'r> {
        Known {
            rows,
            indicator: &run.indicator,
            slack: self.layout.slack(),
            shows_lots: self.layout.shows_lots(),
            names_scale: self.layout.scale,
            paper,
        }
    }

    /// The rows as they would be if the second of two exports had been written first: nothing outside them tells which was.
    fn other_order(&self) -> Option<Vec<Row>> {
        if self.runs.len() != 1 || self.files.len() != 2 {
            return None;
        }
        let rows = |file: &File| {
            let mut places: Vec<usize> = file.rows.iter().map(|(_, row)| *row).collect();
            places.sort_unstable();
            places.into_iter().map(|row| self.runs[0].rows[row].clone()).collect::<Vec<_>>()
        };
        Some([rows(&self.files[1]), rows(&self.files[0])].concat())
    }

    /// Whether the typed tickets around a row say that drafts are lost right before it: their head is more than the rows hold.
    /// None without a list, where rows do not tell their tickets, and where the numbers skip twice within these tickets.
    fn paper_says_lost(&self, place: usize, row: usize) -> Option<bool> {
        let list = self.list?;
        let rows = &self.runs[place].rows;
        let tickets = rows.get(row.checked_sub(1)?)?.ticket..=rows[row].ticket;
        if !(self.layout.ticket || list.first_and_last) {
            return None;
        }
        let skips = (1..rows.len()).filter(|other| rows[*other].number > rows[other - 1].number + 1);
        let near =
            skips.filter(|other| rows[*other].ticket >= *tickets.start() && rows[other - 1].ticket <= *tickets.end());
        let ends_touch = self.runs[place].noted.iter().any(|noted| {
            let event = &noted.event;
            (event.after.is_none() && rows[0].ticket >= *tickets.start())
                || (event.before.is_none() && rows[rows.len() - 1].ticket <= *tickets.end())
        });
        (near.count() == 1 && !ends_touch).then(|| {
            tickets.into_iter().any(|ticket| {
                let stated = self.paper.iter().find(|paper| (paper.run, paper.ticket) == (place, ticket));
                let held: u64 =
                    rows.iter().filter(|row| row.ticket == ticket && !row.reprint).map(|row| row.head).sum();
                stated.is_some_and(|stated| stated.head > held)
            })
        })
    }

    /// The sessions as they were.
    pub fn sessions(&self) -> Vec<super::truth::Session> {
        let mut sessions: Vec<_> = self.runs.iter().flat_map(|run| run.sessions.clone()).collect();
        sessions.sort();
        sessions
    }
}
