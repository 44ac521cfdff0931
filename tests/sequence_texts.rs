//! What is told of each event: one sentence what, one why we think so, one what to do.

use std::fmt::Write as _;

use counterfoil::sequence::{PaperTicket, Sequence};
use counterfoil::units::TransactionNo;

use crate::support::texts::{explained, explained_with, export};

/// A row as it is written down here: number, time, lot, head.
type Row<'t> = (u64, &'t str, u32, u32);

fn text(rows: &[Row<'_>]) -> String {
    let mut text = "Transaction,Date,Time,Lot,Ticket,Head,Gross,Unit\n".to_owned();
    for (number, at, lot, head) in rows {
        let (date, time) = at.split_once(' ').unwrap_or(("2026-10-17", at));
        let gross = head * 700 + u32::try_from(*number % 7).unwrap() * 5;
        writeln!(text, "{number},{date},{time}:00,{lot},{},{head},{gross},lb", lot + 400).unwrap();
    }
    text
}

/// Ten rows two minutes apart, then these.
fn after_ten(rows: &[Row<'_>]) -> Sequence {
    after_ten_from(1, rows)
}

fn after_ten_from(first: u64, rows: &[Row<'_>]) -> Sequence {
    let times: Vec<String> = (0..10).map(|row| format!("09:{:02}", 2 * row)).collect();
    let ten: Vec<Row<'_>> = times.iter().zip(first..).map(|(time, number)| (number, time.as_str(), 1, 10)).collect();
    explained(&[export("a.csv", text(&[&ten, rows].concat()))])
}

fn told(title: &str, sequence: &Sequence) -> String {
    let mut told = format!("== {title}\n");
    for finding in &sequence.findings {
        let severity = format!("{:?}", finding.severity).to_lowercase();
        writeln!(told, "{severity} {}: {}\n  {}\n  {}", finding.code, finding.title, finding.detail, finding.next_step)
            .unwrap();
    }
    told
}

#[test]
fn every_kind_of_event_is_told_in_plain_words() {
    let paper = |number: &str, first: u64, last: u64| PaperTicket {
        number: number.to_owned(),
        first_transaction: Some(TransactionNo(first)),
        last_transaction: Some(TransactionNo(last)),
        ..PaperTicket::default()
    };
    let ten: Vec<Row<'_>> = vec![(4, "09:00", 1, 10), (5, "09:02", 1, 10), (6, "09:04", 1, 10), (7, "09:06", 1, 10)];
    let ends = explained_with(&[export("a.csv", text(&ten))], &[paper("401", 2, 8), paper("402", 9, 10)]);
    let all = [
        told("a gap", &after_ten(&[(13, "09:26", 1, 10), (14, "09:28", 1, 10)])),
        told("both ends", &ends),
        told("set back", &after_ten(&[(1, "09:22", 2, 12), (2, "09:24", 2, 12)])),
        told("set back among the drafts of a ticket", &after_ten(&[(1, "09:22", 1, 12), (2, "09:24", 1, 12)])),
        told("set ahead", &after_ten(&[(500, "09:22", 2, 12), (501, "09:24", 2, 12)])),
        told("set ahead or a gap", &after_ten_from(80, &[(100, "09:50", 2, 12), (101, "09:52", 2, 12)])),
        told("rolled over", &after_ten_from(990, &[(0, "09:22", 1, 10), (1, "09:24", 1, 10)])),
        told("printed again", &after_ten(&[(10, "09:18", 1, 10), (11, "09:22", 1, 10)])),
        told("two of one number", &after_ten(&[(10, "09:22", 1, 13), (11, "09:24", 1, 10)])),
        told("late", &after_ten(&[(12, "09:24", 1, 10), (11, "09:22", 1, 10), (13, "09:26", 1, 10)])),
        told(
            "a late block",
            &after_ten(&[
                (13, "09:28", 1, 10),
                (14, "09:30", 1, 10),
                (11, "09:22", 1, 10),
                (12, "09:24", 1, 10),
                (15, "09:32", 1, 10),
            ]),
        ),
        told("clock back", &after_ten(&[(11, "07:22", 1, 10), (12, "07:24", 1, 10)])),
        told("clock ahead", &after_ten(&[(11, "16:22", 1, 10), (12, "16:24", 1, 10)])),
        told("dead battery", &after_ten(&[(11, "2015-01-01 00:02", 1, 10), (12, "2015-01-01 00:04", 1, 10)])),
        told("autumn", &autumn()),
    ];
    insta::assert_snapshot!("sequence-texts", all.join("\n"));
}

/// Clocks went back one hour on Sunday, 1 November 2026, in the United States (15 U.S.C. 260a, from memory).
fn autumn() -> Sequence {
    let rows = [(1, "2026-11-01 01:50", 1, 10), (2, "2026-11-01 01:53", 1, 10), (3, "2026-11-01 01:56", 1, 10)];
    let after = [(4, "2026-11-01 00:59", 1, 10), (5, "2026-11-01 01:02", 1, 10), (6, "2026-11-01 01:05", 1, 10)];
    explained(&[export("a.csv", text(&[rows, after].concat()))])
}
