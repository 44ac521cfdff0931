//! What happened with the numbers.

use std::fmt::Write as _;

use counterfoil::draft::Standing;
use counterfoil::sequence::PaperTicket;

use crate::support::texts::{codes, deleted_export, events, explained, explained_with, export};

const HEADER: &str = "Transaction,Date,Time,Lot,Ticket,Head,Gross,Unit\n";

/// Rows two minutes apart from 9:00 on: number, lot, head.
fn rows(rows: &[(u64, u32, u32)]) -> String {
    let mut text = HEADER.to_owned();
    for (n, (number, lot, head)) in rows.iter().enumerate() {
        let minutes = 9 * 60 + 2 * n;
        let gross = head * 700 + u32::try_from(*number % 7).unwrap() * 5;
        writeln!(
            text,
            "{number},2026-10-17,{:02}:{:02}:00,{lot},{},{head},{gross},lb",
            minutes / 60,
            minutes % 60,
            lot + 400
        )
        .unwrap();
    }
    text
}

/// Consecutive numbers in one lot, each of ten head.
fn run(from: u64, to: u64, lot: u32) -> Vec<(u64, u32, u32)> {
    (from..=to).map(|number| (number, lot, 10)).collect()
}

fn events_of(all: &[(u64, u32, u32)]) -> Vec<String> {
    events(&explained(&[export("a.csv", rows(all))]))
}

#[test]
fn a_run_without_a_break_has_no_event() {
    let sequence = explained(&[export("a.csv", rows(&run(1, 40, 1)))]);
    assert_eq!(events(&sequence), Vec::<String>::new());
    assert_eq!(sequence.sessions.len(), 1);
    assert_eq!(sequence.sessions[0].drafts, 40);
    assert_eq!(codes(&sequence.findings), Vec::<&str>::new());
}

#[test]
fn missing_numbers_are_a_gap() {
    let mut text = rows(&run(1, 10, 1));
    text.push_str("13,2026-10-17,09:24:00,1,401,10,7000,lb\n");
    let sequence = explained(&[export("a.csv", &text)]);
    assert_eq!(events(&sequence), ["gap 10..13 11-12 2"]);
    assert_eq!(codes(&sequence.findings), ["numbers-missing"]);
}

#[test]
fn lower_numbers_at_a_new_lot_are_a_restart() {
    let all = [run(30, 40, 1), run(1, 10, 2)].concat();
    assert_eq!(events_of(&all), ["restart 40..1"]);
}

#[test]
fn a_restart_onto_numbers_already_used_is_no_clash() {
    let all = [run(1, 20, 1), run(1, 10, 2)].concat();
    assert_eq!(events_of(&all), ["restart 20..1"]);
}

#[test]
fn the_same_weighing_again_is_a_reprint() {
    let mut all = run(1, 10, 1);
    all.insert(8, (5, 1, 10));
    let sequence = explained(&[export("a.csv", rows(&all))]);
    assert_eq!(events(&sequence), ["reprint 8..5"]);
    let again: Vec<_> = sequence.drafts.iter().filter(|draft| draft.standing == Standing::Reprint).collect();
    assert_eq!(again.len(), 1);
    assert_eq!(sequence.sessions[0].drafts, 10, "it counts once");
}

#[test]
fn the_last_draft_printed_again_at_once_is_a_reprint() {
    let mut all = run(1, 10, 1);
    all.push((10, 1, 10));
    assert_eq!(events_of(&all), ["reprint 10..10"]);
}

#[test]
fn the_same_number_on_another_weighing_is_a_clash() {
    let mut all = run(1, 10, 1);
    all.insert(8, (5, 1, 13));
    assert_eq!(events_of(&all), ["clash 8..5"]);
}

#[test]
fn a_copy_of_either_draft_of_a_clash_counts_once() {
    let text = "Transaction,Date,Time,Gross,Head
1,2026-10-17,09:01:00,1000,2
1,2026-10-17,09:02:00,1001,2
2,2026-10-17,09:03:00,1002,2
3,2026-10-17,09:04:00,1003,2
1,2026-10-17,09:02:00,1001,2
";
    let sequence = explained(&[export("a.csv", text)]);
    assert_eq!(events(&sequence), ["clash 1..1", "reprint 3..1"]);
    assert_eq!(sequence.sessions[0].gross.unwrap().to_string(), "4,006");
}

#[test]
fn the_same_weights_on_another_ticket_are_no_copy() {
    let text = "Transaction,Date,Time,Ticket,Head,Gross
1,2026-10-17,09:00:00,T0,10,7000
2,2026-10-17,09:02:00,T0,10,7100
1,2026-10-17,09:04:00,T1,10,7000
2,2026-10-17,09:06:00,T1,10,7100
";
    let sequence = explained(&[export("a.csv", text)]);
    assert_eq!(events(&sequence), ["restart 2..1"]);
    assert!(sequence.drafts.iter().all(counterfoil::draft::Draft::counts));
}

#[test]
fn many_holes_are_walked_in_a_breath() {
    let all: Vec<_> = (1..30_000).map(|number| (number * 2, 1, 10)).collect();
    let mut text = "Transaction,Lot,Head,Gross\n".to_owned();
    for (number, lot, head) in all {
        writeln!(text, "{number},{lot},{head},7000").unwrap();
    }
    assert_eq!(explained(&[export("a.csv", text)]).events.len(), 29_998);
}

#[test]
fn ranges_of_another_session_show_no_late_stick() {
    let paper = |number: &str, first: u64, last: u64| PaperTicket {
        number: number.to_owned(),
        date: None,
        head: None,
        first_transaction: Some(counterfoil::units::TransactionNo(first)),
        last_transaction: Some(counterfoil::units::TransactionNo(last)),
    };
    let all = [run(40, 52, 1), run(2, 10, 2)].concat();
    let sequence = explained_with(&[export("a.csv", rows(&all))], &[paper("401", 40, 52), paper("402", 1, 10)]);
    assert_eq!(events(&sequence), ["restart 52..2"]);
    let untold = [run(1, 10, 1), run(1, 6, 2)].concat();
    let untold = rows(&untold).replace(",401,", ",,").replace(",402,", ",,");
    let sequence = explained_with(&[export("a.csv", untold)], &[paper("M", 6, 10), paper("A", 1, 6)]);
    assert_eq!(events(&sequence), ["restart 10..1"], "7 to 10 are those of the morning");
    let late = explained_with(&[export("a.csv", rows(&run(4, 10, 1)))], &[paper("401", 2, 6)]);
    assert_eq!(events(&late), ["gap -..4 2-3 2"]);
}

#[test]
fn the_same_number_twice_before_a_hole_is_a_clash_and_a_gap() {
    assert_eq!(
        events_of(&[(1, 1, 10), (2, 1, 10), (3, 1, 10), (3, 2, 12), (5, 2, 10), (6, 2, 10)]),
        ["clash 3..3", "gap 3..5 4-4 1"]
    );
}

#[test]
fn a_missing_number_that_turns_up_is_late_and_no_gap() {
    let mut all = run(1, 10, 1);
    let fifth = all.remove(4);
    all.insert(7, fifth);
    assert_eq!(events_of(&all), ["late 8..5"]);
}

#[test]
fn a_missing_number_that_turns_up_last_is_late_too() {
    let mut all = run(1, 10, 1);
    let fifth = all.remove(4);
    all.push(fifth);
    assert_eq!(events_of(&all), ["late 10..5"]);
}

#[test]
fn numbers_far_ahead_in_no_time_are_a_counter_set_ahead() {
    let all = [run(1, 20, 1), run(500, 510, 2)].concat();
    assert_eq!(events_of(&all), ["jump 20..500"]);
}

/// NIST Handbook 44, Appendix D, "event counter", Table S.1.11: after 999 comes 000 (from memory, sure).
#[test]
fn a_full_counter_rolls_over_and_is_no_restart() {
    let all = [run(990, 999, 1), run(0, 5, 1)].concat();
    let sequence = explained(&[export("a.csv", rows(&all))]);
    assert_eq!(events(&sequence), ["rollover 999..0"]);
    assert_eq!(sequence.sessions.len(), 1);
}

#[test]
fn a_clock_that_goes_back_is_told() {
    let text = rows(&run(1, 10, 1)).replace("2026-10-17,09:10", "1980-01-01,00:10");
    let sequence = explained(&[export("a.csv", text)]);
    assert_eq!(events(&sequence), ["clock 5..6", "clock 6..7"], "one row with the time of an empty battery");
}

#[test]
fn numbers_found_in_a_deleted_file_are_not_missing() {
    let all = run(1, 20, 1);
    let text = rows(&all);
    let lines: Vec<&str> = text.lines().collect();
    let live = [&lines[..8], &lines[14..]].concat().join("\n") + "\n";
    let deleted = [&lines[..1], &lines[8..14]].concat().join("\n") + "\n";
    let sequence = explained(&[export("live.csv", live), deleted_export("gone.csv", deleted)]);
    assert_eq!(events(&sequence), Vec::<String>::new());
    assert_eq!(sequence.drafts.iter().filter(|draft| draft.standing == Standing::Recovered).count(), 6);
}

#[test]
fn a_number_still_legible_on_a_bad_row_is_not_missing() {
    let text = rows(&run(1, 10, 1))
        .replace("\n5,2026-10-17,09:08:00,1,401,10,7025,lb", "\n5,2026-10-17,09:08:00,1,401,10,70?5,lb");
    assert_eq!(events(&explained(&[export("a.csv", text)])), Vec::<String>::new());
}

#[test]
fn the_paper_shows_that_the_stick_came_late_and_left_early() {
    let paper = |number: &str, first: Option<u64>, last: Option<u64>| PaperTicket {
        number: number.to_owned(),
        date: None,
        head: None,
        first_transaction: first.map(counterfoil::units::TransactionNo),
        last_transaction: last.map(counterfoil::units::TransactionNo),
    };
    let exports = [export("a.csv", rows(&run(4, 20, 1)))];
    let late = explained_with(&exports, &[paper("400", None, None), paper("401", None, None)]);
    assert_eq!(events(&late), ["gap -..4 1-3 3"]);
    assert_eq!(codes(&late.findings), ["stick-inserted-late"]);
    let early = explained_with(&exports, &[paper("401", None, None), paper("402", Some(21), Some(24))]);
    assert_eq!(events(&early), ["gap 20..- 21-24 4"]);
    assert_eq!(codes(&early.findings), ["stick-removed-early"]);
    assert_eq!(events(&explained_with(&exports, &[paper("401", None, None)])), Vec::<String>::new());
}

#[test]
fn files_are_woven_together_by_time() {
    let text = rows(&run(1, 20, 1));
    let lines: Vec<&str> = text.lines().collect();
    let first = lines[..11].join("\n") + "\n";
    let second = [&lines[..1], &lines[11..]].concat().join("\n") + "\n";
    let sequence = explained(&[export("b.csv", second), export("a.csv", first)]);
    assert_eq!(events(&sequence), Vec::<String>::new());
}

#[test]
fn a_copy_of_a_file_adds_nothing() {
    let text = rows(&run(1, 20, 1));
    let sequence = explained(&[export("a.csv", &text), export("backup.csv", &text)]);
    assert_eq!(sequence.drafts.len(), 20);
}

/// A published gap test: 3,177 of the numbers 500301 to 503500 are there, 23 are missing.
/// "Data Analytics with R for auditors", chapter 43, anilyayavar.github.io (read).
#[test]
fn a_published_gap_test_comes_out() {
    const MISSING: [u64; 23] = [
        500_398, 500_445, 500_457, 500_716, 500_747, 500_862, 501_017, 501_018, 501_109, 501_333, 501_459, 501_609,
        501_823, 501_908, 502_160, 502_191, 502_609, 502_937, 502_974, 503_002, 503_284, 503_385, 503_422,
    ];
    let mut text = "Transaction,Head,Gross\n".to_owned();
    for number in (500_301..=503_500_u64).filter(|number| !MISSING.contains(number)) {
        writeln!(text, "{number},10,7000").unwrap();
    }
    let sequence = explained(&[export("serial.csv", text)]);
    assert_eq!(sequence.drafts.len(), 3177);
    let found: Vec<u64> = sequence
        .events
        .iter()
        .flat_map(|event| event.first_missing.unwrap().0..=event.last_missing.unwrap().0)
        .collect();
    assert_eq!(found, MISSING);
    assert_eq!(sequence.events.iter().map(|event| event.missing).sum::<u64>(), 23);
}

/// The same rows, last one first.
fn newest_first(text: &str) -> String {
    let (header, rows) = text.split_once('\n').unwrap();
    let rows: Vec<&str> = rows.lines().rev().collect();
    format!("{header}\n{}\n", rows.join("\n"))
}

#[test]
fn an_export_written_newest_row_first_is_turned_round() {
    let mut all = run(1, 30, 1);
    all.truncate(20);
    all.extend(run(24, 30, 1));
    let text = rows(&all).replace(",09:4", ",10:0").replace(",09:5", ",10:1");
    assert_eq!(events(&explained(&[export("a.csv", &text)])), ["gap 20..24 21-23 3"]);
    let turned = explained(&[export("a.csv", newest_first(&text))]);
    assert_eq!(events(&turned), ["gap 20..24 21-23 3"], "the file turned round is no event");
}

#[test]
fn rows_delayed_together_are_one_event() {
    let mut all = run(1, 20, 1);
    let block: Vec<_> = all.drain(7..11).collect();
    all.splice(12..12, block);
    let sequence = explained(&[export("a.csv", rows(&all))]);
    assert_eq!(events(&sequence), ["late 16..8"]);
    assert!(sequence.events[0].why.iter().any(|why| why == "8 to 11 stand here together"), "{:?}", sequence.events[0]);
}

#[test]
fn a_late_row_fills_only_its_part_of_a_hole() {
    let all = [run(1, 10, 1), run(14, 16, 1), run(12, 12, 1), run(17, 20, 1)].concat();
    assert_eq!(events_of(&all), ["gap 10..14 11-11 1", "gap 10..14 13-13 1", "late 16..12"]);
}

#[test]
fn two_counters_that_run_at_the_same_time_are_two_indicators() {
    let both: Vec<_> = (0..15).flat_map(|n| [(101 + n, 1, 10), (5_001 + n, 2, 20)]).collect();
    let sequence = explained(&[export("a.csv", rows(&both))]);
    assert_eq!(events(&sequence), Vec::<String>::new());
    let sessions: Vec<_> = sequence.sessions.iter().map(|session| (&*session.indicator, session.drafts)).collect();
    assert_eq!(sessions, [("1", 15), ("2", 15)]);
    let changed_over = [run(101, 115, 1), run(5_001, 5_015, 2)].concat();
    assert_eq!(events_of(&changed_over), ["jump 115..5001"], "one after the other may be one counter that was set");
}

#[test]
fn files_stand_in_the_order_of_their_numbers_where_the_clock_leapt() {
    let text = rows(&run(1, 30, 1)).replace("\n21,2026-10-17", "\n21,2015-01-01");
    let text = (22..=30).fold(text, |text, n| text.replace(&format!("\n{n},2026-10-17"), &format!("\n{n},2015-01-01")));
    let lines: Vec<&str> = text.lines().collect();
    let first = lines[..26].join("\n") + "\n";
    let second = [&lines[..1], &lines[26..]].concat().join("\n") + "\n";
    let sequence = explained(&[export("b.csv", second), export("a.csv", first)]);
    assert_eq!(events(&sequence), ["clock 20..21"]);
}

#[test]
fn a_clock_that_leaps_ahead_is_told_inside_a_lot_and_beyond_any_pause() {
    let hours = |text: String| text.replace(",09:10", ",14:10").replace(",09:12", ",14:12").replace(",09:14", ",14:14");
    assert_eq!(events(&explained(&[export("a.csv", hours(rows(&run(1, 8, 1))))])), ["clock 5..6"]);
    let two_lots = [run(1, 5, 1), run(6, 8, 2)].concat();
    assert_eq!(events(&explained(&[export("a.csv", hours(rows(&two_lots)))])), Vec::<String>::new(), "a long noon");
    let years = hours(rows(&two_lots));
    let years = (6..=8).fold(years, |text, n| text.replace(&format!("\n{n},2026"), &format!("\n{n},2029")));
    assert_eq!(events(&explained(&[export("a.csv", years)])), ["clock 5..6"]);
}

#[test]
fn sales_a_month_apart_on_one_stick_are_no_leaps() {
    let mut text = HEADER.to_owned();
    for sale in 0..5_u32 {
        for draft in 0..10_u32 {
            let number = 10 * sale + draft + 1;
            writeln!(text, "{number},2026-{:02}-14,09:{:02}:00,{sale},{sale},10,70{draft}0,lb", sale + 4, 2 * draft)
                .unwrap();
        }
    }
    assert_eq!(events(&explained(&[export("a.csv", text)])), Vec::<String>::new());
}

#[test]
fn a_night_s_tickets_are_listed_under_the_day_it_began() {
    let text = rows(&run(1, 20, 1)).replace("2026-10-17,09", "2026-10-18,01");
    let date = chrono::NaiveDate::from_ymd_opt(2026, 10, 17);
    let paper = |number: &str, first: u64, last: u64| PaperTicket {
        number: number.to_owned(),
        date,
        first_transaction: Some(counterfoil::units::TransactionNo(first)),
        last_transaction: Some(counterfoil::units::TransactionNo(last)),
        ..PaperTicket::default()
    };
    let exports = [export("a.csv", text)];
    let sequence = explained_with(&exports, &[paper("401", 1, 20), paper("402", 21, 24)]);
    assert_eq!(events(&sequence), ["gap 20..- 21-24 4"]);
}

#[test]
fn numbers_of_a_later_stretch_do_not_lie_before_the_first_row() {
    let paper = |number: &str, first: u64, last: u64| PaperTicket {
        number: number.to_owned(),
        first_transaction: Some(counterfoil::units::TransactionNo(first)),
        last_transaction: Some(counterfoil::units::TransactionNo(last)),
        ..PaperTicket::default()
    };
    let all = [run(9_991, 9_999, 1), run(0, 10, 2)].concat();
    let sequence = explained_with(&[export("a.csv", rows(&all))], &[paper("401", 9_991, 9_999), paper("402", 0, 14)]);
    assert_eq!(events(&sequence), ["rollover 9999..0", "gap 10..- 11-14 4"]);
}

#[test]
fn the_head_of_the_paper_decides_between_a_loss_and_a_counter_set_ahead() {
    let all = [run(88, 97, 1), run(101, 105, 2)].concat();
    let late = rows(&all).replace(",09:2", ",10:2");
    let paper = |head: [u32; 4]| -> Vec<PaperTicket> {
        let ticket = |(number, head): (usize, u32)| PaperTicket {
            number: format!("{}", 400 + number),
            head: Some(counterfoil::units::Head(head)),
            ..PaperTicket::default()
        };
        head.into_iter().enumerate().map(ticket).collect()
    };
    // Tickets 400 and 403 hold the ends, so that the two in the middle are told of by all their rows.
    let text = late
        .replacen(",401,", ",400,", 2)
        .replace("\n105,2026-10-17,10:28:00,2,402", "\n105,2026-10-17,10:28:00,2,403");
    let lost = explained_with(&[export("a.csv", &text)], &paper([20, 110, 40, 10]));
    assert_eq!(events(&lost), ["gap 97..101 98-100 3"]);
    let set = explained_with(&[export("a.csv", &text)], &paper([20, 80, 40, 10]));
    assert_eq!(events(&set), ["jump 97..101"]);
}
