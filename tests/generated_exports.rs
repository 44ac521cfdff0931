//! The invented exports: the same in every run, as varied as they should be, and true to what is said of them.

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveDateTime};
use serde_json::json;

use crate::support::exports::layout::{COMMON, HELD_OUT, Layout, Order};
use crate::support::exports::pollution::{ALL, Pollution as P};
use crate::support::exports::sale::{Weighing, rounded};
use crate::support::exports::truth::{DateTruth, exact};
use crate::support::exports::{Case, SCORING_SEEDS, WORKING_SEEDS};

#[test]
fn the_same_seed_makes_the_same_file() {
    let files = |from: u64| (from..from + 40).map(|seed| Case::of(seed).bytes).collect::<BTreeSet<_>>();
    assert_eq!(files(WORKING_SEEDS), files(WORKING_SEEDS));
    assert_eq!(files(WORKING_SEEDS).len(), 40, "each seed its own file");
}

#[test]
fn every_layout_and_pollution_occurs() {
    let seen = |from: u64| {
        let cases: Vec<_> = (from..from + 1_000).map(Case::of).collect();
        let pollutions: BTreeSet<_> = cases.iter().flat_map(|case| case.pollutions.clone()).collect();
        let layouts: BTreeSet<_> = cases.iter().map(|case| case.layout.name).collect();
        (pollutions, layouts)
    };
    let names = |layouts: &[Layout]| layouts.iter().map(|layout| layout.name).collect::<BTreeSet<_>>();
    let all: BTreeSet<_> = ALL.iter().map(|(pollution, _)| *pollution).collect();
    let (mine, held) = (names(&COMMON), names(&HELD_OUT));
    assert!(mine.len() >= 40 && held.len() == 10);
    assert_eq!(seen(WORKING_SEEDS), (all.clone(), mine.clone()), "no layout that is held out");
    assert_eq!(seen(SCORING_SEEDS), (all, mine.union(&held).copied().collect()));
}

fn layout(name: &str) -> Layout {
    COMMON.iter().find(|layout| layout.name == name).unwrap().clone()
}

fn at(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M:%S").unwrap()
}

fn weighing(number: u64, time: &str, ticket: u64, head: i64, gross: i64) -> Weighing {
    Weighing {
        number,
        at: at(time),
        ticket,
        lot: 7,
        head,
        gross,
        tare: 0,
        shrink: 300,
        kind: "Lambs",
        consignor: "Vasse, Orrin",
        buyer: "Käthe Übersee",
        weigher: "TQ",
        remark: String::new(),
    }
}

/// Three drafts on two tickets: 37 head.
fn sale() -> Vec<Weighing> {
    vec![
        weighing(41, "2026-03-14 09:05:12", 12, 10, 1_000_000),
        weighing(42, "2026-03-14 12:07:00", 12, 15, 1_505_000),
        weighing(43, "2026-03-14 13:11:59", 13, 12, 1_235_000),
    ]
}

/// The sale in a layout with these pollutions, line ends as `\n` alone.
fn printed(name: &str, pollutions: &[P]) -> Case {
    let tried = (0..).find_map(|seed| {
        let case = Case::printed(seed, &layout(name), sale(), pollutions.to_vec())?;
        (!case.truth.text.contains('\r') && case.truth.text.ends_with('\n')).then_some(case)
    });
    tried.unwrap()
}

#[test]
fn clean_exports_are_printed_as_their_layout_says() {
    assert_eq!(
        printed("plain comma", &[]).truth.text,
        "Transaction,Date,Time,Ticket,Head,Gross (lb),Avg (lb)\n\
         00041,03/14/2026,09:05:12 AM,0012,10,1000,100.0\n\
         00042,03/14/2026,12:07:00 PM,0012,15,1505,100.3\n\
         00043,03/14/2026,01:11:59 PM,0013,12,1235,102.9\n"
    );
    assert_eq!(
        printed("french", &[]).truth.text.lines().nth(2),
        Some("42;14/03/2026;12:07;07;15;1 505;100,3;Vasse, Orrin;Käthe Übersee;")
    );
    assert_eq!(
        printed("fixed width, names", &[]).truth.text,
        "Lot  Consignor     Draft No  Date      Time      Head  Gross lb  Tare lb  Net lb\n\
         07   Vasse, Orrin  000041    03/14/26  09:05 AM    10      1000        0    1000\n\
         07   Vasse, Orrin  000042    03/14/26  12:07 PM    15      1505        0    1505\n\
         07   Vasse, Orrin  000043    03/14/26  01:11 PM    12      1235        0    1235\n"
    );
}

#[test]
fn clean_exports_have_their_header_and_quotes() {
    let units = printed("units row, semicolon", &[]).truth.text;
    assert_eq!(
        units.lines().take(3).collect::<Vec<_>>(),
        [
            "Number;Date;Time;Lot;Head;Gross;Shrink;Average",
            "#;yyyy-mm-dd;hh:mm;;hd;kg;%;kg",
            "41;2026-03-14;09:05;007;10;1000,0;3,0;100,00"
        ]
    );
    assert_eq!(
        printed("grouped comma, quoted text", &[]).truth.text.lines().nth(1),
        Some("41,03/14/2026,09:05 AM,000012,\"Vasse, Orrin\",\"Käthe Übersee\",10,\"1,000\",100.0")
    );
    assert_eq!(
        printed("twelve hours, a.m.", &[]).truth.text.lines().nth(1),
        Some("07;0012;41;03/14/2026;9:05:12 a.m.;Lambs;10;1,000;100.0;Vasse, Orrin")
    );
}

#[test]
fn the_truth_of_a_draft_is_what_its_layout_shows() {
    let truth = printed("shrink without pay", &[]).truth;
    let row = &truth.rows[1];
    let told = |field: &str| row.fields[field].clone();
    assert_eq!([told("transaction"), told("transaction_text")], [json!(42), json!("00042")]);
    assert_eq!([told("at"), told("at_precision")], [json!("2026-03-14T12:07:00"), json!("minute")]);
    assert_eq!([told("head"), told("gross"), told("unit")], [json!(15), json!("1505"), json!("lb")]);
    // 1505 less 3 % is 1459.85; the layout prints no pay weight, no average and no ticket.
    assert_eq!([told("shrink_percent"), told("pay_weight")], [json!("3"), json!("1459.85")]);
    assert_eq!([told("average"), told("ticket"), told("lot")], [json!(null), json!(null), json!("07")]);
    assert_eq!(truth.dates, DateTruth::Decided(Order::Mdy));
    assert_eq!((truth.delimiter, truth.decimal_mark, truth.clock), (',', Some('.'), Some("12h")));
    let nowhere = printed("spanish points", &[]).truth;
    assert_eq!((&nowhere.rows[0].fields["unit"], nowhere.decimal_mark), (&json!(null), None));
    assert_eq!(printed("no date", &[]).truth.rows[0].fields["at"], json!(null));
}

/// What each pollution makes of the sale in the plain layout.
#[test]
fn pollutions_do_what_they_are_named_for() {
    let text = |pollution| printed("plain comma", &[pollution]).truth.text;
    assert!(text(P::PlusSigns).contains(",10,+1000,100.0\n"));
    assert!(text(P::TrailingDelimiter).lines().all(|line| line.ends_with(',') && !line.ends_with(",,")));
    assert!(text(P::Padding).contains("\n      00041,03/14/2026,09:05:12 AM,  0012,  10,      1000,   100.0\n"));
    assert!(text(P::GrandTotal).ends_with("\nTotal,,,,37,3740,101.1\n"));
    let subtotals = text(P::Subtotals);
    assert!(subtotals.contains("otal,,,0012,25,2505,100.2\n00043"), "{subtotals}");
    assert!(text(P::Sep).starts_with("sep=,\nTransaction"));
    assert_eq!(text(P::RepeatedHeader).matches("Transaction").count(), 2);
    assert!(text(P::Banners).contains("*** Session 1 03/14/2026 ***\n"));
    assert!(text(P::Preamble).starts_with("Saltmere Livestock Yard\n"));
    assert!(text(P::FooterText).ends_with("\nEnd of report\n"));
    assert!(text(P::ForeignTable).ends_with("\nTQ,Tamsin Quoyle,Day\nHL,Hesper Lowe,Night\n"));
    assert!(text(P::NegativeWeight).lines().any(|line| line.contains(",0,-") && line.ends_with(',')));
    let second = printed("plain comma", &[P::SecondTable]).truth;
    assert_eq!(second.text.matches("Transaction").count(), 2);
    assert_eq!((second.rows.len(), second.lines.clone()), (3, 6..=6));
    assert_ne!(second.text.lines().next(), second.text.lines().nth(3));
}

#[test]
fn titles_lost_or_doubled_are_known() {
    let truth = printed("plain comma", &[P::EmptyTitle]).truth;
    let untitled: Vec<_> = truth.columns.iter().filter(|column| !column.titled).collect();
    assert_eq!((untitled.len(), untitled[0].judged), (1, true), "its cells tell what it means");
    let doubled = printed("plain comma", &[P::DuplicateTitle]).truth;
    assert_eq!((doubled.columns.len(), doubled.columns[7].judged), (8, false));
    assert_eq!(doubled.text.lines().next().unwrap().split(',').count(), 8);
    let headless = printed("no header, semicolon", &[]).truth;
    assert_eq!(headless.optional, BTreeSet::from(["consignor"]));
}

#[test]
fn torn_rows_are_no_drafts() {
    for seed in 0..60 {
        for pollution in [P::TornInside, P::CutLastRow, P::NulInside] {
            let case = Case::printed(seed, &layout("plain comma"), sale(), vec![pollution]).unwrap();
            let truth = &case.truth;
            assert_eq!(truth.torn, 1);
            for weighing in &sale() {
                let start = format!("{:05},", weighing.number);
                let end = format!(",{},{},", weighing.head, weighing.gross / 1000);
                let whole =
                    truth.text.lines().any(|line| line.starts_with(&start) && line.contains(&end) && line.len() < 60);
                let kept = truth.rows.iter().any(|row| row.fields["transaction"] == weighing.number);
                assert_eq!(whole, kept, "{}", truth.text);
            }
            assert_eq!(truth.text.contains('\0'), pollution == P::NulInside);
        }
    }
}

#[test]
fn encodings_and_ends_are_as_named() {
    let bytes = |pollution| printed("french", &[pollution]).bytes;
    assert!(bytes(P::Bom).starts_with(b"\xEF\xBB\xBFN\xC2\xB0"));
    assert!(bytes(P::Utf16Le).starts_with(b"\xFF\xFEN\x00"));
    assert!(bytes(P::Utf16Be).starts_with(b"\xFE\xFF\x00N"));
    assert!(bytes(P::Utf16LeBare).starts_with(b"N\x00"));
    assert!(bytes(P::Utf16BeBare).starts_with(b"\x00N"));
    // ä in the pages (Unicode mapping tables of the vendors).
    for (page, letter) in [(P::Windows1252, 0xE4), (P::Cp437, 0x84), (P::Cp850, 0x84), (P::Latin9, 0xE4)] {
        assert!(bytes(page).windows(3).any(|three| three == [b'K', letter, b't']), "{page:?}");
    }
    assert!(bytes(P::NulTail).ends_with(&[0; 4096]));
    assert_eq!(printed("french", &[P::NulTail]).truth.lines, 4..=5);
    let all = |pollution: P, holds: fn(&str) -> bool| {
        let text = |seed| Case::printed(seed, &layout("french"), sale(), vec![pollution]).unwrap().truth.text;
        (0..40).any(|seed| holds(&text(seed)))
    };
    assert!(all(P::MixedEnds, |text| text.contains("\r\n") && text.replace("\r\n", "").contains('\n')));
    assert!(all(P::LoneCr, |text| text.contains('\r') && !text.contains('\n')));
}

/// What the dates of a file tell of their order.
#[test]
fn the_order_of_dates_is_known_as_far_as_they_tell() {
    let truth = |name: &str, days: &[(i32, u32, u32)]| {
        let on = |(index, day): (usize, &(i32, u32, u32))| Weighing {
            number: index as u64 + 1,
            at: NaiveDate::from_ymd_opt(day.0, day.1, day.2).unwrap().and_hms_opt(9, 0, 0).unwrap(),
            ..sale()[0].clone()
        };
        Case::printed(1, &layout(name), days.iter().enumerate().map(on).collect(), Vec::new()).unwrap().truth
    };
    assert_eq!(truth("plain comma", &[(2026, 3, 14)]).dates, DateTruth::Decided(Order::Mdy));
    assert_eq!(truth("weight first", &[(2026, 3, 14)]).dates, DateTruth::Decided(Order::Dmy));
    assert_eq!(truth("plain comma", &[(2026, 3, 4)]).dates, DateTruth::Undecidable);
    assert_eq!(truth("plain comma", &[(2026, 3, 3)]).dates, DateTruth::Leaning(Order::Mdy), "3 March either way");
    assert_eq!(truth("plain comma", &[(2026, 3, 4), (2026, 3, 11)]).dates, DateTruth::Leaning(Order::Mdy));
    assert_eq!(truth("piped, year first", &[(2026, 3, 4)]).dates, DateTruth::Decided(Order::Ymd));
    assert_eq!(truth("capitals and abbreviations", &[(2026, 3, 4)]).dates, DateTruth::Undecidable);
    let both = truth("plain comma", &[(2026, 3, 4)]);
    let readings = [(Order::Mdy, "2026-03-04T09:00:00"), (Order::Dmy, "2026-04-03T09:00:00")];
    assert_eq!(both.rows[0].readings, readings.map(|(order, at)| (order, at.to_owned())));
}

#[test]
fn figures_are_exact() {
    assert_eq!(rounded(1_505_000, 15, 1), 100_300);
    assert_eq!(rounded(1_250, 1, 2), 1_250);
    assert_eq!(rounded(1_255, 1, 2), 1_260, "half away from zero");
    assert_eq!(rounded(-1_255, 1, 2), -1_260);
    assert_eq!(
        [exact(1_352_500), exact(3_000), exact(-15_000), exact(40)],
        ["1352.5", "3", "-15", "0.04"].map(|text| json!(text))
    );
}

/// Weights lie on the division, and the average is what gross and head give.
#[test]
fn invented_weights_are_such_as_a_scale_gives() {
    for seed in WORKING_SEEDS..WORKING_SEEDS + 300 {
        let case = Case::of(seed);
        for row in &case.truth.rows {
            let gross = row.fields["gross"].as_str().unwrap();
            let (whole, decimals) = gross.split_once('.').unwrap_or((gross, ""));
            let gross: i64 = format!("{whole}{decimals:0<3}").parse().unwrap();
            assert_eq!(gross % case.layout.division, 0, "seed {seed}");
            let head = row.fields["head"].as_i64().unwrap();
            assert!(head > 0 && gross / head > 20_000 || head == 0 && gross < 0, "seed {seed}: {head} head, {gross}");
        }
    }
}
