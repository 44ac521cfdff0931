//! Typed lists of tickets are read with the same care as exports.

use counterfoil::export::DateHints;
use counterfoil::ticket::{self, TicketStatus};
use counterfoil::units::Unit;

use crate::support::texts::codes;

#[test]
fn header_words_and_order_are_free() {
    let text = "Gross wt (lb);Hd;Scale ticket #;Date;First no.;Last no.;Status\n8.450;12;0501;10/17/2026;1;3;\n;;502;;;;void\n";
    let list = ticket::read(text.replace("8.450", "8,450").as_bytes(), "list", &DateHints::default());
    assert!(list.usable);
    let first = &list.tickets[0];
    assert_eq!(first.number, "0501");
    assert_eq!(first.gross.unwrap().to_string(), "8,450 lb");
    assert_eq!(first.gross.unwrap().unit(), Some(Unit::Pound));
    assert_eq!((first.first_transaction.unwrap().0, first.last_transaction.unwrap().0), (1, 3));
    assert_eq!(list.tickets[1].status, TicketStatus::Void);
    assert_eq!(codes(&list.findings), ["ticket-void"]);
}

#[test]
fn a_list_without_a_usable_column_says_so() {
    for (text, reason) in [
        ("", "the file is empty"),
        ("  \n\n", "the file is empty"),
        ("ticket,buyer\n1,Ann\n", "neither a column \"head\" nor a column \"gross\""),
        ("head,gross\n1,700\n", "no column \"ticket\""),
        ("just words\n", "no line names the columns"),
        ("PK\u{3}\u{4}rest", "a spreadsheet workbook"),
    ] {
        let list = ticket::read(text.as_bytes(), "list.csv", &DateHints::default());
        assert!(!list.usable);
        assert_eq!(codes(&list.findings), ["tickets-unusable"], "{text:?}");
        assert!(list.findings[0].title.contains(reason), "{}", list.findings[0].title);
        assert!(list.findings[0].title.contains("list.csv"));
    }
}

#[test]
fn a_column_headed_by_number_alone_numbers_the_tickets() {
    let list = ticket::read(b"No.,Hd,Wt\n501,12,8450\n", "list", &DateHints::default());
    assert_eq!(list.tickets[0].number, "501");
}

#[test]
fn a_line_that_cannot_be_read_is_told_and_the_rest_stands() {
    let text = "ticket,head,gross\n501,12,8450\n502,twelve,8450\n,9,100\nTotal,24,16900\n503,9,7000\n";
    let list = ticket::read(text.as_bytes(), "list.csv", &DateHints::default());
    assert_eq!(list.tickets.len(), 2);
    let titles: Vec<_> = list.findings.iter().map(|finding| finding.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "list.csv, line 3 cannot be used: the head count is not a whole number: \"twelve\"",
            "list.csv, line 4 cannot be used: it has no ticket number"
        ]
    );
}

#[test]
fn a_ticket_typed_twice_is_taken_once_if_word_for_word() {
    let same = ticket::read(b"ticket,head,gross\n501,12,8450\n501,12,8450\n", "list", &DateHints::default());
    assert_eq!((same.tickets.len(), codes(&same.findings)), (1, vec!["ticket-repeated"]));
    let other = ticket::read(b"ticket,head,gross\n501,12,8450\n501,12,8540\n", "list", &DateHints::default());
    assert_eq!((other.tickets.len(), codes(&other.findings)), (2, vec!["ticket-repeated"]));
    let zeros = ticket::read(b"ticket,head,gross\n0501,12,8450\n501,9,7000\n", "list", &DateHints::default());
    assert_eq!((zeros.tickets.len(), codes(&zeros.findings)), (2, vec![]), "written apart, meant apart");
}
