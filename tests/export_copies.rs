//! Copies of exports are counted once; what only looks alike is not merged.

use counterfoil::draft::{self, Weighings};
use counterfoil::export::Export;

use crate::support::texts::{deleted_export, export};

/// Ten rows of a day, with seconds, a unit and a ticket.
fn day(rows: std::ops::RangeInclusive<u32>) -> String {
    let row = |n: u32| format!("{n},10/17/2026,9:{n:02}:{:02} AM,{},{},A1\n", n * 5, 10 + n % 3, 7000 + n);
    let header = "Trans,Date,Time,Head,Gross lb,Ticket\n".to_owned();
    rows.fold(header, |text, n| text + &row(n))
}

/// How many drafts are listed, and which exports are copies of which.
fn listed(exports: &[Export]) -> (usize, Vec<String>) {
    let Weighings { drafts, copies, .. } = draft::collect(exports, false);
    (drafts.len(), copies.iter().map(|(copy, original)| format!("{copy} of {original}")).collect())
}

#[test]
fn a_copy_without_its_unit_is_a_copy() {
    let bare = day(1..=8).replace("Gross lb", "Gross");
    for exports in [[export("a", day(1..=8)), export("b", &bare)], [export("b", &bare), export("a", day(1..=8))]] {
        assert_eq!(listed(&exports), (8, vec!["b of a".to_owned()]));
        let drafts = draft::collect(&exports, false).drafts;
        assert!(
            drafts.iter().all(|draft| draft.stated.gross.unwrap().unit().is_some()),
            "the rows come from the fuller file"
        );
    }
}

#[test]
fn a_copy_saved_by_a_spreadsheet_is_a_copy() {
    let row = |n: u32| format!("{n:04};17.10.2026;09:{n:02};{};{};A1\n", 10 + n % 3, 7000 + n);
    let sheet = (1..=8).fold("Trans;Date;Time;Head;Gross lb;Ticket\n".to_owned(), |text, n| text + &row(n));
    assert_eq!(listed(&[export("sheet", &sheet), export("a", day(1..=8))]), (8, vec!["sheet of a".to_owned()]));
    let filled = sheet.replace(";09:", ";9:").replace(';', ",").replace("17.10.2026", "10/17/2026");
    assert_eq!(listed(&[export("a", day(1..=8)), export("b", &filled)]).0, 8);
}

#[test]
fn a_partial_copy_that_stands_first_is_marked() {
    let exports = [export("Copy of a", day(1..=5)), export("a", day(1..=8)), deleted_export("old", day(1..=4))];
    assert_eq!(listed(&exports), (8, vec!["Copy of a of a".to_owned(), "old of a".to_owned()]));
}

#[test]
fn a_copy_whose_last_row_is_cut_is_a_copy() {
    let header = "Trans,Date,Time,Head,Gross lb\n";
    let whole = format!("{header}1,10/17/2026,9:01:05 AM,10,7001\n2,10/17/2026,9:02:05 AM,10,7002\n");
    let cut = whole.trim_end().trim_end_matches("02");
    assert_eq!(listed(&[export("cut", cut), export("a", &whole)]), (2, vec!["cut of a".to_owned()]));
}

#[test]
fn days_that_begin_with_the_same_number_are_not_merged() {
    let next_day = day(1..=8).replace("10/17/2026,9:", "10/18/2026,7:");
    assert_eq!(listed(&[export("a", day(1..=8)), export("b", &next_day)]), (16, vec![]));
    let dateless = "Trans,Head,Gross lb\n1,10,7000\n2,12,8000\n";
    let other = "Trans,Head,Gross lb\n1,10,7000\n2,11,7700\n3,9,6000\n";
    let (drafts, copies) = listed(&[export("a", dateless), export("b", other)]);
    assert_eq!(copies, Vec::<String>::new());
    assert!(drafts >= 4, "rows that differ stay: {drafts}");
}

#[test]
fn a_copy_with_its_dates_rewritten_is_a_copy() {
    let rewritten = |rows| day(rows).replace("10/17/2026", "01/01/1980");
    assert_eq!(listed(&[export("a", day(1..=8)), export("b", rewritten(1..=8))]), (8, vec!["b of a".to_owned()]));
    assert_eq!(listed(&[export("a", day(1..=8)), export("b", rewritten(1..=2))]).0, 10, "two rows may be chance");
    let drafts = draft::collect(&[export("b", rewritten(1..=8)), export("a", day(1..=8))], false).drafts;
    assert!(drafts.iter().all(|draft| draft.origin.as_ref().unwrap().export == "a"), "1980 is a clock never set");
}

#[test]
fn files_that_share_some_rows_count_each_once() {
    let exports = [export("early", day(1..=6)), export("late", day(4..=9))];
    assert_eq!(listed(&exports), (9, vec![]));
}

#[test]
fn one_file_for_each_lot_is_no_copy() {
    let exports = [export("lot1", day(1..=3)), export("lot2", day(4..=6)), export("lot3", day(7..=9))];
    assert_eq!(listed(&exports), (9, vec![]));
}

#[test]
fn true_repeats_in_one_file_stay() {
    let text = day(1..=3) + day(3..=3).lines().last().unwrap() + "\n";
    assert_eq!(listed(&[export("a", &text)]).0, 4);
    assert_eq!(listed(&[export("a", &text), export("b", &text)]), (4, vec!["b of a".to_owned()]));
    assert_eq!(listed(&[export("b", day(1..=3)), export("a", &text)]), (4, vec!["b of a".to_owned()]));
}

#[test]
fn totals_of_a_copy_are_stated_once() {
    let text = day(1..=3) + "Total,,,35,21006,A1\n";
    let bare = text.replace("Gross lb", "Gross");
    let totals = draft::collect(&[export("b", &bare), export("a", &text)], false).totals;
    assert_eq!((totals.len(), totals[0].origin.export.as_str(), totals[0].above.len()), (1, "a", 3));
}

#[test]
fn many_equal_rows_cost_little() {
    let text = "Trans,Head,Gross lb\n".to_owned() + &"1,10,7000\n".repeat(3000);
    let (drafts, _) = listed(&[export("a", &text), export("b", &text)]);
    assert!(drafts >= 3000);
}
