//! Why tickets do not tie: each kind of story on a small day, word for word.

use std::fmt::Write as _;

use counterfoil::reconcile::Reconciled;

use crate::support::texts::{deleted_export, export, outcomes, reconciled};

const HEADER: &str = "Transaction,Date,Time,Ticket,Head,Gross,Tare,Unit,Status\n";

/// Three tickets of a day: 71 and 72 with three drafts each, 73 with two.
const DAY: [(u32, &str, u32, u32, u32); 8] = [
    (11, "71", 10, 7_240, 120),
    (12, "71", 12, 8_515, 125),
    (13, "71", 9, 6_605, 115),
    (14, "72", 11, 7_940, 130),
    (15, "72", 8, 5_880, 110),
    (16, "72", 14, 9_735, 140),
    (17, "73", 7, 5_095, 105),
    (18, "73", 13, 9_350, 135),
];

const LIST: &str = "ticket,head,gross\n71,31,22360\n72,33,23555\n73,20,14445\n";

fn row((number, ticket, head, gross, tare): (u32, &str, u32, u32, u32)) -> String {
    format!("{number},2026-10-17,{:02}:{:02}:00,{ticket},{head},{gross},{tare},lb,\n", 9 + number / 60, number % 60)
}

/// The rows of the day, each changed as told.
fn rows(change: impl Fn(&str) -> String) -> String {
    DAY.into_iter().map(|draft| change(&row(draft))).collect()
}

fn all_rows() -> String {
    rows(ToOwned::to_owned)
}

fn without(number: &str) -> String {
    rows(|row| if row.starts_with(number) { String::new() } else { row.to_owned() })
}

fn told(rows: &str, list: &str) -> Reconciled {
    reconciled(&[export("a.csv", format!("{HEADER}{rows}"))], list)
}

/// A list in which the line of one ticket is replaced.
fn typed(ticket: &str, line: &str) -> String {
    let lines = LIST.lines().map(|old| if old.starts_with(&format!("{ticket},")) { line } else { old });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

/// What was said of the tickets that do not tie.
fn said(name: &str, all: &Reconciled) -> String {
    let mut text = format!("{name}\n");
    for ticket in all.tickets.iter().filter(|ticket| !ticket.explanations.is_empty()) {
        let outcome = format!("{:?}", ticket.outcome).to_lowercase();
        for story in &ticket.explanations {
            writeln!(text, "  {} {outcome}, {}: {}", ticket.stated.number, story.confidence, story.text).unwrap();
        }
    }
    text
}

#[test]
fn each_kind_of_story_has_its_words() {
    let typing = |name: &str, line: &str| said(name, &told(&all_rows(), &typed("72", line)));
    let mut all = String::new();
    all += &said("missing-draft", &told(&without("15"), LIST));
    let two = rows(|row| if row.starts_with("14") || row.starts_with("15") { String::new() } else { row.to_owned() });
    all += &said("missing-drafts", &told(&two, LIST));
    let live = export("a.csv", format!("{HEADER}{}", without("15")));
    let gone = deleted_export("b.csv", format!("{HEADER}{}", row(DAY[4])));
    all += &said("recovered-draft", &reconciled(&[live, gone], LIST));
    all += &typing("reprint-counted, no copy", "72,44,31495");
    let again = all_rows() + &row(DAY[3]);
    all += &said("reprint-counted, with a copy", &told(&again, &typed("72", "72,44,31495")));
    let twice = rows(|row| row.replace("15,2026-10-17,09:15:00,72,8,5880", "15,2026-10-17,09:15:00,72,11,7935"));
    all += &said("reweigh-counted", &told(&twice, &typed("72", "72,25,17670")));
    let void = rows(|row| if row.starts_with("15") { row.replace("lb,", "lb,VOID") } else { row.to_owned() });
    all += &said("void-counted", &told(&void, LIST));
    let other = rows(|row| if row.starts_with("14") { row.replace(",72,", ",71,") } else { row.to_owned() });
    all += &said("draft-on-other-ticket", &told(&other, LIST));
    let unlisted = rows(|row| if row.starts_with("14") { row.replace(",72,", ",99,") } else { row.to_owned() });
    all += &said("draft-on-other-ticket, not listed", &told(&unlisted, LIST));
    all += &typing("draft-left-off", "72,25,17675");
    all += &said("draft-split", &told(&all_rows(), "ticket,head,gross\n71,31,22360\n72,28,20055\n73,25,17945\n"));
    all += &said("tickets-exchanged", &told(&all_rows(), "ticket,head,gross\n71,20,14445\n72,33,23555\n73,31,22360\n"));
    all += &typing("digits-swapped", "72,33,32555");
    all += &typing("digits-swapped, apart", "72,33,53525");
    all += &typing("digit-wrong", "72,33,26555");
    all += &typing("digit-dropped", "72,33,2355");
    all += &typing("digit-added", "72,33,235515");
    all += &typing("digit-wrong, head", "72,38,23555");
    all += &typing("decimal-slide", "72,33,235550");
    all += &typing("unit-mistaken", "72,33,10684");
    all += &typing("head-miscounted", "72,34,23555");
    all += &typing("head-removed", "72,32,22850");
    all += &typing("average-for-gross", "72,33,713.79");
    all += &typing("rounding", "72,33,23550");
    all += &typing("tare-omitted", "72,33,23175");
    all += &typing("shrink off the gross", "72,33,22848");
    all += &typing("two slips", "72,35,32555");
    insta::assert_snapshot!("ticket-stories", all);
}

#[test]
fn pay_weights_that_do_not_follow_are_told() {
    let rows = all_rows();
    let with = |pay: &str| {
        let list = format!("ticket,head,gross,shrink %,pay weight\n71,31,22360,3,21339.8\n72,33,23555,3,{pay}\n");
        said(pay, &told(&rows, &list))
    };
    let all = ["23175", "21805.36", "22711.5", "22848.35", "22479.75"].map(with).concat();
    insta::assert_snapshot!("pay-weight-stories", all);
    let list = "ticket,head,gross,pay weight\n71,31,22360,22000\n72,33,23555,23555\n";
    let all = told(&rows, list);
    assert_eq!(outcomes(&all), ["71 tied", "72 tied tare-omitted 23175"], "net is due where the rows state tare");
    assert!(all.findings.iter().any(|finding| finding.code == "pay-weight-disagrees"));
}

#[test]
fn a_hole_between_a_ticket_s_own_rows_goes_before_what_leaves_it_open() {
    let list = typed("72", "72,33,23555");
    let same = without("15").replace("16,2026-10-17,09:16:00,72,14,9735", "16,2026-10-17,09:16:00,72,8,5880");
    let list = list.replace("72,33,23555", "72,27,19700");
    assert_eq!(outcomes(&told(&same, &list))[1], "72 explained missing-draft #15 8hd 5880");
}

#[test]
fn a_ticket_between_one_that_ties_and_one_that_does_not() {
    let two = rows(|row| if row.starts_with("12") || row.starts_with("13") { String::new() } else { row.to_owned() });
    assert_eq!(
        outcomes(&told(&two, LIST)),
        ["71 explained missing-drafts #12 #13 21hd 15120", "72 tied", "73 tied"],
        "both numbers are of the ticket that does not tie"
    );
}

#[test]
fn three_tickets_in_a_row_are_one_story() {
    let moved = rows(|row| match &row[..2] {
        "14" => row.replace(",72,", ",71,"),
        "17" => row.replace(",73,", ",72,"),
        _ => row.to_owned(),
    });
    assert_eq!(
        outcomes(&told(&moved, LIST)),
        [
            "71 explained draft-on-other-ticket #14 11hd 7940",
            "72 explained draft-on-other-ticket #14 #17 18hd 13035",
            "73 explained draft-on-other-ticket #17 7hd 5095"
        ]
    );
    let turned = "ticket,head,gross\n71,33,23555\n72,20,14445\n73,31,22360\n";
    assert_eq!(
        outcomes(&told(&all_rows(), turned)),
        ["71 explained tickets-exchanged", "72 explained tickets-exchanged", "73 explained tickets-exchanged"]
    );
}

#[test]
fn drafts_with_a_void_number_go_to_the_ticket_that_replaces_it() {
    let list = "ticket,head,gross,status,replaces\n71,31,22360,void,\n72,33,23555,,\n73,20,14445,,\n80,31,22360,,71\n";
    assert_eq!(outcomes(&told(&all_rows(), list)), ["71 tied", "72 tied", "73 tied", "80 tied"]);
}

#[test]
fn total_rows_tell_whose_the_drafts_above_them_are() {
    let total = |ticket: &str, head: u32, gross: u32| format!("Total,,,{ticket},{head},{gross},,lb,\n");
    let unnumbered: Vec<String> = DAY.into_iter().map(|draft| row((draft.0, "", draft.2, draft.3, draft.4))).collect();
    let rows = unnumbered[..3].concat()
        + &total("71", 31, 22_360)
        + &unnumbered[3]
        + &unnumbered[5]
        + &total("72", 33, 23_555)
        + &unnumbered[6..].concat()
        + &total("73", 20, 14_445);
    assert_eq!(outcomes(&told(&rows, LIST)), ["71 tied", "72 explained missing-draft #15 8hd 5880", "73 tied"]);
}

#[test]
fn what_no_exact_run_takes_lies_on_the_ticket_it_explains() {
    let unnumbered: String = DAY.into_iter().map(|draft| row((draft.0, "", draft.2, draft.3, draft.4))).collect();
    let outcome = outcomes(&told(&unnumbered, &typed("72", "72,33,32555")));
    assert_eq!(outcome, ["71 tied", "72 explained digits-swapped 23555", "73 tied"]);
    let outcome = outcomes(&told(&unnumbered, &typed("72", "72,950,1234")));
    assert_eq!(outcome, ["71 tied", "72 no-drafts", "73 tied"], "nothing tells that these drafts are its own");
}

#[test]
fn the_average_on_paper_decides_between_paper_and_typing() {
    let head = "ticket,head,gross,average\n71,31,22360,\n73,20,14445,\n";
    let of = |average: &str| outcomes(&told(&all_rows(), &format!("{head}72,32,23555,{average}\n"))).pop().unwrap();
    assert_eq!(of("713.79"), "72 explained head-miscounted 33hd");
}

/// R. B. Kester, Accounting Theory and Practice, vol. 1 (1917), trial-balance errors (read): figures with two digits exchanged,
/// neighbours or not.
#[test]
fn the_exchanged_digits_of_a_textbook_are_found() {
    for (right, written) in [(6_394, 3_694), (735, 537), (981, 189), (512, 215), (5_174, 4_175), (6_392, 2_396)] {
        let rows = format!("1,2026-10-17,09:00:00,501,1,{right},,lb,\n2,2026-10-17,09:02:00,502,1,700,,lb,\n");
        let list = format!("ticket,head,gross\n501,1,{written}\n502,1,700\n");
        assert_eq!(outcomes(&told(&rows, &list))[0], format!("501 explained digits-swapped {right}"));
    }
}

/// Western Livestock Journal, 22 September 2014: 650 lb less 2 % shrink are 637 lb, less 6 % are 611 lb; Western Producer,
/// "Efficient handling lowers shrink": 1,600 lb less 3 % are 1,552 lb; Noble Foundation, "Managing Shrink": 600 lb less 6 % are
/// 564 lb (all read).
#[test]
fn published_shrinks_are_found_in_a_weight_and_in_a_pay_weight() {
    for (gross, rate, pay) in [(650, 2, 637), (650, 6, 611), (1_600, 3, 1_552), (600, 6, 564)] {
        let rows = format!("1,2026-10-17,09:00:00,501,1,{gross},,lb,\n");
        let list =
            |gross: u32, pay: u32| format!("ticket,head,gross,shrink %,pay weight\n501,1,{gross},{rate},{pay}\n");
        assert_eq!(outcomes(&told(&rows, &list(gross, pay))), ["501 tied"]);
        assert_eq!(outcomes(&told(&rows, &list(gross, gross))), [format!("501 tied shrink-omitted {gross}")]);
        let off = outcomes(&told(&rows, &list(pay, pay)));
        assert!(off[0].contains(&format!("shrink-twice {gross}")), "{off:?}");
    }
}

#[test]
fn where_the_search_stops_it_is_said() {
    let unlisted: String = (100..160).map(|number| row((number, "99", 10, 7_000 + number * 5, 100))).collect();
    let wrong = typed("72", "72,35,29990");
    let said =
        |rows: &str| told(rows, &wrong).not_checked.iter().any(|item| item.what.starts_with("every pair of slips"));
    assert!(said(&(all_rows() + &unlisted)), "sixty drafts are on no ticket");
    assert!(!said(&all_rows()), "all pairs were tried");
}
