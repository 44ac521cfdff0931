//! Why we think that something happened, in plain words; and what else it may have been.

use super::leaps::{Leap, leap};
use super::model::EventKind;
use super::pace::Room;
use super::run::Run;
use super::stories::{is_round, what_begins};
use super::trail::Turn;
use crate::draft::Draft;
use crate::finding::words::drafts;

/// Below this margin both stories are told.
const CLEARLY: u32 = 9;

/// What speaks for an event, as ends of the sentence "We think so because …".
#[must_use]
pub fn reasons(run: &Run<'_>, turn: &Turn) -> Vec<String> {
    let Some(at) = At::of(run, turn) else { return Vec::new() };
    let mut why = match turn.kind {
        EventKind::Gap => at.gap(),
        EventKind::Jump => at.jump(),
        EventKind::Restart => at.restart(),
        EventKind::Rollover => {
            vec![format!("{} is the largest number such a counter can hold", at.last_number)]
        }
        EventKind::Reprint => at.reprint(),
        EventKind::Clash => at.clash(),
        EventKind::Late => at.late(),
        EventKind::Clock => vec![at.clock()],
    };
    why.extend(turn.margin.filter(|margin| *margin < CLEARLY).map(|_| otherwise(turn.rival)));
    why
}

/// The other story, where the two can hardly be told apart.
fn otherwise(rival: Option<EventKind>) -> String {
    let other = match rival {
        Some(EventKind::Gap) => "drafts are missing here",
        Some(EventKind::Jump) => "the counter was set ahead here",
        Some(EventKind::Restart) => "the counter was set back here",
        Some(EventKind::Rollover) => "the counter was full",
        Some(EventKind::Reprint) => "the draft was printed again",
        Some(EventKind::Clash) => "two weighings carry one number",
        Some(EventKind::Late) => "the draft stands out of order",
        Some(EventKind::Clock) => "the clock leapt",
        None => "nothing happened here",
    };
    format!("but it may as well be that {other}")
}

/// The rows around an event.
struct At<'a> {
    run: &'a Run<'a>,
    turn: &'a Turn,
    last: &'a Draft,
    row: &'a Draft,
    last_number: String,
    number: String,
    missing: u64,
}

impl<'a> At<'a> {
    fn of(run: &'a Run<'a>, turn: &'a Turn) -> Option<Self> {
        let last = turn.before.last?;
        let (from, to) = (run.number(last)?, run.number(turn.row)?);
        Some(Self {
            run,
            turn,
            last: run.drafts.get(last)?,
            row: run.drafts.get(turn.row)?,
            last_number: from.to_string(),
            number: to.to_string(),
            missing: to.0.saturating_sub(from.0).saturating_sub(1),
        })
    }

    fn seconds(&self) -> Option<i64> {
        self.run.elapsed(self.turn.before.weighed, self.turn.row)
    }

    fn room(&self) -> Option<(i64, Room)> {
        let seconds = self.seconds().filter(|seconds| *seconds >= 0)?;
        Some((seconds, self.run.pace.room(seconds, self.missing)))
    }

    fn paper(&self) -> Option<bool> {
        self.run.paper.says_lost(self.last, self.row)
    }

    fn gap(&self) -> Vec<String> {
        let room = self
            .room()
            .filter(|(_, room)| *room != Room::None)
            .map(|(seconds, _)| format!("{} passed, time enough for {}", duration(seconds), drafts(self.missing)));
        let paper =
            (self.paper() == Some(true)).then(|| "the paper tickets state more head than the rows hold".to_owned());
        let stated = [&self.last.stated.ticket, &self.last.stated.lot].into_iter().zip(["ticket", "lot"]);
        let same = stated.filter(|(written, _)| written.is_some()).map(|(_, what)| what).next();
        let same = same
            .filter(|_| what_begins(self.last, self.row).is_none())
            .map(|what| format!("the rows before and after are on the same {what}"));
        let all: Vec<String> = room.into_iter().chain(paper).chain(same).collect();
        if all.is_empty() { vec!["nothing shows that somebody set the counter".to_owned()] } else { all }
    }

    fn jump(&self) -> Vec<String> {
        let room = self
            .room()
            .filter(|(_, room)| *room == Room::None)
            .map(|(seconds, _)| format!("only {} passed, too short for {}", duration(seconds), drafts(self.missing)));
        let round = self.run.number(self.turn.row).is_some_and(is_round);
        let round = round.then(|| format!("{} is a round number to begin at", self.number));
        let paper =
            (self.paper() == Some(false)).then(|| "the paper tickets state no more head than the rows hold".to_owned());
        let all: Vec<String> = room.into_iter().chain(round).chain(paper).chain(self.begins()).collect();
        if all.is_empty() { vec![format!("the numbers run on from {}", self.number)] } else { all }
    }

    fn restart(&self) -> Vec<String> {
        let low = format!("{} is lower than {}", self.number, self.last_number);
        let round = self.run.number(self.turn.row).is_some_and(is_round);
        let round = round.then(|| format!("{} is a number to begin at", self.number));
        std::iter::once(low).chain(round).chain(self.begins()).collect()
    }

    fn begins(&self) -> Option<String> {
        what_begins(self.last, self.row).map(|what| format!("a new {what} begins here"))
    }

    fn reprint(&self) -> Vec<String> {
        let above = self.run.above(self.turn.row).filter_map(|place| self.run.drafts.get(place));
        let same_time = above.into_iter().any(|other| other.stated.at.is_some() && other.same_weighing(self.row));
        let figures = "number, head and weight are those of an earlier row".to_owned();
        let time = same_time.then(|| "the time is that of the earlier row too".to_owned());
        std::iter::once(figures).chain(time).chain(self.goes_on()).collect()
    }

    fn clash(&self) -> Vec<String> {
        let other = format!("an earlier row with number {} has another head, weight, ticket or time", self.number);
        std::iter::once(other).chain(self.goes_on()).collect()
    }

    fn late(&self) -> Vec<String> {
        let hole = "the number was still missing in this session".to_owned();
        std::iter::once(hole).chain(self.block()).chain(self.goes_on()).collect()
    }

    /// How far a block of late rows goes.
    fn block(&self) -> Option<String> {
        let first = self.run.number(self.turn.row)?;
        let rows = (self.turn.row..).map_while(|row| self.run.number(row)).zip(first.0..);
        let last = rows.take_while(|(number, wanted)| number.0 == *wanted).last().map(|(number, _)| number)?;
        (last > first).then(|| format!("{first} to {last} stand here together"))
    }

    /// Whether a row soon after goes on from the number before.
    fn goes_on(&self) -> Option<String> {
        let next = self.turn.before.last.and_then(|last| self.run.number(last))?.next()?;
        let soon = self.turn.row + 1..self.turn.row + 1 + SOON;
        let on = soon.into_iter().any(|row| self.run.number(row) == Some(next));
        on.then(|| format!("the rows after it go on with {next}"))
    }

    fn clock(&self) -> String {
        let weighed = self.run.drafts.get(self.turn.before.weighed);
        match weighed.and_then(|weighed| leap(weighed, self.row)) {
            Some(Leap::HourBack) => {
                "the numbers run on, and clocks are commonly set back by an hour about this day".to_owned()
            }
            Some(Leap::BeganAgain(_)) => {
                "the numbers run on, and a clock without power begins at such a date".to_owned()
            }
            Some(Leap::Back(seconds)) => format!("the numbers run on while the clock goes back {}", duration(seconds)),
            Some(Leap::Ahead(seconds)) => {
                format!(
                    "the numbers run on while the clock goes ahead {}, longer than anybody stops here",
                    duration(seconds)
                )
            }
            None => "the numbers run on while the date goes back".to_owned(),
        }
    }
}

/// So many rows after a stray are looked at for the run to go on.
const SOON: usize = 13;

/// A length of time in words.
#[must_use]
pub fn duration(seconds: i64) -> String {
    match seconds {
        ..120 => format!("{seconds} s"),
        120..7200 => format!("{} min", seconds / 60),
        7200..172_800 => format!("{} h", seconds / 3600),
        _ => format!("{} days", seconds / 86_400),
    }
}
