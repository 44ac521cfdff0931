//! What can have happened at a row, and what each story costs there.

use super::costs;
use super::model::EventKind;
use super::pace::{Room, elapsed};
use super::pauses::same_lot;
use super::run::Run;
use crate::draft::Draft;
use crate::units::TransactionNo;

/// A step back of the clock smaller than this is the clock being put right; in seconds.
const CLOCK_TOLERANCE: i64 = 60;

/// A number given twice is commonly that of one of so many last rows.
const CLASH_REACH: usize = 4;

/// A person sets a counter by at least so many numbers.
const LEAST_SET: u64 = 5;

/// How far a run has been told: all that later stories ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct State {
    /// The last row that carried the run on.
    pub last: Option<usize>,
    /// The last row that was weighed when it was written: its time counts.
    pub weighed: usize,
    /// The row at which the counter was last set or rolled over.
    pub stretch: usize,
    /// The number that would carry on a block of late rows.
    pub block: Option<TransactionNo>,
}

/// One thing that can have happened at a row, and the state after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Story {
    /// What happened to the numbers; `None` where they run on.
    pub kind: Option<EventKind>,
    /// Whether the clock leapt as well.
    pub clock: bool,
    /// What it costs.
    pub cost: u32,
    /// The state after it.
    pub state: State,
}

/// All that can have happened at a row that carries a number, in the order in which ties are broken.
#[must_use]
pub fn stories(run: &Run<'_>, state: State, row: usize) -> Vec<Story> {
    let Some(number) = run.number(row) else { return Vec::new() };
    let Some((last, before)) = state.last.and_then(|last| Some((last, run.number(last)?))) else {
        let state = State { last: Some(row), weighed: row, stretch: row, block: None };
        return vec![Story { kind: None, clock: false, cost: 0, state }];
    };
    let mut told = Stories { run, state, row, all: Vec::with_capacity(4) };
    if before.next() == Some(number) {
        told.runs_on();
    } else if number > before {
        told.gap(last);
        told.jump(last, before, number);
    } else {
        told.rollover(before, number);
        told.restart(before, number);
    }
    if before.next() != Some(number) {
        told.reprint();
        told.clash();
        told.late(before, number);
    }
    told.all
}

struct Stories<'r, 'a> {
    run: &'r Run<'a>,
    state: State,
    row: usize,
    all: Vec<Story>,
}

impl Stories<'_, '_> {
    /// The row carries the run on, or begins one.
    fn carry(&mut self, kind: Option<EventKind>, cost: u32) {
        let begins = matches!(kind, Some(EventKind::Jump | EventKind::Restart | EventKind::Rollover));
        let stretch = if begins { self.row } else { self.state.stretch };
        let state = State { last: Some(self.row), weighed: self.row, stretch, block: None };
        self.with_clock(kind, cost, state);
    }

    /// The row stands beside the run.
    fn stray(&mut self, kind: EventKind, cost: u32, block: Option<TransactionNo>) {
        let state = State { block, ..self.state };
        self.all.push(Story { kind: Some(kind), clock: false, cost, state });
    }

    /// A row that was weighed when it was written has its time after the row before.
    fn with_clock(&mut self, kind: Option<EventKind>, cost: u32, state: State) {
        let (right, leapt) = self.clock(kind == Some(EventKind::Gap));
        let clocks = [(false, right), (true, leapt)].into_iter();
        let told = clocks.filter_map(|(clock, more)| Some(Story { kind, clock, cost: cost + more?, state }));
        self.all.extend(told);
    }

    /// What it costs that the clock went right, and that it leapt; `None` where it cannot have.
    fn clock(&self, drafts_missing: bool) -> (Option<u32>, Option<u32>) {
        clock(self.run, self.state.weighed, self.row, drafts_missing)
    }

    /// The row whose time counts, and this one.
    fn rows(&self) -> Option<(&Draft, &Draft)> {
        self.run.drafts.get(self.state.weighed).zip(self.run.drafts.get(self.row))
    }

    fn runs_on(&mut self) {
        self.carry(None, 0);
    }

    /// Whether the paper says that drafts are missing right before this row.
    fn paper_says_lost(&self, last: usize) -> Option<bool> {
        self.run.paper.says_lost(self.run.drafts.get(last)?, self.run.drafts.get(self.row)?)
    }

    fn gap(&mut self, last: usize) {
        let lost = self.run.nowhere(last, self.row);
        if lost == 0 {
            return self.carry(Some(EventKind::Gap), costs::DELAYED);
        }
        let many = u32::try_from((lost / costs::MISSING_PER_STEP).min(costs::MOST_FOR_MISSING)).unwrap_or(0);
        let room = match self.run.elapsed(self.state.weighed, self.row) {
            Some(seconds) if seconds > -CLOCK_TOLERANCE => match self.run.pace.room(seconds, lost) {
                Room::Enough => 0,
                Room::Little => costs::LITTLE_ROOM_IN_TIME,
                Room::None => costs::NO_ROOM_IN_TIME,
            },
            _ => 0,
        };
        let paper = if self.paper_says_lost(last) == Some(false) { costs::PAPER_SAYS_OTHERWISE } else { 0 };
        self.carry(Some(EventKind::Gap), costs::GAP + many + room + paper);
    }

    fn jump(&mut self, last: usize, before: TransactionNo, number: TransactionNo) {
        let round = if is_round(number) { 0 } else { costs::JUMP_NOT_ROUND };
        let little = if number.0 - before.0 <= LEAST_SET { costs::JUMP_BY_LITTLE } else { 0 };
        let paper = if self.paper_says_lost(last) == Some(true) { costs::PAPER_SAYS_OTHERWISE } else { 0 };
        self.carry(Some(EventKind::Jump), costs::JUMP + round + little + paper + self.inside_a_ticket());
    }

    /// A counter of so many decimal or binary digits is full at 9…9 or 2^n − 1.
    fn rollover(&mut self, before: TransactionNo, number: TransactionNo) {
        if number.0 <= 1 && is_full(before) {
            self.carry(Some(EventKind::Rollover), costs::ROLLOVER);
        }
    }

    fn restart(&mut self, before: TransactionNo, number: TransactionNo) {
        let at = match number.0 {
            0 | 1 => 0,
            _ if is_round(number) => costs::RESTART_NOT_AT_ONE,
            _ => costs::RESTART_NOT_ROUND,
        };
        let little = if before.0 + 1 < number.0 + LEAST_SET { costs::RESTART_BY_LITTLE } else { 0 };
        self.carry(Some(EventKind::Restart), costs::RESTART + at + little + self.inside_a_ticket());
    }

    fn inside_a_ticket(&self) -> u32 {
        let inside = self.rows().is_some_and(|(before, row)| what_begins(before, row).is_none());
        if inside { costs::SET_INSIDE_A_TICKET } else { 0 }
    }

    /// A copy carries the figures, the ticket and the lot of the first printing, and commonly its time.
    fn reprint(&mut self) {
        let run = self.run;
        let Some(row) = run.drafts.get(self.row) else { return };
        let alike = |place: &usize| run.drafts.get(*place).is_some_and(|other| same_figures(other, row));
        let to_the_second =
            |place: &usize| run.drafts.get(*place).is_some_and(|other| other.stated.at == row.stated.at);
        let timed = row.stated.at.is_some();
        let word_for_word = run.above(self.row).filter(alike).find(|place| timed && to_the_second(place));
        let here = run.above(self.row).filter(alike).find(|place| *place >= self.state.stretch);
        if word_for_word.is_some() {
            self.stray(EventKind::Reprint, costs::REPRINT, None);
        } else if let Some(first) = here {
            let other_time = if to_the_second(&first) { 0 } else { costs::PRINTED_AT_ANOTHER_TIME };
            self.stray(EventKind::Reprint, costs::REPRINT + other_time, None);
        }
    }

    /// The number is used up, but the draft was weighed in its turn.
    fn clash(&mut self) {
        let Some(other) = self.run.above(self.row).find(|place| *place >= self.state.stretch) else { return };
        let Some((other_row, row)) = self.run.drafts.get(other).zip(self.run.drafts.get(self.row)) else { return };
        let word_for_word = same_figures(other_row, row) && other_row.stated.at == row.stated.at;
        if word_for_word || (other_row.stated.head.is_none() && other_row.stated.gross.is_none()) {
            return;
        }
        let far = if self.row - other > CLASH_REACH { costs::CLASH_WITH_A_FAR_ROW } else { 0 };
        let state = State { weighed: self.row, block: None, ..self.state };
        self.with_clock(Some(EventKind::Clash), costs::CLASH + far, state);
    }

    /// A number that was left out in this stretch.
    fn late(&mut self, before: TransactionNo, number: TransactionNo) {
        let first = self.run.number(self.state.stretch);
        let left_out = first.is_some_and(|first| number > first) && number < before;
        if !left_out || self.run.above(self.row).any(|place| place >= self.state.stretch) {
            return;
        }
        let cost = match (self.state.block == Some(number), self.stands_by_its_time()) {
            (true, _) => 0,
            (false, true) => costs::LATE,
            (false, false) => costs::LATE + costs::LATE_BY_ITS_TIME_TOO,
        };
        self.stray(EventKind::Late, cost, number.next());
    }

    /// Whether the row was written late but carries a time from before that, between its neighbours by number.
    fn stands_by_its_time(&self) -> bool {
        let (below, above) = self.run.neighbours(self.row, self.state.stretch);
        let in_order = |from: Option<usize>, to: Option<usize>| {
            from.zip(to)
                .and_then(|(from, to)| self.run.elapsed(from, to))
                .is_none_or(|seconds| seconds > -CLOCK_TOLERANCE)
        };
        in_order(below, Some(self.row)) && in_order(Some(self.row), above)
    }
}

/// Whether a row that carries the run on shows nothing else of note: the clock went right.
#[must_use]
pub fn clock_goes_on(run: &Run<'_>, state: State, row: usize) -> bool {
    clock(run, state.weighed, row, false) == (Some(0), None)
}

fn clock(run: &Run<'_>, weighed: usize, row: usize, drafts_missing: bool) -> (Option<u32>, Option<u32>) {
    let Some((before, after)) = run.drafts.get(weighed).zip(run.drafts.get(row)) else { return (Some(0), None) };
    let Some(seconds) = elapsed(before, after) else {
        let days = before.stated.at.zip(after.stated.at).map(|(from, to)| to.date() - from.date());
        let back = days.is_some_and(|days| days.num_days() < 0);
        return if back { (None, Some(costs::CLOCK_BACK)) } else { (Some(0), None) };
    };
    if seconds <= -CLOCK_TOLERANCE {
        (None, Some(costs::CLOCK_BACK))
    } else if run.pauses.beyond_belief(seconds, || !drafts_missing && same_lot(before, after)) {
        (Some(costs::PAUSE_BEYOND_BELIEF), Some(costs::CLOCK))
    } else {
        (Some(0), None)
    }
}

/// A copy carries the ticket of the first printing; another ticket is another weighing.
#[must_use]
pub fn same_figures(one: &Draft, other: &Draft) -> bool {
    let (one, other) = (&one.stated, &other.stated);
    (one.head, one.gross, &one.ticket, &one.lot) == (other.head, other.gross, &other.ticket, &other.lot)
}

/// What begins with a row: a day, a lot or a ticket; `None` among the drafts of one.
#[must_use]
pub fn what_begins(before: &Draft, row: &Draft) -> Option<&'static str> {
    if before.stated.at.map(|time| time.date()) != row.stated.at.map(|time| time.date()) {
        Some("day")
    } else if before.stated.lot != row.stated.lot {
        Some("lot")
    } else if before.stated.ticket != row.stated.ticket {
        Some("ticket")
    } else {
        None
    }
}

/// Whether a person would key this number: the beginning of a hundred, or a beginning altogether.
#[must_use]
pub const fn is_round(number: TransactionNo) -> bool {
    number.0 <= 1 || (number.0 >= 100 && number.0 % 100 <= 1)
}

/// Whether a counter of some decimal or binary digits shows its largest number.
#[must_use]
pub fn is_full(number: TransactionNo) -> bool {
    let Some(capacity) = number.0.checked_add(1) else { return true };
    let power_of_ten = capacity.checked_ilog10().and_then(|digits| 10_u64.checked_pow(digits)) == Some(capacity);
    (capacity >= 100 && power_of_ten)
        || matches!(capacity, 0x100 | 0x8000 | 0x1_0000 | 0x100_0000 | 0x8000_0000 | 0x1_0000_0000)
}
