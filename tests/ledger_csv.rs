//! The text of the ledger: RFC 4180, nothing lost, and nothing a spreadsheet would run.

use counterfoil::draft::{Flag, Standing};
use counterfoil::export::{DateHints, read_content};
use counterfoil::ledger::{draft_columns, guarded, prepare, ticket_columns};

use crate::support::day::{day, draft, explained, lb, small_sale, ticket, with, with_tickets};
use crate::support::judges::ask;

/// The two files of a run, as text.
fn files(day: &counterfoil::day::Day) -> [String; 2] {
    let files = prepare(day).files.expect("a ledger");
    let names: Vec<_> = files.iter().map(|file| file.name.as_str()).collect();
    assert_eq!(names, ["ledger-drafts.csv", "ledger-tickets.csv"]);
    files.into_iter().map(|file| String::from_utf8(file.bytes).unwrap()).collect::<Vec<_>>().try_into().unwrap()
}

/// The cell under a name, of a row counted from 0.
fn cell(text: &str, name: &str, row: usize) -> String {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let column = reader.headers().unwrap().iter().position(|header| header == name).unwrap();
    reader.records().nth(row).unwrap().unwrap()[column].to_owned()
}

#[test]
fn the_header_names_the_columns_and_marks_the_file_as_ours() {
    let [drafts, tickets] = files(&small_sale());
    assert!(drafts.starts_with("counterfoil_draft,indicator,transaction,"));
    assert!(tickets.starts_with("counterfoil_ticket,source,date,"));
    for text in [&drafts, &tickets] {
        assert!(text.ends_with("\r\n") && text.matches('\n').count() == text.matches("\r\n").count());
    }
}

#[test]
fn the_ledger_is_never_taken_for_an_export() {
    for text in files(&small_sale()) {
        assert!(read_content(text.as_bytes(), &DateHints::default(), &|_| None).is_none());
        let unmarked = text.replacen("counterfoil_", "", 1);
        let is_drafts = unmarked.starts_with("draft,");
        let read = read_content(unmarked.as_bytes(), &DateHints::default(), &|_| None);
        assert_eq!(read.is_some(), is_drafts, "it is the mark alone that tells the list of drafts from an export");
    }
}

#[test]
fn every_column_says_what_it_means_and_has_a_name_of_its_own() {
    let drafts: Vec<_> = draft_columns().iter().map(|column| (column.name, column.meaning)).collect();
    let tickets: Vec<_> = ticket_columns().iter().map(|column| (column.name, column.meaning)).collect();
    for columns in [drafts, tickets] {
        let names: std::collections::BTreeSet<_> = columns.iter().map(|(name, _)| name).collect();
        assert_eq!(names.len(), columns.len());
        assert!(columns.iter().all(|(_, meaning)| meaning.ends_with('.')));
    }
}

#[test]
fn every_draft_of_the_period_has_a_row_whatever_it_counts_as() {
    let [drafts, _] = files(&small_sale());
    let standings: Vec<_> = (0..5).map(|row| cell(&drafts, "standing", row)).collect();
    assert_eq!(standings, ["counted", "counted", "counted", "reprint", "counted"]);
    assert_eq!(csv::Reader::from_reader(drafts.as_bytes()).records().count(), 5);
}

#[test]
fn a_row_carries_unit_pay_weight_flags_and_origin() {
    let manual = with(draft(101, 4, lb("2400.50")), |draft| {
        draft.flags = vec![Flag::ManualWeight, Flag::NoHead];
        draft.stated.pay_weight = Some(lb("2328.49"));
    });
    let [drafts, _] = files(&day(vec![manual]));
    let cells =
        ["gross", "unit", "pay_weight", "flags", "export", "line", "byte", "medium_offset", "at", "at_precision"]
            .map(|name| cell(&drafts, name, 0));
    let expected =
        ["2400.5", "lb", "2328.49", "manual-weight no-head", "e1", "3", "100", "", "2026-03-14T08:01:00", "minute"];
    assert_eq!(cells, expected);
}

#[test]
fn a_ticket_row_shows_stated_found_difference_and_account() {
    let [_, tickets] = files(&small_sale());
    let cells =
        ["counterfoil_ticket", "stated_head", "found_head", "head_difference", "gross_difference", "unit", "outcome"]
            .map(|name| cell(&tickets, name, 1));
    assert_eq!(cells, ["0712", "24", "17", "7", "4100", "lb", "explained"]);
    assert_eq!(cell(&tickets, "explanation", 1), "Draft 104 is not on the stick: 7 head, 4,100 lb.");
}

#[test]
fn a_ticket_without_any_draft_differs_by_all_it_states() {
    let here = draft(101, 4, lb("2400"));
    let lost = explained(ticket("9", &[]), 0, lb("0"), "All of it is lost.");
    let lost = with(lost, |result| {
        result.stated.head = Some(counterfoil::units::Head(6));
        result.stated.gross = Some(lb("3600"));
    });
    let [_, tickets] = files(&with_tickets(day(vec![here]), vec![lost]));
    assert_eq!([cell(&tickets, "head_difference", 0), cell(&tickets, "gross_difference", 0)], ["6", "3600"]);
}

/// Source: OWASP, "CSV Injection": `=` `+` `-` `@`, TAB, CR, LF and the full-width forms; OWASP ASVS adds NUL.
/// The list is given from memory.
const BEGINNINGS: [&str; 12] = ["=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠"];

#[test]
fn no_text_cell_begins_like_a_formula() {
    for beginning in BEGINNINGS {
        let hostile = format!("{beginning}cmd|' /C calc'!A0");
        assert_eq!(guarded(&hostile), format!("'{hostile}"));
        let bad = with(draft(101, 1, lb("600")), |draft| {
            let text = Some(hostile.clone());
            draft.id.clone_from(&hostile);
            draft.indicator.clone_from(&hostile);
            draft.stated.transaction_text.clone_from(&text);
            draft.stated.ticket.clone_from(&text);
            draft.stated.lot.clone_from(&text);
            draft.stated.kind.clone_from(&text);
            draft.stated.consignor.clone_from(&text);
            draft.stated.buyer.clone_from(&text);
            draft.stated.weigher.clone_from(&text);
            draft.stated.remark.clone_from(&text);
            draft.session.clone_from(&text);
            draft.origin.as_mut().unwrap().export.clone_from(&hostile);
        });
        let paper = with(ticket(&hostile, &[&bad]), |result| result.stated.lot = Some(hostile.clone()));
        for text in files(&with_tickets(day(vec![bad]), vec![paper])) {
            for record in csv::Reader::from_reader(text.as_bytes()).records() {
                let record = record.unwrap();
                let runs = record.iter().filter(|cell| BEGINNINGS.iter().any(|start| cell.starts_with(start)));
                assert_eq!(runs.collect::<Vec<_>>(), Vec::<&str>::new(), "after {beginning:?}");
            }
        }
    }
}

#[test]
fn plain_texts_and_figures_are_left_as_they_are() {
    for plain in ["", "0711", "Ann-Lee", "3=4", "'=quoted already"] {
        assert_eq!(guarded(plain), plain);
    }
    let empty_deck = with(draft(101, 0, lb("-5")), |draft| draft.standing = Standing::Test);
    let [drafts, _] = files(&day(vec![empty_deck]));
    assert_eq!(cell(&drafts, "gross", 0), "-5");
}

/// Texts that break writers and readers of delimited text.
const AWKWARD: [&str; 6] = ["a,b", "say \"no\"", "two\r\nlines", "Łukasz; 牛", " blanks ", "\"\r\n,\""];

#[test]
fn an_outside_reader_gets_every_cell_back() {
    let drafts = (101..).zip(AWKWARD).map(|(number, text)| {
        with(draft(number, 1, lb("600.25")), |draft| draft.stated.remark = Some(text.to_owned()))
    });
    let [drafts, _] = files(&day(drafts.collect()));
    let script = "import csv, io, json, sys\n\
                  text = io.TextIOWrapper(sys.stdin.buffer, encoding='utf-8', newline='')\n\
                  rows = list(csv.DictReader(text, strict=True))\n\
                  print(json.dumps([[r['remark'], r['gross'], r['line'], len(r)] for r in rows]))";
    let Some(output) = ask("python3", &["-c", script], drafts.as_bytes()) else { return };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let rows: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let expected: Vec<_> = AWKWARD
        .iter()
        .enumerate()
        .map(|(place, text)| serde_json::json!([text, "600.25", (place + 3).to_string(), draft_columns().len()]))
        .collect();
    assert_eq!(rows, serde_json::Value::from(expected));
}
