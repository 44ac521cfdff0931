//! What can go wrong on a sale day, and where on the day it does.

use super::chance::Chance;
use super::laws::{CLASH_REACH, HOUR, LEAST_LEAP_AHEAD, LONGEST_DELAY, LONGEST_DELAYED};
use super::work::{Weighing, landmarks};

/// One thing that goes wrong before a draft, named by its place among the day's drafts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Incident {
    /// The stick is out for so many drafts.
    Lost(usize),
    /// The stick goes in only after so many drafts.
    LateStick(usize),
    /// The stick is taken out so many drafts before the end.
    PulledEarly(usize),
    /// The operator sets the counter lower.
    Lower,
    /// The operator sets the counter ahead.
    Ahead,
    /// The counter passes its largest number.
    Rollover,
    /// The row of so many rows ago is written again.
    Reprint(usize),
    /// The draft takes the number of the row of so many rows ago.
    Clash(usize),
    /// Some rows are written only after so many others.
    Delayed {
        rows: usize,
        by: usize,
    },
    Clock(Leap),
    /// A second scale takes over, and its rows go into the same export.
    Changeover,
}

/// What the indicator's clock does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leap {
    /// It leaps ahead by so many seconds.
    Ahead(i64),
    /// It goes back by so many.
    Back(i64),
    /// It starts again at the first of January of a year.
    Epoch(i32),
    /// Daylight saving, an hour ahead.
    Spring,
    /// Daylight saving, an hour back.
    Autumn,
    /// Somebody sets it right again.
    SetRight,
}

/// The kinds of incident in words, for counting.
pub const NAMES: [&str; 12] = [
    "lost",
    "late stick",
    "pulled early",
    "lower",
    "ahead",
    "rollover",
    "reprint",
    "clash",
    "late row",
    "late block",
    "clock",
    "changeover",
];

impl Incident {
    pub const fn name(self) -> &'static str {
        match self {
            Self::Lost(_) => "lost",
            Self::LateStick(_) => "late stick",
            Self::PulledEarly(_) => "pulled early",
            Self::Lower => "lower",
            Self::Ahead => "ahead",
            Self::Rollover => "rollover",
            Self::Reprint(_) => "reprint",
            Self::Clash(_) => "clash",
            Self::Delayed { rows: 1, .. } => "late row",
            Self::Delayed { .. } => "late block",
            Self::Clock(_) => "clock",
            Self::Changeover => "changeover",
        }
    }

    /// Whether it gives the counter a number of the operator's choice.
    pub const fn sets_counter(self) -> bool {
        matches!(self, Self::Lower | Self::Ahead | Self::Changeover)
    }

    /// How many drafts it touches, counted from its own place.
    const fn span(self) -> usize {
        match self {
            Self::Lost(drafts) | Self::LateStick(drafts) | Self::PulledEarly(drafts) => drafts + 1,
            Self::Delayed { rows, by } => rows + by + 1,
            _ => 1,
        }
    }
}

/// What a day allows.
#[derive(Clone, Copy, Debug)]
pub struct Allowed {
    pub incidents: usize,
    pub ends: bool,
    pub changeover: bool,
}

/// Rows between two incidents, so that each can be told from the other.
const APART: usize = 6;

/// The incidents of one indicator's day, by place.
pub fn plan(chance: &mut Chance, day: &[Weighing], allowed: Allowed) -> Vec<(usize, Incident)> {
    let mut plan: Vec<(usize, Incident)> = Vec::new();
    let mut tries = 0;
    while plan.len() < allowed.incidents && tries < 60 {
        tries += 1;
        let incident = drawn(chance, allowed);
        let Some(place) = place(chance, day, incident) else { continue };
        if !fits(&plan, place, incident, day.len()) {
            continue;
        }
        plan.push((place, incident));
        if let Incident::Clock(leap) = incident {
            set_right(chance, &mut plan, place, leap, day.len(), allowed.incidents);
        }
    }
    plan.sort_by_key(|(place, _)| *place);
    plan
}

fn drawn(chance: &mut Chance, allowed: Allowed) -> Incident {
    let few = chance.weighted(&[((1, 1), 40), ((2, 4), 35), ((5, 14), 20), ((15, 30), 5)]);
    let few = chance.index(few.0, few.1);
    let ends = if allowed.ends { 6 } else { 0 };
    let delayed = Incident::Delayed { rows: 1, by: chance.index(1, 8) };
    let block = Incident::Delayed { rows: chance.index(2, LONGEST_DELAYED), by: chance.index(2, LONGEST_DELAY) };
    let ago = if chance.percent(50) { 1 } else { chance.index(2, 12) };
    let clash = if chance.percent(75) { 1 } else { chance.index(2, CLASH_REACH - 1) };
    let leap = leap(chance);
    chance.weighted(&[
        (Incident::Lost(few), 20),
        (Incident::LateStick(few), ends),
        (Incident::PulledEarly(few), ends),
        (Incident::Lower, 14),
        (Incident::Ahead, 10),
        (Incident::Rollover, 5),
        (Incident::Reprint(ago), 10),
        (Incident::Clash(clash), 6),
        (delayed, 6),
        (block, 4),
        (Incident::Clock(leap), 12),
        (Incident::Changeover, if allowed.changeover { 6 } else { 0 }),
    ])
}

fn leap(chance: &mut Chance) -> Leap {
    let far = chance.weighted(&[(12 * HOUR, 60), (20 * 24 * HOUR, 40)]);
    let ahead = Leap::Ahead(chance.between(LEAST_LEAP_AHEAD, far));
    let near = chance.between(15 * 60, 2 * HOUR);
    let back = Leap::Back(if chance.percent(50) { near } else { chance.between(3 * HOUR, far) });
    let epoch = Leap::Epoch(chance.pick(&[1980, 2000, 2010, 2015]));
    chance.weighted(&[(ahead, 30), (back, 25), (epoch, 25), (Leap::Spring, 10), (Leap::Autumn, 10)])
}

/// Where on the day it happens; nowhere, where the day has no such place.
fn place(chance: &mut Chance, day: &[Weighing], incident: Incident) -> Option<usize> {
    let last = day.len().checked_sub(incident.span() + APART)?;
    let anywhere = chance.index(APART, last.max(APART));
    let boundaries: Vec<usize> = (APART..last).filter(|place| day[*place].begins_lot).collect();
    let boundary = (!boundaries.is_empty()).then(|| chance.index(0, boundaries.len().max(1) - 1));
    let boundary = boundary.map(|at| boundaries[at]);
    let (lunch, midnight) = landmarks(day);
    match incident {
        Incident::LateStick(_) => Some(0),
        Incident::PulledEarly(drafts) => day.len().checked_sub(drafts),
        Incident::Rollover => Some(chance.index(APART, last.max(2 * APART) / 2)),
        Incident::Lower | Incident::Ahead => match chance.index(0, 9) {
            0..=3 => boundary,
            4..=5 => lunch.or(boundary),
            6..=7 => midnight.or(boundary),
            _ => Some(anywhere),
        },
        Incident::Changeover => boundary,
        _ => Some(anywhere),
    }
}

/// Whether it lies apart from the others and can happen beside them.
fn fits(plan: &[(usize, Incident)], place: usize, incident: Incident, drafts: usize) -> bool {
    let end = place + incident.span();
    let inside = match incident {
        Incident::LateStick(_) => end + APART < drafts,
        Incident::PulledEarly(_) => place > APART,
        _ => place >= APART && end + APART <= drafts,
    };
    let apart = |other: &(usize, Incident)| end + APART <= other.0 || other.0 + other.1.span() + APART <= place;
    let one_of_its_kind = |other: &(usize, Incident)| match incident {
        Incident::Clock(_) => !matches!(other.1, Incident::Clock(_)),
        Incident::Rollover => other.1 != Incident::Rollover && !(other.1.sets_counter() && other.0 < place),
        Incident::Changeover => other.1 != Incident::Changeover,
        _ => true,
    };
    let after_rollover =
        !incident.sets_counter() || plan.iter().all(|other| other.1 != Incident::Rollover || other.0 < place);
    inside && after_rollover && plan.iter().all(apart) && plan.iter().all(one_of_its_kind)
}

/// A clock that is far wrong is set right later on most days.
fn set_right(
    chance: &mut Chance,
    plan: &mut Vec<(usize, Incident)>,
    wrong: usize,
    leap: Leap,
    drafts: usize,
    most: usize,
) {
    let far = match leap {
        Leap::Ahead(_) | Leap::Epoch(_) => true,
        Leap::Back(seconds) => seconds >= LEAST_LEAP_AHEAD,
        Leap::Spring | Leap::Autumn | Leap::SetRight => false,
    };
    if !far || plan.len() >= most || !chance.percent(70) || wrong + 2 * APART >= drafts {
        return;
    }
    let place = chance.index(wrong + APART + 1, drafts - APART);
    let right = Incident::Clock(Leap::SetRight);
    let others: Vec<_> = plan.iter().filter(|(_, other)| !matches!(other, Incident::Clock(_))).copied().collect();
    if fits(&others, place, right, drafts) {
        plan.push((place, right));
    }
}
