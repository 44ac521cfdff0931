//! The judge of reconciled tickets is judged itself: generated days, and what is known of them.

use std::collections::BTreeSet;

use crate::support::sale_days::chance::Chance;
use crate::support::ticket_days::division::{best, only_best};
use crate::support::ticket_days::faults::{plant, planted_at};
use crate::support::ticket_days::figures::{Figures, divided, hundredths, in_other_unit, shrunk, typed};
use crate::support::ticket_days::identify::{Verdict, singles, verdicts};
use crate::support::ticket_days::made::{add_paper, blank_day, ticket_day};
use crate::support::ticket_days::model::{Draft, Mark, Mode, TicketDay};
use crate::support::ticket_days::pairs::pairs;
use crate::support::ticket_days::print::Look;
use crate::support::ticket_days::stories::View;
use crate::support::ticket_days::typing::{before_a_slip, slips};
use crate::support::ticket_days::{DAYS, KINDS, SCORING_SEEDS, WORKING_SEEDS};

pub fn working_days(count: u64) -> impl Iterator<Item = TicketDay> {
    (WORKING_SEEDS..WORKING_SEEDS + count).map(ticket_day)
}

const PLAIN: Look = Look {
    delimiter: ',',
    date: "%Y-%m-%d",
    titles: 0,
    tare: false,
    status: true,
    average: false,
    shrink: true,
    pay: true,
    price: None,
    dates: false,
    people: false,
    first_and_last: false,
    unit: true,
    other_words: false,
};

/// Weighings of one day, as (number, ticket, head, pounds).
pub const WORK: [(u64, usize, i64, i64); 6] = [
    (101, 0, 10, 5_000),
    (102, 0, 12, 6_100),
    (103, 1, 9, 4_700),
    (104, 2, 11, 5_600),
    (105, 2, 8, 4_100),
    (106, 2, 14, 7_050),
];

/// The tickets 501 to 503: 22 head and 11,100 lb, 9 and 4,700, 33 and 16,750.
pub fn hand(mode: Mode) -> TicketDay {
    let draft = |(number, ticket, head, pounds): (u64, usize, i64, i64)| Draft {
        number,
        figures: Figures::new(head, pounds * 100),
        tare: 0,
        ticket,
    };
    let drafts = WORK.map(draft);
    let mut day = blank_day(0, mode, &drafts, PLAIN);
    day.division = 1_000;
    add_paper(&mut day, &mut Chance::new(1), &drafts, 501);
    day.lines.iter_mut().for_each(|line| line.shrink = Some(200));
    day
}

/// The hand-made day with a fault of this kind; the first number of chance is taken with which there is room for it.
pub fn with(kind: &'static str, place: usize) -> TicketDay {
    let planted = |seed| {
        let mut day = hand(Mode::Column);
        planted_at(&mut day, &mut Chance::new(seed), kind, place).then_some(day)
    };
    (0..50).find_map(planted).unwrap_or_else(|| panic!("no room for {kind}"))
}

/// The hand-made day with something typed for ticket 503.
pub fn typing(head: i64, pounds: i64) -> TicketDay {
    let mut day = hand(Mode::Column);
    day.lines[2].typed = Figures::new(head, pounds * 100);
    day
}

/// The single stories of a ticket in words.
fn told(day: &TicketDay, ticket: u32) -> Vec<String> {
    let view = View::of(day);
    let seen = view.tickets.iter().find(|seen| seen.ticket == ticket).unwrap();
    singles(&view, seen).iter().map(|story| format!("{} {:?}", story.kind, story.transactions)).collect()
}

#[test]
fn a_seed_is_a_day() {
    let text = |seed| format!("{:?}", ticket_day(seed));
    assert_eq!(text(WORKING_SEEDS + 7), text(WORKING_SEEDS + 7));
    assert_ne!(text(WORKING_SEEDS + 7), text(WORKING_SEEDS + 8));
    let ranges = [WORKING_SEEDS, SCORING_SEEDS].map(|first| first..first + DAYS);
    assert!(ranges[0].end <= ranges[1].start);
}

#[test]
fn everything_occurs_and_a_fifth_of_days_is_clean() {
    let (mut kinds, mut modes, mut fates) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    let (mut clean, mut twofold, mut repeated, mut unlisted) = (0, 0, 0, 0);
    for day in working_days(600) {
        modes.insert(day.mode);
        clean += u64::from(day.clean);
        repeated += usize::from(day.lines.len() > day.cases.len());
        unlisted += usize::from(day.cases.len() < day.totals.len());
        for case in &day.cases {
            fates.insert(case.fate);
            twofold += usize::from(case.faults.len() == 2);
            kinds.extend(case.faults.iter().map(|fault| fault.kind));
        }
    }
    assert_eq!(kinds, KINDS.into_iter().collect());
    assert_eq!((modes.len(), fates.len()), (4, 5));
    assert!((100..=150).contains(&clean), "{clean} clean days of 600");
    assert!([twofold, repeated, unlisted].iter().all(|count| *count > 5), "{twofold} {repeated} {unlisted}");
}

#[test]
fn days_keep_their_laws_and_the_search_finds_what_was_planted() {
    for day in working_days(400) {
        let seed = day.seed;
        assert!(day.rows.iter().all(|row| row.draft.figures.gross % day.division == 0), "day {seed}");
        assert!(day.rows.iter().all(|row| row.draft.figures.head > 0 && row.draft.figures.gross > 0), "day {seed}");
        assert!(day.lines.iter().all(|line| line.typed.head > 0 && line.typed.gross > 0), "day {seed}");
        assert!(!verdicts(&day).contains(&Verdict::NotFound), "day {seed}: {:?}", day.cases);
        let balance = day.balance();
        assert_eq!(balance.drafts, balance.on_tickets + balance.without_ticket);
    }
}

#[test]
fn weights_are_written_and_reckoned_exactly() {
    let written = [(1_435_500, "14355"), (654_350, "6543.5"), (14_355, "143.55"), (-705, "-7.05")];
    for (value, text) in written {
        assert_eq!((typed(value).as_str(), hundredths(text)), (text, Some(value)));
    }
    assert_eq!((hundredths("1.234"), hundredths("x"), hundredths("2.50")), (None, None, Some(250)));
    assert_eq!((divided(25, 10, 1), divided(24, 10, 1), divided(149, 1, 100)), (3, 2, 100));
    // 14,355 lb less 3 % is 13,924.35 lb.
    assert_eq!(shrunk(1_435_500, 300, 1), 1_392_435);
    // 1,000 lb are 453.59237 kg (UCUM).
    assert_eq!((in_other_unit(100_000, true, 10), in_other_unit(45_359, false, 100)), (45_360, 100_000));
}

#[test]
fn slips_are_told_apart() {
    let cases: [(&str, &str, &[&str]); 7] = [
        ("14355", "14535", &["digits-swapped"]),
        ("14355", "14365", &["digit-wrong"]),
        ("14355", "1435", &["digit-dropped"]),
        ("14355", "143555", &["digit-added"]),
        ("6543.5", "65435", &[]),
        ("14355", "15345", &[]),
        ("14355", "14355", &[]),
    ];
    for (right, wrong, names) in cases {
        assert_eq!(slips(right, wrong), names, "{right} {wrong}");
        assert_eq!(before_a_slip(wrong).contains(&right.to_owned()), !names.is_empty(), "{right} {wrong}");
    }
}

#[test]
fn faults_leave_the_difference_they_should() {
    let moved = |kind: &'static str, place: usize| {
        let day = with(kind, place);
        let (view, fault) = (View::of(&day), day.cases[place].faults[0].clone());
        (view.tickets[place].difference(), fault.figures)
    };
    for kind in [
        "missing-draft",
        "missing-drafts",
        "recovered-draft",
        "reprint-counted",
        "void-counted",
        "draft-on-other-ticket",
    ] {
        let (difference, figures) = moved(kind, 2);
        assert_eq!(difference, figures, "{kind}");
    }
    for kind in ["reweigh-counted", "draft-left-off", "head-removed", "draft-split"] {
        let (difference, figures) = moved(kind, 2);
        assert_eq!(difference, -figures, "{kind}");
    }
    for kind in
        ["digits-swapped", "digit-wrong", "digit-dropped", "digit-added", "decimal-slide", "unit-mistaken", "rounding"]
    {
        let (difference, figures) = moved(kind, 2);
        assert_eq!(difference, figures, "{kind}");
        assert!((difference.head == 0) != (difference.gross == 0), "{kind}");
    }
}

#[test]
fn averages_pay_weights_and_exchanged_lines_are_typed_as_they_should_be() {
    // 16,750 lb of 33 head are 507.58 lb each; less 2 % and 2 % again, and unshrunk.
    assert!([508, 5_076, 50_758].iter().any(|average| {
        let typed = with("average-for-gross", 2).lines[2].typed;
        typed.gross == average * 100 || typed.gross == average * 10 || typed.gross == *average
    }));
    let pay = |kind: &'static str| with(kind, 2).lines[2].pay;
    assert_eq!(pay("shrink-omitted"), Some(1_675_000));
    assert!([Some(1_608_670), None].contains(&pay("shrink-twice")));
    let swapped = with("tickets-exchanged", 2);
    assert_eq!(swapped.cases.iter().filter(|case| !case.faults.is_empty()).count(), 2);
}

#[test]
fn the_search_tells_what_accounts_for_a_difference() {
    let mut lost = hand(Mode::Column);
    lost.rows.retain(|row| row.draft.number != 105);
    assert_eq!(told(&lost, 503), ["missing-draft {105}"]);
    assert_eq!(told(&lost, 502), Vec::<String>::new());
    // The lost draft weighed what 104 weighs: it could as well be 104 counted twice.
    lost.lines[2].typed = Figures::new(36, 1_825_000);
    assert_eq!(told(&lost, 503), ["missing-draft {105}", "reprint-counted {104}"]);
    assert_eq!(told(&typing(33, 17_650), 503), ["digits-swapped {}"]);
    assert_eq!(told(&typing(33, 16_450), 503), ["digit-wrong {}"]);
    assert_eq!(told(&typing(33, 1_675), 503), ["decimal-slide {}"]);
    assert_eq!(told(&typing(33, 16_755), 503), ["rounding {}"]);
    assert_eq!(told(&typing(34, 16_750), 503), ["head-miscounted {}"]);
    assert_eq!(told(&typing(33, 7_598), 503), ["unit-mistaken {}"]);
    assert_eq!(told(&typing(33, 16_415), 503), ["shrink-twice {}"]);
    assert_eq!(told(&typing(25, 12_650), 503), ["draft-left-off {105}"]);
    assert_eq!(told(&typing(32, 16_240), 503), ["head-removed {}"]);
    assert_eq!(told(&typing(32, 15_240), 503), Vec::<String>::new(), "nothing here weighs 1,510 lb");
    assert_eq!(told(&typing(47, 23_800), 503), ["reprint-counted {106}"]);
}

#[test]
fn the_search_sees_faults_that_settle_two_tickets() {
    let mut day = typing(31, 15_750);
    day.lines[1].typed = Figures::new(11, 570_000);
    assert_eq!(told(&day, 503), ["draft-split {104}"]);
    assert_eq!(told(&day, 502), ["draft-split {104}"]);
    let mut day = hand(Mode::Column);
    day.rows[3].printed = 502;
    assert_eq!(told(&day, 503), ["draft-on-other-ticket {104}"]);
    assert_eq!(told(&day, 502), ["draft-on-other-ticket {104}"]);
    let mut day = typing(22, 11_100);
    day.lines[0].typed = Figures::new(33, 1_675_000);
    assert_eq!(
        (told(&day, 501), told(&day, 503)),
        (vec!["tickets-exchanged {}".to_owned()], vec!["tickets-exchanged {}".to_owned()])
    );
}

#[test]
fn pairs_are_searched_where_no_single_fault_accounts() {
    // 105 left off, and 12,650 typed as 12,560.
    let day = typing(25, 12_560);
    assert_eq!(told(&day, 503), Vec::<String>::new());
    let view = View::of(&day);
    let found = pairs(&view, &view.tickets[2]);
    let kinds: Vec<_> = found.iter().map(|(one, other)| (one.kind, other.kind)).collect();
    assert!(kinds.contains(&("digits-swapped", "draft-left-off")), "{kinds:?}");
    // Where a draft is lost whose figures are free, almost every slip leaves something plausible for it.
    let mut lost = typing(33, 17_650);
    lost.rows.retain(|row| row.draft.number != 105);
    let view = View::of(&lost);
    let two = pairs(&view, &view.tickets[2]);
    assert!(two.len() > 20, "{}", two.len());
    assert!(two.iter().any(|(one, other)| (one.kind, other.kind) == ("digits-swapped", "missing-draft")), "{two:?}");
}

#[test]
fn every_way_of_dividing_is_tried() {
    let drafts: Vec<Draft> = hand(Mode::Sums).rows.iter().map(|row| row.draft).collect();
    let figures = |head, pounds: i64| Figures::new(head, pounds * 100);
    let tickets = [figures(22, 11_100), figures(9, 4_700), figures(33, 16_750)];
    assert_eq!(best(&drafts, &tickets), [vec![Some((0, 2)), Some((2, 3)), Some((3, 6))]]);
    let day = hand(Mode::Sums);
    let way = only_best(&day).unwrap();
    assert_eq!(way[2], (503, vec![104, 105, 106]));
    // Two drafts alike, one ticket for one of them.
    let mut alike = drafts;
    alike[4].figures = alike[3].figures;
    assert_eq!(best(&alike, &[alike[3].figures]).len(), 2);
    assert_eq!(best(&alike, &[figures(1, 1)]), [vec![None]]);
}

#[test]
fn exports_and_lists_are_printed_as_they_should_be() {
    let mut day = hand(Mode::Column);
    assert!(plant(&mut day, &mut Chance::new(3), "void-counted", false));
    day.look.titles = 1;
    let export = day.export(false).unwrap();
    let (header, rows) = export.split_once("\r\n").unwrap();
    assert_eq!(header, "Draft no.,Weigh date,Weigh time,Scale ticket,No. of head,Gross weight,UOM,Status");
    assert!(rows.starts_with("101,2026-10-17,09:00:12,501,10,5000,lb,"), "{rows}");
    assert_eq!(rows.matches("VOID").count(), 1);
    assert_eq!(day.export(true), None);
    let list = hand(Mode::Column).list();
    // 11,100 lb less 2 % are 10,878 lb.
    assert!(list.starts_with("ticket,head,gross,unit,shrink_percent,pay_weight\n501,22,11100,lb,2,10878\n"), "{list}");
    let totals = hand(Mode::Totals).export(false).unwrap();
    assert!(
        totals.contains("103,2026-10-17,09:05:46,,9,4700,lb,\r\nTotal,2026-10-17,09:05:46,502,9,4700,lb,\r\n"),
        "{totals}"
    );
    let mut found = hand(Mode::Column);
    found.rows[4].mark = Mark::Recovered;
    assert!(found.export(true).unwrap().contains("105,") && !found.export(false).unwrap().contains("105,"));
}
