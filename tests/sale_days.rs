//! The judge of explained numbers is judged itself: simulated sale days, what is known of them, and how answers are scored.

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveTime, TimeDelta};
use serde_json::{Value, json};

use crate::support::asked::Asked;
use crate::support::sale_days::answer::{Said, of_clerk, of_document};
use crate::support::sale_days::chance::Chance;
use crate::support::sale_days::histories::{Known, histories};
use crate::support::sale_days::incident::{Incident, Leap, NAMES};
use crate::support::sale_days::indicator::{Day, played};
use crate::support::sale_days::made::{File, SaleDay, Truth, sale_day};
use crate::support::sale_days::score::{Judged, Score, Tally, drafts_stand_once, judged, standings_right};
use crate::support::sale_days::truth::{Event, KINDS, Row, Run};
use crate::support::sale_days::work::{Weighing, Yard, weighed};
use crate::support::sale_days::{DAYS, SCORING_SEEDS, WORKING_SEEDS, program, shown};

fn working_days(count: u64) -> impl Iterator<Item = SaleDay> {
    (WORKING_SEEDS..WORKING_SEEDS + count).map(sale_day)
}

fn date() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 14).unwrap()
}

/// Rows written down as number and time; each has a weight of its own, and ten rows make a lot.
fn rows(written: &[(u64, &str)]) -> Vec<Row> {
    let row = |(place, (number, time)): (usize, &(u64, &str))| Row {
        number: *number,
        at: date().and_time(NaiveTime::parse_from_str(time, "%H:%M").unwrap()),
        written: i64::try_from(place).unwrap(),
        lot: place / 10,
        ticket: place / 10,
        head: 10,
        gross: 6_000 + 5 * u64::try_from(place).unwrap(),
        kind: "Feeder cattle",
        reprint: false,
    };
    written.iter().enumerate().map(row).collect()
}

/// What could have written these rows, as short texts, with at most so many incidents.
fn told(rows: &[Row], incidents: usize, paper: Option<bool>) -> Vec<String> {
    let known =
        Known { rows, indicator: "1", slack: 60, shows_lots: true, names_scale: true, paper: vec![paper; rows.len()] };
    let in_words = |history: &Vec<Event>| history.iter().map(shown::in_short).collect::<Vec<_>>().join(", ");
    histories(&known, incidents).unwrap().iter().map(in_words).collect()
}

fn gap(after: u64, before: u64) -> Event {
    Event::gap("1", Some(after), Some(before), (after + 1, before - 1))
}

fn said(events: &[Event]) -> Vec<Said> {
    events.iter().map(|event| Said { event: event.clone(), confidence: 0.97 }).collect()
}

#[test]
fn a_seed_is_a_day() {
    let texts = |seed| sale_day(seed).files.into_iter().map(|file| file.text).collect::<Vec<_>>();
    for seed in WORKING_SEEDS..WORKING_SEEDS + 20 {
        assert_eq!(texts(seed), texts(seed));
        assert_ne!(texts(seed), texts(seed + 1));
    }
    const { assert!(WORKING_SEEDS + 100 * DAYS < SCORING_SEEDS, "nobody works on a day of the score") };
}

#[test]
fn every_kind_of_incident_and_event_occurs_and_some_days_are_clean() {
    let days: Vec<_> = working_days(300).collect();
    let happened: BTreeSet<_> = days.iter().flat_map(|day| &day.incidents).map(|incident| incident.name()).collect();
    assert_eq!(happened, BTreeSet::from(NAMES));
    let runs = days.iter().flat_map(|day| &day.runs);
    let kinds: BTreeSet<_> = runs.flat_map(|run| &run.noted).map(|noted| noted.event.kind).collect();
    assert_eq!(kinds, BTreeSet::from(KINDS));
    let clean = days.iter().filter(|day| day.is_clean()).count();
    assert!((30..70).contains(&clean), "{clean} of 300");
    assert!(days.iter().filter(|day| day.is_clean()).all(|day| day.runs.iter().all(|run| run.noted.is_empty())));
}

#[test]
fn what_happened_is_always_among_the_histories_and_most_of_it_can_be_told() {
    let truths: Vec<_> = working_days(300).map(|day| (day.seed, day.truth())).collect();
    let unfound: Vec<_> = truths.iter().filter(|(_, truth)| !truth.found).map(|(seed, _)| seed).collect();
    assert_eq!(unfound, Vec::<&u64>::new());
    let certain: usize = truths.iter().map(|(_, truth)| truth.certain.len()).sum();
    let open: usize = truths.iter().map(|(_, truth)| truth.open.len()).sum();
    assert!(100 * certain >= 85 * (certain + open), "{certain} certain, {open} open");
    assert!(open > 0, "some things cannot be told from rows");
}

/// Three minutes and more for each number left out: that many drafts can be weighed. 96 in 20 minutes cannot.
#[test]
fn a_jump_of_the_number_is_told_by_the_time_it_took() {
    let slow = rows(&[(1, "09:00"), (2, "09:03"), (12, "09:50"), (13, "09:53")]);
    assert_eq!(told(&slow, 1, None), ["1 gap 2..12 lost 3-11"]);
    let fast = rows(&[(1, "09:00"), (2, "09:03"), (99, "09:06"), (100, "09:09")]);
    assert_eq!(told(&fast, 1, None), ["1 jump 2..99"]);
    assert_eq!(told(&fast, 0, None), Vec::<String>::new(), "nothing does not explain it");
}

/// 98 numbers need 66 minutes at the fastest pace, and 200 is what an operator would key: only paper decides. Ten rows before
/// the break end a lot, so that a pause is possible.
#[test]
fn a_round_number_that_time_allows_is_open_until_the_paper_decides() {
    let mut written: Vec<(u64, &str)> = vec![(92, "08:00"); 10];
    let times = ["08:00", "08:02", "08:04", "08:06", "08:08", "08:10", "08:12", "08:14", "08:16", "08:18"];
    for (place, row) in written.iter_mut().enumerate() {
        *row = (92 + place as u64, times[place]);
    }
    written.extend([(200, "09:33"), (201, "09:35")]);
    let rows = rows(&written);
    assert_eq!(told(&rows, 1, None), ["1 gap 101..200 lost 102-199", "1 jump 101..200"]);
    assert_eq!(told(&rows, 1, Some(true)), ["1 gap 101..200 lost 102-199"]);
    assert_eq!(told(&rows, 1, Some(false)), ["1 jump 101..200"]);
}

#[test]
fn lower_numbers_are_told_apart() {
    let lower = rows(&[(57, "09:00"), (58, "09:03"), (1, "09:06"), (2, "09:09")]);
    assert_eq!(told(&lower, 1, None), ["1 restart 58..1"]);
    let rolled = rows(&[(9_998, "09:00"), (9_999, "09:03"), (0, "09:06"), (1, "09:09")]);
    assert_eq!(told(&rolled, 1, None), ["1 rollover 9999..0"]);
    let clash = rows(&[(7, "09:00"), (8, "09:03"), (8, "09:06"), (9, "09:09")]);
    assert_eq!(told(&clash, 1, None), ["1 clash 8..8"]);
    let mut reprint = rows(&[(7, "09:00"), (8, "09:03"), (9, "09:06"), (7, "09:00"), (10, "09:09")]);
    reprint[3] = reprint[0].clone();
    assert_eq!(told(&reprint, 1, None), ["1 reprint 9..7"]);
    let late = rows(&[(8, "09:00"), (10, "09:06"), (11, "09:09"), (9, "09:03"), (12, "09:12")]);
    assert_eq!(told(&late, 1, None), ["1 late 11..9"]);
    let block = rows(&[(8, "09:00"), (11, "09:09"), (12, "09:12"), (9, "09:03"), (10, "09:06"), (13, "09:15")]);
    assert_eq!(told(&block, 1, None), ["1 late 12..9"]);
}

#[test]
fn clocks_are_told_from_pauses() {
    let back = rows(&[(7, "09:00"), (8, "09:03"), (9, "08:10"), (10, "08:13")]);
    assert_eq!(told(&back, 1, None), ["1 clock 8..9"]);
    let ahead = rows(&[(7, "09:00"), (8, "09:03"), (9, "14:10"), (10, "14:13")]);
    assert_eq!(told(&ahead, 1, None), ["1 clock 8..9"], "nobody stops for five hours in a lot");
    // An hour may be lunch or a broken gate; between two lots, ten hours may be the time until another sale.
    let hour = rows(&[(7, "09:00"), (8, "09:03"), (9, "10:06"), (10, "10:09")]);
    assert_eq!(told(&hour, 1, None), ["", "1 clock 8..9"]);
    let mut night = rows(&[(7, "09:00"), (8, "09:03"), (9, "19:06"), (10, "19:09")]);
    assert_eq!(told(&night, 1, None), ["1 clock 8..9"]);
    night[2..].iter_mut().for_each(|row| row.lot = 1);
    assert_eq!(told(&night, 1, None), ["", "1 clock 8..9"]);
}

/// Twenty-four drafts without any pause between, three minutes apart.
fn plain_work() -> Vec<Weighing> {
    let weighing = |place: usize| Weighing {
        second: 8 * 3_600 + 180 * i64::try_from(place).unwrap(),
        lot: place / 4,
        ticket: place / 4,
        begins_lot: place.is_multiple_of(4),
        day: 0,
        head: 10 + place as u64,
        gross: 6_000,
        kind: "Feeder cattle",
    };
    (0..24).map(weighing).collect()
}

/// Plays one incident; numbers are counted from the first one given.
fn played_with(place: usize, incident: Incident) -> (Vec<i64>, Vec<String>, Run) {
    let (weighings, plan) = (plain_work(), [(place, incident)]);
    let day = Day { indicator: "1", date: date(), weighings: &weighings, plan: &plan };
    let run = played(&mut Chance::new(5), &day);
    let first = i64::try_from(run.numbers[0]).unwrap();
    let off = |number: u64| i64::try_from(number).unwrap() - first;
    let number = |number: Option<u64>| number.map_or("-".to_owned(), |number| off(number).to_string());
    let event = |event: &Event| {
        let lost = event.lost().map(|(first, last)| format!(" {}-{}", off(first), off(last))).unwrap_or_default();
        format!("{} {}..{}{lost}", event.kind, number(event.after), number(event.before))
    };
    let events = run.noted.iter().map(|noted| event(&noted.event)).collect();
    (run.rows.iter().map(|row| off(row.number)).collect(), events, run)
}

#[test]
fn incidents_write_the_rows_they_should() {
    let (numbers, events, _) = played_with(8, Incident::Lost(2));
    assert_eq!((&numbers[6..10], &events[..]), (&[6, 7, 10, 11][..], &["gap 7..10 8-9".to_owned()][..]));
    let (numbers, events, _) = played_with(0, Incident::LateStick(3));
    assert_eq!((numbers[0], &events[..]), (3, &["gap -..3 0-2".to_owned()][..]));
    let (numbers, events, _) = played_with(20, Incident::PulledEarly(4));
    assert_eq!((numbers.len(), &events[..]), (20, &["gap 19..- 20-23".to_owned()][..]));
    let (numbers, events, run) = played_with(8, Incident::Reprint(3));
    assert_eq!((&numbers[6..10], &events[..]), (&[6, 7, 5, 8][..], &["reprint 7..5".to_owned()][..]));
    assert!(run.rows[8].equals(&run.rows[5]) && run.rows[8].reprint);
    assert_eq!(run.sessions[0].drafts, 24, "a reprint is no draft");
    let (numbers, events, _) = played_with(8, Incident::Clash(1));
    assert_eq!((&numbers[6..10], &events[..]), (&[6, 7, 7, 8][..], &["clash 7..7".to_owned()][..]));
    let (numbers, events, _) = played_with(8, Incident::Delayed { rows: 2, by: 3 });
    assert_eq!((&numbers[6..14], &events[..]), (&[6, 7, 10, 11, 12, 8, 9, 13][..], &["late 12..8".to_owned()][..]));
}

#[test]
fn counters_and_clocks_do_what_they_should() {
    let (numbers, events, run) = played_with(8, Incident::Rollover);
    assert_eq!((numbers.len(), events.len(), run.noted[0].event.kind), (24, 1, "rollover"));
    assert!([999, 9_999, 99_999, 999_999, 9_999_999, 65_535].contains(&run.rows[7].number), "{}", run.rows[7].number);
    assert!(run.rows[8].number <= 1 && run.rows[9].number == run.rows[8].number + 1);
    let (numbers, events, run) = played_with(8, Incident::Ahead);
    assert!(numbers[8] > numbers[7] + 5 && numbers[9] == numbers[8] + 1, "{numbers:?}");
    assert_eq!(events, [format!("jump 7..{}", numbers[8])]);
    assert_eq!(run.sessions.iter().map(|session| session.drafts).collect::<Vec<_>>(), [8, 16]);
    let (numbers, events, run) = played_with(8, Incident::Clock(Leap::Back(7_200)));
    assert_eq!((numbers, &events[..]), ((0..24).collect(), &["clock 7..8".to_owned()][..]));
    assert_eq!(run.rows[8].at - run.rows[7].at, TimeDelta::seconds(-7_200));
    assert_eq!(run.rows[9].at - run.rows[8].at, TimeDelta::seconds(180));
    let (_, _, run) = played_with(8, Incident::Clock(Leap::Epoch(1980)));
    assert_eq!(run.rows[8].at.date(), NaiveDate::from_ymd_opt(1980, 1, 1).unwrap());
}

#[test]
fn work_keeps_its_laws() {
    let yard = Yard { drafts: 150, start: 8 * 3_600, division: 5, kilograms: false, rest: Some(11 * 3_600) };
    let day = weighed(&mut Chance::new(9), yard);
    assert_eq!(day.len(), 150);
    assert!(day.iter().all(|draft| draft.gross.is_multiple_of(5) && draft.head > 0));
    for pair in day.windows(2) {
        let (took, same_lot) = (pair[1].second - pair[0].second, pair[0].lot == pair[1].lot);
        assert!(took >= 40, "{took}");
        assert!(!same_lot || took <= 400 + 150 * 60, "{took} s in a lot");
    }
    let nights = day.windows(2).filter(|pair| pair[1].second - pair[0].second > 8 * 3_600).count();
    assert_eq!((nights, day[0].day, day[149].day), (1, 0, 1));
}

/// Numbers 1, 2, 5, 6, 6, 7 of one indicator without any paper: one gap, one clash.
fn small_day() -> SaleDay {
    let times = [(1, "09:00"), (2, "09:03"), (5, "09:12"), (6, "09:15"), (6, "09:18"), (7, "09:21")];
    let mut day = working_days(400).find(|day| day.is_clean() && day.runs.len() == 1 && !day.layout.scale).unwrap();
    let rows = rows(&times);
    let places = (0..rows.len()).map(|row| (0, row)).collect();
    day.layout.newest_first = false;
    day.runs = vec![Run { indicator: "1".to_owned(), rows, digits: 3, ..Run::default() }];
    day.files = vec![File { stick: 0, name: "day.csv".to_owned(), text: String::new(), rows: places }];
    day
}

#[test]
fn the_clerk_takes_every_difference_for_a_gap() {
    let answers: Vec<_> = of_clerk(&small_day()).iter().map(|said| shown::in_short(&said.event)).collect();
    assert_eq!(answers, ["1 gap 2..5 lost 3-4", "1 gap 6..6"]);
}

#[test]
fn a_day_is_shown_around_its_breaks() {
    let day = small_day();
    let truth = Truth { certain: vec![gap(2, 5)], ..Truth::default() };
    let answer = said(&[Event::between("clash", "1", 6, 6)]);
    let text = shown::day(&day, &truth, &answer, &judged(&truth, &answer));
    for line in
        ["no.       5  2026-03-14 09:12:00", "certain  1 gap 2..5 lost 3-4", "WRONG    1 clash 6..6", "UNSAID   1 gap"]
    {
        assert!(text.contains(line), "{line}: {text}");
    }
}

#[test]
fn a_perfect_answer_is_worth_one_and_a_spoiled_one_less() {
    let events = [gap(7, 10), Event::between("restart", "1", 40, 1), Event::between("late", "1", 9, 6), gap(12, 14)];
    let truth = Truth { certain: events.to_vec(), ..Truth::default() };
    let tally = |judged: &Judged| (judged.events.right, judged.events.wrong, judged.events.unsaid);
    let perfect = judged(&truth, &said(&events));
    assert!(perfect.is_perfect());
    assert_eq!((tally(&perfect), perfect.events.f1(), perfect.missing.f1()), ((4, 0, 0), 1.0, 1.0));
    assert_eq!((perfect.bands[5], perfect.missing.right), ((4, 4), 3));

    let silent = judged(&truth, &said(&events[..3]));
    assert_eq!((tally(&silent), silent.events.precision(), silent.events.recall()), ((3, 0, 1), 1.0, 0.75));
    let mut spoiled = events.clone();
    spoiled[1] = Event::between("rollover", "1", 40, 1);
    let other_kind = judged(&truth, &said(&spoiled));
    assert_eq!((tally(&other_kind), other_kind.events.f1(), other_kind.bands[5]), ((3, 1, 1), 0.75, (4, 3)));
    spoiled = events.clone();
    spoiled[0].last_missing = Some(8);
    let other_bounds = judged(&truth, &said(&spoiled));
    assert_eq!((tally(&other_bounds), other_bounds.missing), ((3, 1, 1), Tally { right: 2, wrong: 0, unsaid: 1 }));
    let twice = judged(&truth, &said(&[&events[..], &events[..1]].concat()));
    assert_eq!((tally(&twice), twice.missing.wrong), ((4, 1, 0), 2), "an event is right once");
    spoiled = events.clone();
    spoiled[2].indicator = "2".to_owned();
    assert_eq!(tally(&judged(&truth, &said(&spoiled))), (3, 1, 1), "another indicator's event");
}

#[test]
fn numbers_said_to_be_missing_are_counted_one_by_one() {
    // 43 to 46 are missing twice, in two sessions.
    let truth = Truth { certain: vec![gap(42, 47), gap(42, 47)], ..Truth::default() };
    let missing = |said_missing: &[Event]| judged(&truth, &said(said_missing)).missing;
    let wide = Event::gap("1", Some(43), Some(49), (44, 48));
    assert_eq!(missing(std::slice::from_ref(&wide)), Tally { right: 3, wrong: 2, unsaid: 5 });
    assert_eq!(missing(&[wide, gap(42, 47)]), Tally { right: 7, wrong: 2, unsaid: 1 });
    let far = judged(&Truth::default(), &said(&[gap(5, 1_000_006)])).missing;
    assert_eq!((far, far.precision(), far.recall()), (Tally { right: 0, wrong: 1_000_000, unsaid: 0 }, 0.0, 1.0));
}

#[test]
fn open_events_count_neither_way() {
    let end = Event::gap("1", Some(90), None, (91, 95));
    let truth =
        Truth { open: vec![gap(99, 200), end.clone()], possible: vec![gap(99, 200), jump()], ..Truth::default() };
    let unbounded = Event { first_missing: None, last_missing: None, ..end.clone() };
    let half_bounded = Event { last_missing: None, ..end };
    for (answer, happened) in [(gap(99, 200), 1), (jump(), 0), (unbounded, 1), (half_bounded.clone(), 1)] {
        let result = judged(&truth, &said(&[answer]));
        assert_eq!((result.events, result.missing), (Tally::default(), Tally::default()));
        assert!(result.is_perfect());
        assert_eq!(result.bands[5], (1, happened), "what confidence is worth is counted on all that happened");
    }
    let wrong = judged(&truth, &said(&[Event::between("clock", "1", 99, 200)]));
    assert_eq!(wrong.events, Tally { right: 0, wrong: 1, unsaid: 0 });
    let misplaced = Event { first_missing: Some(93), ..half_bounded };
    assert_eq!(judged(&truth, &said(&[misplaced])).events.wrong, 1);
}

fn jump() -> Event {
    Event::between("jump", "1", 99, 200)
}

#[test]
fn a_document_is_read_and_a_delayed_block_counts_once_however_it_is_told() {
    let event = |kind: &str, after: Value, before: Value, lost: [Value; 2]| {
        json!({ "kind": kind, "indicator": "1", "after": after, "before": before, "first_missing": lost[0],
                "last_missing": lost[1], "missing": 0, "confidence": 0.5, "why": [] })
    };
    let none = || [Value::Null, Value::Null];
    let block = [event("late", json!(15), json!(10), none()), event("late", json!(10), json!(11), none())];
    let told = |events: &[Value]| {
        let answers = of_document(&json!({ "sequence": events }));
        answers.iter().map(|said| shown::in_short(&said.event)).collect::<Vec<_>>()
    };
    assert_eq!(told(&block), ["1 late 15..10"]);
    assert_eq!(told(&block[..1]), ["1 late 15..10"]);
    let two = [event("late", json!(15), json!(10), none()), event("late", json!(18), json!(16), none())];
    assert_eq!(told(&two), ["1 late 15..10", "1 late 18..16"]);
    let end = event("gap", json!(20), Value::Null, [json!(21), json!(23)]);
    assert_eq!(told(&[end]), ["1 gap 20..- lost 21-23"]);
}

/// A document as it would be for a day, made by hand.
fn document_of(day: &SaleDay) -> Value {
    let draft = |row: &Row| {
        json!({ "indicator": "1", "transaction": row.number, "head": row.head, "gross": row.gross.to_string(),
                "standing": if row.reprint { "reprint" } else { "counted" } })
    };
    json!({ "sequence": [], "findings": [], "sessions": [], "drafts": day.runs[0].rows.iter().map(draft).collect::<Vec<_>>() })
}

#[test]
fn drafts_alarms_and_clean_days_are_held_against_the_document() {
    let day = small_day();
    let mut document = document_of(&day);
    assert!(drafts_stand_once(&day, &document) && standings_right(&day, &document));
    let scored = |document: &Value| {
        let mut score = Score::default();
        score.add(&day, &Judged::default(), true);
        score.add_document(&day, document);
        (score.clean_days, score.clean_without_events, score.clean_without_alarms, score.drafts_right)
    };
    assert_eq!(scored(&document), (1, 1, 1, 1));
    document["findings"] = json!([{ "code": "off-division", "severity": "note" }]);
    assert_eq!(scored(&document), (1, 1, 1, 1), "a note is no alarm");
    document["findings"] = json!([{ "code": "number-clash", "severity": "caution" }]);
    assert_eq!(scored(&document), (1, 1, 0, 1));
    document["drafts"][2]["standing"] = json!("reprint");
    assert!(drafts_stand_once(&day, &document) && !standings_right(&day, &document));
    document["drafts"].as_array_mut().unwrap().pop();
    assert!(!drafts_stand_once(&day, &document));
}

/// What the program makes of working days: every draft is there once, whatever is said of its number; and what is said is right
/// nearly always. The thresholds lie a little below what is reached.
#[test]
fn simulated_days_are_explained_and_every_draft_stands_in_the_document_once() {
    let mut score = Score::default();
    for day in working_days(150) {
        let document = program::document(&day);
        assert!(drafts_stand_once(&day, &document), "day {}", day.seed);
        let answer = of_document(&document);
        score.add(&day, &judged(&day.truth(), &answer), answer.is_empty());
        score.add_document(&day, &document);
    }
    println!("{score}{}", score.of_document());
    assert_eq!(score.days, 150);
    assert!(score.events.f1() >= 0.985, "{:?}", score.events);
    assert!(score.missing.precision() >= 0.99 && score.missing.recall() >= 0.99, "{:?}", score.missing);
    assert_eq!(score.clean_without_alarms, score.clean_days, "{:?}", score.alarms);
    assert!(score.drafts_right >= 149 && score.sessions_right >= 149);
}

#[test]
fn single_days_are_shown_of_working_seeds_alone() {
    let asked = |words: &str| Asked::by(words.split(' ').map(str::to_owned), 2_000);
    let (all, few) = (asked("--bench show"), asked("--bench 30 working show"));
    assert_eq!((all.count, all.show, all.sort()), (2_000, false, "scoring"));
    assert_eq!((few.count, few.show, few.sort()), (30, true, "working"));
    let seeds = [all, few].map(|asked| asked.seeds(WORKING_SEEDS, SCORING_SEEDS));
    assert_eq!(seeds, [SCORING_SEEDS..SCORING_SEEDS + 2_000, WORKING_SEEDS..WORKING_SEEDS + 30]);
}
