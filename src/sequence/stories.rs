//! Where the next number is not the last plus one: the stories that could be true, and what speaks for each.

use super::costs;
use super::model::EventKind;
use super::pace::{Pace, elapsed};
use crate::draft::Draft;
use crate::finding::words::drafts;
use crate::units::TransactionNo;

/// Two rows between which the numbers do not run on, and what lies around them.
pub struct Break<'a> {
    /// The last row that ran on.
    pub before: &'a Draft,
    /// The row in question.
    pub row: &'a Draft,
    /// Their numbers.
    pub last: TransactionNo,
    /// The number of the row in question.
    pub number: TransactionNo,
    /// The number of the row after it.
    pub following: Option<TransactionNo>,
    /// An earlier row with this number in this session.
    pub earlier: Option<&'a Draft>,
    /// Whether the number lies in a hole of this session.
    pub in_hole: bool,
    /// The day's pace.
    pub pace: Option<Pace>,
}

/// One possible story.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Story {
    /// What happened.
    pub kind: EventKind,
    /// What it costs.
    pub cost: u32,
    /// What speaks for it, in plain words.
    pub why: Vec<String>,
}

impl Story {
    const fn new(kind: EventKind, cost: u32) -> Self {
        Self { kind, cost, why: Vec::new() }
    }

    /// Adds `cost` when `against` holds, else the reason in favour.
    fn unless(mut self, against: bool, cost: u32, reason: impl Into<String>) -> Self {
        if against {
            self.cost += cost;
        } else {
            self.why.push(reason.into());
        }
        self
    }

    /// The same, where the absence of the one does not yet speak for the other.
    fn unless_told(self, against: bool, cost: u32, in_favour: bool, reason: &str) -> Self {
        let story = Self { cost: self.cost + if against { cost } else { 0 }, ..self };
        if in_favour && !against { story.because(reason) } else { story }
    }

    fn because(mut self, reason: impl Into<String>) -> Self {
        self.why.push(reason.into());
        self
    }
}

/// What speaks for a counter that was set.
const GOES_ON: &str = "the rows after go on from the new number";

/// What speaks for a stray row.
const BACK: &str = "the rows after go on from the old number";

/// All stories that fit, cheapest first; of equal cost, the kind that stands first in [`EventKind`].
#[must_use]
pub fn stories(at: &Break<'_>) -> Vec<Story> {
    let all = [gap(at), restart(at), jump(at), rollover(at), reprint(at), clash(at), late(at)];
    let mut stories: Vec<_> = all.into_iter().flatten().collect();
    stories.sort_by_key(|story| (story.cost, story.kind));
    stories
}

fn gap(at: &Break<'_>) -> Option<Story> {
    let missing = at.missing().filter(|missing| *missing > 0)?;
    let for_size = (missing / costs::MISSING_PER_STEP).min(costs::MOST_FOR_MISSING);
    let story = Story::new(EventKind::Gap, costs::GAP + u32::try_from(for_size).unwrap_or(u32::MAX));
    let story = match (at.pace, elapsed(at.before, at.row)) {
        (Some(pace), Some(seconds)) => {
            let reason = format!("{} passed, time enough for {}", duration(seconds), drafts(missing));
            story.unless(!pace.leaves_room(seconds, missing), costs::NO_ROOM_IN_TIME, reason)
        }
        _ => story,
    };
    Some(if at.same_ticket() { story.because("the rows before and after are on the same ticket") } else { story })
}

fn restart(at: &Break<'_>) -> Option<Story> {
    (at.number <= at.last).then_some(())?;
    let same = if at.number == at.last { costs::RESTART_AT_THE_SAME } else { 0 };
    let story = Story::new(EventKind::Restart, costs::RESTART + same + at.stops_again())
        .unless(at.number.0 > 1, costs::RESTART_NOT_AT_ONE, format!("the new number is {}", at.number))
        .unless_told(at.goes_on_from_old(), costs::OLD_NUMBERS_GO_ON, at.goes_on_from_new(), GOES_ON);
    Some(at.set_between(story))
}

fn jump(at: &Break<'_>) -> Option<Story> {
    let missing = at.missing().filter(|missing| *missing > 0)?;
    let round = at.number.0 >= 100 && (at.number.0.is_multiple_of(100) || at.number.0 % 100 == 1);
    let story = Story::new(EventKind::Jump, costs::JUMP + at.stops_again())
        .unless(!round, costs::JUMP_NOT_ROUND, format!("{} is a round number to begin at", at.number))
        .unless_told(at.goes_on_from_old(), costs::OLD_NUMBERS_GO_ON, at.goes_on_from_new(), GOES_ON);
    let story = match (at.pace, elapsed(at.before, at.row)) {
        (Some(pace), Some(seconds)) if !pace.leaves_room(seconds, missing) => {
            story.because(format!("only {} passed, too short for {}", duration(seconds), drafts(missing)))
        }
        _ => story,
    };
    Some(at.set_between(story))
}

/// A counter of so many decimal or binary digits is full at 9…9 or 2^n − 1.
fn rollover(at: &Break<'_>) -> Option<Story> {
    let capacity = at.last.next()?.0;
    let decimal = capacity >= 100 && is_power_of_ten(capacity);
    let binary = matches!(capacity, 0x100 | 0x8000 | 0x1_0000 | 0x100_0000 | 0x8000_0000 | 0x1_0000_0000);
    ((decimal || binary) && at.number.0 <= 1).then(|| {
        Story::new(EventKind::Rollover, costs::ROLLOVER)
            .because(format!("{} is the largest number such a counter can hold", at.last))
    })
}

/// A copy carries the ticket of the first printing; another ticket is another weighing.
fn reprint(at: &Break<'_>) -> Option<Story> {
    let same =
        |draft: &Draft| (draft.stated.head, draft.stated.gross, draft.stated.ticket.clone(), draft.stated.lot.clone());
    let earlier = at.earlier.filter(|earlier| same(earlier) == same(at.row))?;
    let story =
        Story::new(EventKind::Reprint, costs::REPRINT).because("number, head and weight are those of an earlier row");
    let story = story.unless(
        earlier.stated.at != at.row.stated.at && at.goes_on_from_new(),
        costs::OLD_NUMBERS_END,
        "the numbers after it run on as if it were not there",
    );
    Some(story.unless(
        earlier.stated.at != at.row.stated.at,
        costs::PRINTED_AT_ANOTHER_TIME,
        "the time is that of the earlier row too",
    ))
}

fn clash(at: &Break<'_>) -> Option<Story> {
    let earlier = at.earlier.filter(|earlier| !earlier.same_weighing(at.row))?;
    let story = Story::new(EventKind::Clash, costs::CLASH)
        .because(format!("an earlier row with number {} has another head or weight", at.number))
        .unless(at.goes_on_from_new(), costs::OLD_NUMBERS_END, "the numbers after it run on as if it were not there");
    (earlier.stated.head.is_some() || earlier.stated.gross.is_some()).then_some(story)
}

fn late(at: &Break<'_>) -> Option<Story> {
    let leads_elsewhere = at.following.is_some() && !at.goes_on_from_old();
    at.in_hole.then(|| {
        Story::new(EventKind::Late, costs::LATE).because("the number was still missing in this session").unless_told(
            leads_elsewhere,
            costs::OLD_NUMBERS_END,
            at.goes_on_from_old(),
            BACK,
        )
    })
}

impl Break<'_> {
    /// How many numbers lie between; `None` where the number does not go up.
    fn missing(&self) -> Option<u64> {
        self.number.0.checked_sub(self.last.0)?.checked_sub(1)
    }

    fn goes_on_from_old(&self) -> bool {
        self.following.is_some() && self.following == self.last.next()
    }

    /// The cost of a run that does not go on from the new number either.
    fn stops_again(&self) -> u32 {
        let stops = self.following.is_some() && !self.goes_on_from_new();
        if stops { costs::NEW_NUMBERS_STOP } else { 0 }
    }

    fn goes_on_from_new(&self) -> bool {
        self.following.is_some() && self.following == self.number.next()
    }

    fn same_ticket(&self) -> bool {
        self.before.stated.ticket.is_some() && self.before.stated.ticket == self.row.stated.ticket
    }

    /// Counters are set between lots, tickets or days.
    fn set_between(&self, story: Story) -> Story {
        let begins = what_begins(self.before, self.row);
        let reason = format!("a new {} begins here", begins.unwrap_or_default());
        story.unless(begins.is_none(), costs::SET_INSIDE_A_TICKET, reason)
    }
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

fn is_power_of_ten(number: u64) -> bool {
    number.checked_ilog10().and_then(|digits| 10_u64.checked_pow(digits)) == Some(number)
}

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
