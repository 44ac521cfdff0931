//! Drafts against tickets.

use counterfoil::units::{Decimal, Unit, Weight};

use crate::support::texts::{by_own_totals, codes, deleted_export, export, outcomes, reconciled};

const HEADER: &str = "Transaction,Date,Time,Ticket,Head,Gross,Unit\n";

const DAY: &str = "\
1,2026-10-17,09:00:00,501,10,7000,lb
2,2026-10-17,09:02:00,501,12,8400,lb
3,2026-10-17,09:04:00,502,9,6500,lb
5,2026-10-17,09:08:00,502,11,7700,lb
6,2026-10-17,09:10:00,503,10,7150,lb
";

fn outcome_of(rows: &str, list: &str) -> Vec<String> {
    outcomes(&reconciled(&[export("a.csv", format!("{HEADER}{rows}"))], list))
}

#[test]
fn tickets_tie_or_one_lost_draft_follows_exactly() {
    let list = "ticket,head,gross\n501,22,15400\n502,31,21900\n503,10,7150\n";
    assert_eq!(outcome_of(DAY, list), ["501 tied", "502 explained missing-draft #4 11hd 7700", "503 tied"]);
}

#[test]
fn a_lost_draft_must_be_plausible_per_head() {
    let list = "ticket,head,gross\n501,22,15400\n502,21,21900\n503,10,7150\n";
    let outcome = outcome_of(DAY, list).remove(1);
    assert!(outcome.starts_with("502 open"), "one head of 7,700 lb is no animal: {outcome}");
    assert!(!outcome.contains(" 1hd"), "{outcome}");
}

#[test]
fn a_ticket_nobody_can_explain_is_open() {
    let list = "ticket,head,gross\n501,22,15400\n502,20,14200\n503,10,7389\n";
    assert_eq!(outcome_of(DAY, list), ["501 tied", "502 tied", "503 open"]);
}

/// R. B. Kester, Accounting Theory and Practice, vol. 1 (1917), trial-balance errors (read): 6394 written as 3694; and
/// 1170 against 1260, divisible by nine and yet no exchange (derived).
#[test]
fn exchanged_digits_are_tried_not_guessed_by_nine() {
    let rows = "1,2026-10-17,09:00:00,501,9,6394,lb\n2,2026-10-17,09:02:00,502,2,1170,lb\n";
    let list = "ticket,head,gross\n501,9,3694\n502,2,1260\n";
    assert_eq!(outcome_of(rows, list), ["501 explained digits-swapped 6394", "502 open"]);
}

#[test]
fn several_lost_drafts_give_their_sum_alone() {
    let rows = DAY.replace("6,2026-10-17,09:10", "8,2026-10-17,09:14");
    let list = "ticket,head,gross\n501,22,15400\n502,31,21900\n503,32,22150\n";
    let outcomes = outcome_of(&rows, list);
    assert_eq!(outcomes[2], "503 explained missing-drafts #6 #7 22hd 15000");
}

#[test]
fn two_tickets_share_a_hole_in_the_order_of_the_weighing() {
    let rows = "\
1,2026-10-17,09:00:00,501,10,7000,lb
4,2026-10-17,09:06:00,502,9,6500,lb
5,2026-10-17,09:08:00,502,9,6400,lb
";
    let list = "ticket,head,gross\n501,21,14800\n502,28,19600\n";
    assert_eq!(
        outcome_of(rows, list),
        ["501 explained missing-draft #2 11hd 7800", "502 explained missing-draft #3 10hd 6700"]
    );
}

#[test]
fn a_ticket_that_lost_all_its_rows_takes_the_hole_alone() {
    let rows = "1,2026-10-17,09:00:00,501,10,7000,lb\n4,2026-10-17,09:06:00,503,9,6500,lb\n";
    let list = "ticket,head,gross\n501,10,7000\n502,18,13100\n503,9,6500\n";
    assert_eq!(outcome_of(rows, list)[1], "502 explained missing-drafts #2 #3 18hd 13100");
    let two = "ticket,head,gross\n501,10,7000\n502,18,13100\n503,9,6500\n509,3,2100\n";
    assert_eq!(outcome_of(rows, two)[3], "509 explained missing-drafts 3hd 2100", "weighed after the stick was pulled");
}

#[test]
fn stated_numbers_say_whose_a_lost_draft_was() {
    let rows = "5,2026-10-17,09:08:00,701,9,6500,lb\n6,2026-10-17,09:10:00,701,9,6400,lb\n";
    let list = "ticket,head,gross,first no,last no\n700,31,21900,1,3\n701,24,16900,4,6\n";
    assert_eq!(
        outcome_of(rows, list),
        ["700 explained missing-drafts #1 #2 #3 31hd 21900", "701 explained missing-draft #4 6hd 4000"]
    );
    let all = reconciled(&[export("a.csv", format!("{HEADER}{rows}"))], list);
    assert!(all.tickets[0].explanations[0].text.contains("21,900 lb"), "the day's one unit stands beside the figure");
}

#[test]
fn rows_of_a_deleted_file_close_their_ticket() {
    let live = export("a.csv", format!("{HEADER}{}", DAY.replace("3,2026-10-17,09:04:00,502,9,6500,lb\n", "")));
    let gone = deleted_export(
        "b.csv",
        format!("{HEADER}3,2026-10-17,09:04:00,502,9,6500,lb\n4,2026-10-17,09:06:00,502,11,7700,lb\n"),
    );
    let both = reconciled(&[live, gone], "ticket,head,gross\n501,22,15400\n502,31,21900\n503,10,7150\n");
    assert_eq!(outcomes(&both)[1], "502 explained recovered-draft #3 #4 20hd 14200");
}

#[test]
fn a_copy_added_in_on_paper_is_named() {
    let rows = format!("{DAY}2,2026-10-17,09:02:00,501,12,8400,lb\n");
    let list = "ticket,head,gross\n501,34,23800\n502,20,14200\n503,10,7150\n";
    assert_eq!(outcome_of(&rows, list)[0], "501 explained reprint-counted #2 12hd 8400");
}

#[test]
fn drafts_without_a_ticket_are_told() {
    let all =
        reconciled(&[export("a.csv", format!("{HEADER}{DAY}"))], "ticket,head,gross\n501,22,15400\n502,20,14200\n");
    assert_eq!(all.unticketed.as_ref().map(Vec::len), Some(1));
    assert_eq!(codes(&all.findings), ["drafts-without-ticket"]);
    let balance = &all.balance[0];
    assert_eq!(balance.without_ticket.gross, Decimal::from(7150));
    assert_eq!(balance.drafts.gross, balance.on_tickets.gross + balance.without_ticket.gross);
    assert_eq!(balance.drafts.head, balance.on_tickets.head + balance.without_ticket.head);
}

#[test]
fn drafts_without_ticket_numbers_are_divided_exactly() {
    let rows = DAY.replace(",501,", ",,").replace(",502,", ",,").replace(",503,", ",,");
    let list = "ticket,head,gross\nA,22,15400\nB,20,14200\nC,10,7150\n";
    assert_eq!(outcome_of(&rows, list), ["A tied", "B tied", "C tied"]);
    let stated = "ticket,head,gross,first no,last no\nA,22,15400,1,2\nB,20,14200,3,5\nC,10,7150,6,6\n";
    assert_eq!(outcome_of(&rows, stated), ["A tied", "B tied", "C tied"]);
}

#[test]
fn pounds_never_tie_with_kilograms() {
    let list = "ticket,head,gross,unit\n501,22,15400,kg\n502,20,14200,lb\n503,10,7150,lb\n";
    assert_eq!(outcome_of(DAY, list)[0], "501 open");
}

#[test]
fn the_export_s_own_totals_are_tickets_too() {
    let text = "\
Transaction,Date,Time,Ticket,Head,Gross,Unit
1,2026-10-17,09:00:00,501,10,7000,lb
2,2026-10-17,09:02:00,501,12,8400,lb
Total,,,501,22,15400,lb
Total,,,501,22,15400,lb
4,2026-10-17,09:06:00,502,9,6500,lb
Total,,,,21,14900,lb
Day total,,,,43,30300,lb
1,2026-10-24,09:00:00,501,8,5600,lb
Total,,,501,8,5600,lb
";
    assert_eq!(
        outcomes(&by_own_totals(&[export("a.csv", text)])),
        ["501 tied", "502 explained missing-draft #3 12hd 8400", "501 tied"],
        "a total without a number belongs to the ticket above it; the same number on another day is another ticket"
    );
}

#[test]
fn a_list_that_was_not_filled_in_ties_nothing() {
    let all =
        reconciled(&[export("a.csv", format!("{HEADER}{DAY}"))], "ticket,head,gross\n501,,\n502,20,14200\n503,,7150\n");
    assert_eq!(outcomes(&all), ["501 open", "502 tied", "503 tied"]);
    assert_eq!(all.findings[0].title, "Ticket 501 is not filled in");
    let said: Vec<_> = all.not_checked.iter().map(|item| item.what.as_str()).collect();
    assert_eq!(said, ["the head of 1 ticket"], "503 states no head");
}

#[test]
fn stated_numbers_are_looked_for_in_one_session() {
    let rows = "\
1,2026-10-17,09:00:00,,10,7000,lb
2,2026-10-17,09:02:00,,12,8400,lb
1,2026-10-17,13:00:00,,9,6500,lb
2,2026-10-17,13:02:00,,11,7700,lb
";
    let list = "ticket,head,gross,first no,last no\nM1,22,15400,1,2\nA1,20,14200,1,2\n";
    assert_eq!(outcome_of(rows, list), ["M1 tied", "A1 tied"]);
}

#[test]
fn a_void_ticket_with_drafts_leaves_the_balance_true() {
    let list = "ticket,head,gross,status\n501,22,15400,void\n502,20,14200,\n503,10,7150,\n";
    let balance = reconciled(&[export("a.csv", format!("{HEADER}{DAY}"))], list).balance.remove(0);
    assert_eq!(balance.without_ticket.head, 22);
    assert_eq!(balance.difference.gross, balance.stated.gross - balance.on_tickets.gross);
    assert_eq!(balance.difference.head, 0);
}

#[test]
fn an_export_total_that_comes_to_nothing_is_told() {
    let rows = DAY.replace(",501,", ",,").replace(",502,", ",,").replace(",503,", ",,");
    let with = |total: &str| by_own_totals(&[export("a.csv", format!("{HEADER}{rows}{total}"))]);
    assert_eq!(codes(&with("Day total,,,,52,36750,lb\n").findings), Vec::<&str>::new());
    assert_eq!(codes(&with("Day total,,,,99,99999,lb\n").findings), ["stated-total-disagrees"]);
}

#[test]
fn the_export_s_own_totals_speak_beside_a_list() {
    let text = format!("{HEADER}{DAY}Total,,,503,12,8650,lb\n");
    let desk = crate::support::program::Desk::new();
    let export = desk.put("a.csv", text);
    let list = desk.put("list.csv", "ticket,head,gross\n501,22,15400\n502,20,14200\n503,10,7150\n");
    let (document, exit) = crate::support::program::json(&["saleday", &export, "--tickets", &list]);
    assert_eq!(exit, 1);
    let titles: Vec<_> = document["findings"].as_array().unwrap().iter().map(|finding| &finding["title"]).collect();
    assert!(
        titles.iter().any(|title| title.as_str().unwrap().starts_with("The export's total of ticket 503")),
        "{titles:?}"
    );
}

#[test]
fn a_void_ticket_expects_nothing() {
    let list = "ticket,head,gross,status\n501,22,15400,\n502,20,14200,\n503,10,7150,\n504,,,void\n";
    assert_eq!(outcome_of(DAY, list)[3], "504 tied");
}

#[test]
fn shrink_makes_the_pay_weight_once_on_the_ticket() {
    let list =
        "ticket,head,gross,shrink %,price,price per\n501,22,15400,3,137.25,cwt\n502,20,14200,,,\n503,10,7150,2.5,,\n";
    let all = reconciled(&[export("a.csv", format!("{HEADER}{DAY}"))], list);
    let pay: Vec<_> = all.tickets.iter().map(|ticket| ticket.found.pay_weight).collect();
    let pounds = |hundredths| Some(Weight::new(Decimal::new(hundredths, 2), Some(Unit::Pound)));
    assert_eq!(pay, [pounds(1_493_800), None, pounds(697_125)]);
    assert_eq!(all.tickets[0].value.unwrap().to_string(), "20,502.41");
}
