//! A day's work as it happens in the yard: lots, tickets, drafts and the time they take. No number has been given yet.

use super::chance::Chance;
use super::laws::{FASTEST_DRAFT, LONGEST_PAUSE, SLOWEST_DRAFT};

/// One draft on the scale.
#[derive(Clone, Debug)]
pub struct Weighing {
    /// Seconds after midnight of the day the sale began.
    pub second: i64,
    pub lot: usize,
    /// Place of its ticket among those of the same scale.
    pub ticket: usize,
    pub begins_lot: bool,
    /// Days between the first sale and the one it belongs to.
    pub day: i64,
    pub head: u64,
    pub gross: u64,
    pub kind: &'static str,
}

/// What is sold, and what one head weighs in pounds.
const KINDS: [(&str, i64, i64); 4] =
    [("Feeder cattle", 400, 900), ("Fed cattle", 1_220, 1_540), ("Lambs", 75, 130), ("Market hogs", 245, 295)];

/// What the work is like.
#[derive(Clone, Copy, Debug)]
pub struct Yard {
    pub drafts: usize,
    /// Seconds after midnight at which the work begins.
    pub start: i64,
    /// The division of the scale, in the unit.
    pub division: u64,
    pub kilograms: bool,
    /// Seconds of rest before a second sale, where the stick holds two.
    pub rest: Option<i64>,
}

/// Weighs a day, or two on one stick.
pub fn weighed(chance: &mut Chance, yard: Yard) -> Vec<Weighing> {
    let Yard { drafts: count, start, division, kilograms, rest } = yard;
    let pace = chance.between(60, 200);
    let mut day: Vec<Weighing> = Vec::with_capacity(count);
    let (mut second, mut lot, mut ticket, mut of_day) = (start, 0, 0, 0);
    let mut eaten = false;
    while day.len() < count {
        let drafts = chance.index(1, 9);
        let kind = chance.pick(&KINDS);
        let mean = chance.between(kind.1, kind.2);
        let most = (9_000 / kind.1).clamp(6, 60);
        for place in 0..drafts {
            let begins_lot = place == 0;
            if place > 0 && place % 5 == 0 {
                ticket += 1;
            }
            second += until_next(chance, pace, begins_lot);
            if begins_lot && !eaten && second - start > 3 * 3600 && !day.is_empty() {
                eaten = true;
                second += chance.between(30 * 60, 50 * 60);
            }
            if begins_lot && of_day == 0 && day.len() > count / 2 {
                second += rest.unwrap_or(0);
                of_day = if rest.is_some() { second / 86_400 } else { 0 };
            }
            let head = chance.between(most / 2, most);
            let gross = scaled(chance, head, mean, division, kilograms);
            let head = u64::try_from(head).unwrap();
            day.push(Weighing { second, lot, ticket, begins_lot, day: of_day, head, gross, kind: kind.0 });
        }
        lot += 1;
        ticket += 1;
    }
    day.truncate(count);
    day
}

/// Seconds from one draft to the next.
fn until_next(chance: &mut Chance, pace: i64, begins_lot: bool) -> i64 {
    let own = (pace * chance.between(60, 150) / 100).clamp(FASTEST_DRAFT, SLOWEST_DRAFT);
    let pause = match (begins_lot, chance.percent(3)) {
        (true, false) => chance.between(30, 360),
        (true, true) => chance.between(600, 1_500),
        (false, true) if chance.percent(8) => chance.between(1_800, LONGEST_PAUSE),
        (false, true) => chance.between(300, 900),
        (false, false) => 0,
    };
    own + pause
}

/// What the scale shows: a multiple of its division, each head within a few percent of its lot.
fn scaled(chance: &mut Chance, head: i64, mean: i64, division: u64, kilograms: bool) -> u64 {
    let pounds = head * mean * chance.between(980, 1_020) / 1_000;
    let weight = if kilograms { pounds * 4_536 / 10_000 } else { pounds };
    u64::try_from(weight).unwrap() / division * division
}

/// The first draft after the longest pause between two lots, and the first one after midnight.
pub fn landmarks(day: &[Weighing]) -> (Option<usize>, Option<usize>) {
    let pause = |place: &usize| day[*place].second - day[place - 1].second;
    let lunch = (1..day.len()).filter(|place| day[*place].begins_lot).max_by_key(pause);
    let midnight = (1..day.len()).find(|place| day[*place].second >= 86_400 && day[place - 1].second < 86_400);
    (lunch.filter(|place| pause(place) > 1_700), midnight)
}
