//! Every history that could have written an indicator's rows, by exhaustive search over the simulator's own incidents.
//!
//! A history is a list of events. The search goes along the rows as they were written; at each it tries every incident that
//! could stand there, alone or together with a leap of the clock, and follows each as far as the number of incidents stays within
//! that of the truth. Only the laws of [`super::laws`] and the typed tickets may refuse one. An event is identifiable when it
//! stands, with the same bounds, in every history found. What can happen at a row with the number `m` after `n - 1`:
//!
//! - nothing: `m` is `n`, and the time since the last row is that of a draft, with a pause where one may be, or between two lots
//!   with the rest before another sale day;
//! - lost numbers: `m` is higher, there was time to weigh them, and no ticket says that nothing is lost here;
//! - set ahead, or a second scale: `m` is higher, it is round or there was no time, and no ticket says that something is lost;
//! - set lower, or a second scale: `m` is lower and round, or far from `n` where rows carry no scale id;
//! - rollover: `n - 1` is the end of some counter, and `m` is 0 or 1;
//! - a reprint: the row stands above, word for word;
//! - a clash: one of the last few rows has this number, and the rest differs;
//! - delayed rows: `m` is higher, the numbers left out follow together further down, and their times belong here;
//! - a leap of the clock, also beside any of these: the time goes back, or ahead farther than a pause, or by an hour.

use std::cmp::Ordering;
use std::ops::Range;

use chrono::NaiveDateTime;

use super::laws::*;
use super::truth::{Event, Row};

/// An indicator's rows, and what may be known beside them.
pub struct Known<'r> {
    pub rows: &'r [Row],
    pub indicator: &'r str,
    /// Seconds the clock does not show.
    pub slack: i64,
    pub shows_lots: bool,
    /// Whether a row names its scale, so that another scale's rows are another indicator's.
    pub names_scale: bool,
    /// Per row, whether the typed tickets say that drafts are lost right before it; none where they do not tell.
    pub paper: Vec<Option<bool>>,
}

/// With so many histories the search ends, and nothing is taken for certain.
const MOST: usize = 20_000;

#[derive(Clone)]
struct State {
    last: u64,
    at: NaiveDateTime,
    session_from: usize,
    delayed: Vec<Range<usize>>,
    events: Vec<Event>,
}

/// What could happen at a row: its events, whether the row takes part in the count, and how long it may have taken.
struct Story {
    event: Option<Event>,
    new_session: bool,
    next_delayed: Option<Range<usize>>,
    last: u64,
    at_most: i64,
    may_rest: bool,
}

/// Every history with at most so many incidents; `None` where there are too many to be looked through.
pub fn histories(known: &Known<'_>, incidents: usize) -> Option<Vec<Vec<Event>>> {
    let mut found = Vec::new();
    if let Some(first) = known.rows.first() {
        let (events, delayed) = (Vec::new(), Vec::new());
        let state = State { last: first.number, at: first.at, session_from: 0, delayed, events };
        follow(known, incidents, 1, state, &mut found);
    }
    let exhausted = found.len() < MOST;
    found.iter_mut().for_each(|history| history.sort());
    found.sort();
    found.dedup();
    exhausted.then_some(found)
}

fn follow(known: &Known<'_>, incidents: usize, place: usize, state: State, found: &mut Vec<Vec<Event>>) {
    if state.events.len() + state.delayed.len() > incidents || found.len() >= MOST {
        return;
    }
    let Some(row) = known.rows.get(place) else {
        found.push(state.events);
        return;
    };
    if let Some(block) = state.delayed.iter().find(|block| block.start == place).cloned() {
        let mut state = state;
        state.delayed.retain(|other| other.start != place);
        state.events.push(known.event("late", place));
        return follow(known, incidents, block.end, state, found);
    }
    if known.rows[..place].iter().any(|earlier| earlier.equals(row)) {
        let mut state = state.clone();
        state.events.push(known.event("reprint", place));
        follow(known, incidents, place + 1, state, found);
    }
    for clock in [false, true] {
        for story in known.stories(place, &state, clock) {
            if known.time_permits(place, &state, &story, clock) {
                follow(known, incidents, place + 1, known.told(place, &state, &story, clock), found);
            }
        }
    }
}

impl Known<'_> {
    fn event(&self, kind: &'static str, place: usize) -> Event {
        Event::between(kind, self.indicator, self.rows[place - 1].number, self.rows[place].number)
    }

    /// The state after a story, with or without a leap of the clock.
    fn told(&self, place: usize, state: &State, story: &Story, clock: bool) -> State {
        let row = &self.rows[place];
        let mut next = State { last: story.last, at: row.at, ..state.clone() };
        next.events.extend(story.event.clone());
        next.delayed.extend(story.next_delayed.clone());
        if clock {
            next.events.push(self.event("clock", place));
        }
        if story.new_session {
            next.session_from = place;
        }
        next
    }

    fn elapsed(&self, place: usize, state: &State) -> i64 {
        (self.rows[place].at - state.at).num_seconds()
    }

    fn time_permits(&self, place: usize, state: &State, story: &Story, clock: bool) -> bool {
        let elapsed = self.elapsed(place, state);
        let within = |low: i64, high: i64| (low - self.slack..=high + self.slack).contains(&elapsed);
        if clock {
            let hour = within(HOUR + FASTEST_DRAFT, HOUR + SLOWEST_DRAFT + LONGEST_PAUSE);
            return elapsed <= self.slack - LEAST_LEAP_BACK || elapsed >= LEAST_LEAP_AHEAD || hour;
        }
        let rested = story.may_rest && within(SHORTEST_REST, LONGEST_REST + story.at_most);
        rested || within(FASTEST_DRAFT, story.at_most)
    }

    /// Whether the row shows that it is of the same lot as the one before.
    fn same_lot(&self, place: usize) -> bool {
        self.shows_lots && self.rows[place - 1].lot == self.rows[place].lot
    }

    /// What can have happened to the numbers at this row, with a leap of the clock or without one.
    fn stories(&self, place: usize, state: &State, clock: bool) -> Vec<Story> {
        let (number, next) = (self.rows[place].number, state.last + 1);
        match number.cmp(&next) {
            Ordering::Equal => vec![self.story(place, None, number)],
            Ordering::Greater => self.higher(place, state, clock),
            Ordering::Less => self.lower(place, state),
        }
    }

    /// A story that takes no more time than a draft and a pause; `last` is the number from which is counted on.
    fn story(&self, place: usize, kind: Option<&'static str>, last: u64) -> Story {
        Story {
            event: kind.map(|kind| self.event(kind, place)),
            new_session: matches!(kind, Some("restart" | "jump")),
            next_delayed: None,
            last,
            at_most: SLOWEST_DRAFT + LONGEST_PAUSE,
            may_rest: !self.same_lot(place),
        }
    }

    /// A leap of the clock hides how much time there was.
    fn higher(&self, place: usize, state: &State, clock: bool) -> Vec<Story> {
        let (number, next) = (self.rows[place].number, state.last + 1);
        let lost = number - next;
        let time = time_allows(lost, self.elapsed(place, state), self.slack);
        let many = i64::try_from(lost.min(1_000)).unwrap_or(1_000);
        let at_most = LONGEST_PAUSE + (many + 1) * (SLOWEST_DRAFT + LONGEST_PAUSE);
        let long = Story { at_most, may_rest: true, ..self.story(place, None, number) };
        let mut stories = Vec::new();
        if lost >= LEAST_SET && (clock || !time || is_round(number)) && self.paper[place] != Some(true) {
            stories.push(self.story(place, Some("jump"), number));
        }
        if let Some(block) = self.delayed(place, state) {
            stories.push(Story { next_delayed: Some(block), event: None, ..long });
        }
        if (clock || time) && self.paper[place] != Some(false) {
            let (after, before) = (Some(self.rows[place - 1].number), Some(number));
            let gap = Event::gap(self.indicator, after, before, (next, number - 1));
            stories.push(Story { event: Some(gap), at_most, may_rest: true, ..self.story(place, None, number) });
        }
        stories
    }

    /// The rows further down that hold the numbers left out before this one.
    fn delayed(&self, place: usize, state: &State) -> Option<Range<usize>> {
        let (row, next) = (&self.rows[place], state.last + 1);
        let many = usize::try_from(row.number - next).ok().filter(|many| *many <= LONGEST_DELAYED)?;
        let reach = place + 1..self.rows.len().min(place + LONGEST_DELAY + 1);
        let fits = |from: &usize| {
            let block = self.rows.get(*from..from + many);
            block.is_some_and(|block| {
                let numbers = block.iter().zip(next..).all(|(row, number)| row.number == number);
                let begins = (block[0].at - state.at).num_seconds() >= FASTEST_DRAFT - self.slack;
                numbers && begins && block[many - 1].at <= row.at
            })
        };
        reach.into_iter().find(fits).map(|from| from..from + many)
    }

    fn lower(&self, place: usize, state: &State) -> Vec<Story> {
        let (number, next) = (self.rows[place].number, state.last + 1);
        let mut stories = Vec::new();
        let ended = COUNTER_ENDS.contains(&state.last);
        if ended && number <= 1 {
            stories.push(self.story(place, Some("rollover"), number));
        }
        let by_hand = is_round(number) && next - number >= LEAST_SET;
        let other_scale = !self.names_scale && next - number >= LEAST_CHANGEOVER;
        if (by_hand || other_scale) && !(ended && number <= 1) {
            stories.push(self.story(place, Some("restart"), number));
        }
        let from = state.session_from.max(place.saturating_sub(CLASH_REACH));
        let row = &self.rows[place];
        if self.rows[from..place].iter().any(|earlier| earlier.number == number && !earlier.equals(row)) {
            stories.push(self.story(place, Some("clash"), state.last));
        }
        stories
    }
}
