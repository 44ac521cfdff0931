//! Plays one indicator's day: gives the drafts their numbers and times, writes the rows, and notes what happens.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

use super::chance::Chance;
use super::incident::{Incident, Leap};
use super::laws::{COUNTER_ENDS, FASTEST_DRAFT, LEAST_CHANGEOVER, LEAST_SET, time_allows};
use super::truth::{Event, Noted, Row, Run, Session};
use super::work::Weighing;

/// What a day of an indicator is made from.
pub struct Day<'d> {
    pub indicator: &'d str,
    pub date: NaiveDate,
    pub weighings: &'d [Weighing],
    pub plan: &'d [(usize, Incident)],
}

struct Counter {
    next: u64,
    first: u64,
    last: u64,
    /// The counter has just begun again.
    rolled: bool,
}

struct Player<'d> {
    day: &'d Day<'d>,
    chance: &'d mut Chance,
    counter: Counter,
    /// What the clock shows beyond the true time.
    clock_off: TimeDelta,
    run: Run,
    /// Rows not yet written, and the draft before which they are.
    delayed: Option<(Vec<Row>, usize, usize)>,
    session_from: usize,
}

/// Plays the day; incidents that could not happen (no lower number to be set, say) do not.
pub fn played(chance: &mut Chance, day: &Day<'_>) -> Run {
    let counter = counter(chance, day);
    let digits = counter.last.to_string().len();
    let run = Run { indicator: day.indicator.to_owned(), digits, ..Run::default() };
    let mut player = Player { day, chance, counter, clock_off: TimeDelta::zero(), run, delayed: None, session_from: 0 };
    let mut place = 0;
    while place < day.weighings.len() {
        player.write_delayed(place);
        let incident = day.plan.iter().find(|(at, _)| *at == place).map(|(_, incident)| *incident);
        let lost = incident.map_or(0, |incident| player.happens(incident, place));
        place += lost;
        if lost == 0 {
            place += player.weigh(place, incident);
        }
    }
    player.end_session();
    player.run
}

/// A counter that does not pass its end, unless that is planned.
fn counter(chance: &mut Chance, day: &Day<'_>) -> Counter {
    let first = chance.number(0, 1);
    let last = chance.weighted(&COUNTER_ENDS.map(|end| (end, if end == 999 { 10 } else { 18 })));
    let planned = day.plan.iter().find(|(_, incident)| *incident == Incident::Rollover);
    let room = 2 * day.weighings.len() as u64 + 60;
    let next = match planned {
        Some((place, _)) => {
            let before = day.plan.iter().filter(|(other, _)| other < place);
            let clashes = before.filter(|(_, incident)| matches!(incident, Incident::Clash(_))).count();
            last + 1 - (*place - clashes) as u64
        }
        None if chance.percent(25) => 1,
        None => chance.number(2, last.saturating_sub(room).max(2)),
    };
    Counter { next, first, last, rolled: false }
}

impl Player<'_> {
    /// Lets something happen before a draft; how many drafts are lost to it.
    fn happens(&mut self, incident: Incident, place: usize) -> usize {
        match incident {
            Incident::Lost(drafts) | Incident::LateStick(drafts) | Incident::PulledEarly(drafts) => {
                self.lose(place, drafts);
                return drafts;
            }
            Incident::Lower => self.set(place, Self::lower),
            Incident::Ahead => self.set(place, Self::ahead),
            Incident::Changeover => self.set(place, Self::other_scale),
            Incident::Reprint(ago) => self.reprint(ago),
            Incident::Clock(leap) => self.leap(leap, place),
            Incident::Rollover | Incident::Clash(_) | Incident::Delayed { .. } => {}
        }
        0
    }

    /// Weighs drafts and writes their rows; how many.
    fn weigh(&mut self, place: usize, incident: Option<Incident>) -> usize {
        match incident {
            Some(Incident::Clash(ago)) => {
                let number = self.run.rows[self.run.rows.len() - ago].number;
                let row = self.row(place, number);
                let from = self.run.rows.len() - ago;
                self.run.numbers.push(number);
                self.note("clash", number, from);
                self.run.rows.push(row);
            }
            Some(Incident::Delayed { rows, by }) => {
                let held = (place..place + rows).map(|place| self.numbered(place)).collect();
                self.delayed = Some((held, place + rows + by, self.run.rows.len()));
                return rows;
            }
            _ => {
                if std::mem::take(&mut self.counter.rolled) {
                    self.note("rollover", self.counter.next, self.run.rows.len() - 1);
                }
                let row = self.numbered(place);
                self.run.rows.push(row);
            }
        }
        1
    }

    /// Notes an event that ends with the row about to be written.
    fn note(&mut self, kind: &'static str, before: u64, from_row: usize) {
        let after = self.run.rows.last().unwrap().number;
        let event = Event::between(kind, self.day.indicator, after, before);
        self.run.noted.push(Noted { event, from_row, to_row: self.run.rows.len() });
    }

    fn numbered(&mut self, place: usize) -> Row {
        let number = self.take_number();
        self.row(place, number)
    }

    fn take_number(&mut self) -> u64 {
        let number = self.counter.next;
        self.run.numbers.push(number);
        self.counter.rolled = number == self.counter.last;
        self.counter.next = if self.counter.rolled { self.counter.first } else { number + 1 };
        number
    }

    fn row(&self, place: usize, number: u64) -> Row {
        let Weighing { second, lot, ticket, head, gross, kind, .. } = self.day.weighings[place];
        let at = self.true_time(second) + self.clock_off;
        Row { number, at, written: second, lot, ticket, head, gross, kind, reprint: false }
    }

    fn true_time(&self, second: i64) -> NaiveDateTime {
        self.day.date.and_hms_opt(0, 0, 0).unwrap() + TimeDelta::seconds(second)
    }

    fn lose(&mut self, place: usize, drafts: usize) {
        let after = self.run.rows.last().map(|row| row.number);
        let numbers: Vec<u64> = (0..drafts).map(|_| self.take_number()).collect();
        let before = (place + drafts < self.day.weighings.len()).then_some(self.counter.next);
        let lost = (numbers[0], numbers[drafts - 1]);
        let event = Event::gap(self.day.indicator, after, before, lost);
        let to_row = self.run.rows.len();
        self.run.noted.push(Noted { event, from_row: to_row.saturating_sub(1), to_row });
    }

    fn set(&mut self, place: usize, choose: fn(&mut Self, i64, u64) -> Option<u64>) {
        let last = self.run.rows.last().unwrap();
        let elapsed = self.day.weighings[place].second - last.written;
        let left = (self.day.weighings.len() - place) as u64 + 50;
        let Some(number) = choose(self, elapsed, left) else { return };
        let kind = if number < self.counter.next { "restart" } else { "jump" };
        self.note(kind, number, self.run.rows.len() - 1);
        self.counter.next = number;
        self.end_session();
    }

    /// The beginning, or a round number below.
    fn lower(&mut self, _: i64, _: u64) -> Option<u64> {
        let next = self.counter.next;
        let start = self.chance.number(self.counter.first, 1);
        let target = if self.chance.percent(60) { start } else { self.chance.number(0, next / 100) * 100 };
        (target >= self.counter.first && next >= target + LEAST_SET).then_some(target)
    }

    /// Mostly a round number that the time leaves no room for, or a slip of the hand far beyond it.
    fn ahead(&mut self, elapsed: i64, left: u64) -> Option<u64> {
        let next = self.counter.next;
        let most = self.counter.last.checked_sub(left)?;
        let slip = self.chance.percent(25);
        let careless = self.chance.percent(10);
        let far = if self.chance.percent(70) { next + 3_000 } else { most };
        (0..60).find_map(|_| {
            let drawn = self.chance.number(next + LEAST_SET, far.min(most).max(next + LEAST_SET));
            let target = if slip { drawn + 100 } else { drawn.div_ceil(100) * 100 + self.chance.number(0, 1) };
            let within = target <= most && target >= next + LEAST_SET;
            let slack = 120;
            (within && ((careless && !slip) || !time_allows(target - next, elapsed, slack))).then_some(target)
        })
    }

    /// Where the counter of a second scale stands.
    fn other_scale(&mut self, elapsed: i64, left: u64) -> Option<u64> {
        let next = self.counter.next;
        let last = self.chance.pick(&COUNTER_ENDS);
        let beyond = LEAST_CHANGEOVER.max(u64::try_from(elapsed / FASTEST_DRAFT).unwrap() + 50);
        let target = (0..60).find_map(|_| {
            let drawn = self.chance.number(1, last.saturating_sub(left).max(1));
            (drawn.abs_diff(next) >= beyond).then_some(drawn)
        })?;
        self.counter.last = last;
        Some(target)
    }

    /// A row once more, word for word; of the same session, as far as it reaches back.
    fn reprint(&mut self, ago: usize) {
        let from = self.run.rows.len().saturating_sub(ago).max(self.session_from);
        let Some(original) = self.run.rows.get(from).filter(|row| !row.reprint) else { return };
        let written = self.run.rows.last().unwrap().written;
        let copy = Row { reprint: true, written, ..original.clone() };
        self.note("reprint", copy.number, from);
        self.run.rows.push(copy);
    }

    fn leap(&mut self, leap: Leap, place: usize) {
        let second = self.day.weighings[place].second;
        let last = self.run.rows.last().unwrap();
        let since = TimeDelta::seconds(second - last.written);
        let off = match leap {
            Leap::Ahead(seconds) => self.clock_off + TimeDelta::seconds(seconds),
            Leap::Back(seconds) => self.clock_off - since - TimeDelta::seconds(seconds),
            Leap::Spring => self.clock_off + TimeDelta::hours(1),
            Leap::Autumn => self.clock_off - TimeDelta::hours(1),
            Leap::SetRight => TimeDelta::zero(),
            Leap::Epoch(year) => {
                let begins = NaiveDate::from_ymd_opt(year, 1, 1).unwrap().and_hms_opt(0, 0, 0).unwrap();
                begins + TimeDelta::seconds(self.chance.between(60, 900)) - self.true_time(second)
            }
        };
        let seen_back = last.at - (self.true_time(second) + off);
        let unseen = leap == Leap::Autumn && seen_back < TimeDelta::minutes(6);
        if off != self.clock_off && !unseen {
            self.clock_off = off;
            self.note("clock", self.counter.next, self.run.rows.len() - 1);
        }
    }

    fn write_delayed(&mut self, place: usize) {
        let Some((rows, _, from)) = self.delayed.take_if(|(_, until, _)| *until == place) else { return };
        let written = self.run.rows.last().unwrap().written;
        self.note("late", rows[0].number, from.saturating_sub(1));
        let to_row = self.run.rows.len() + rows.len();
        self.run.noted.last_mut().unwrap().to_row = to_row;
        self.run.rows.extend(rows.into_iter().map(|row| Row { written, ..row }));
    }

    /// Closes the session with the rows written so far.
    fn end_session(&mut self) {
        let rows = self.run.rows[self.session_from..].iter().filter(|row| !row.reprint);
        let (drafts, head) = rows.fold((0, 0), |(drafts, head), row| (drafts + 1, head + row.head));
        self.run.sessions.push(Session { indicator: self.day.indicator.to_owned(), drafts, head });
        self.session_from = self.run.rows.len();
    }
}
