//! The main job on sale days made here: the answer, the period, pay weights, units, the list to fill in, and what
//! stands beside it.

use std::collections::BTreeMap;
use std::fs;

use fatfs::FatType;
use serde_json::{Value, json};

use crate::support::document::{alarms, counted, expected_figures, figures, ticket};
use crate::support::program::{self, Desk, codes};
use crate::support::yard::{
    CLEAN_TICKETS, Layout, Weighing, clean_day, clean_desk, partitioned, sale_day, sha256, stick,
};

#[test]
fn a_clean_day_ties_and_needs_nobody() {
    let desk = Desk::new();
    let export = Layout::plain().export(&clean_day());
    let image = partitioned(FatType::Fat32, &[("SALE/DAY.CSV", &export), ("NOTES.TXT", "Gate 4 sticks.\n")]);
    desk.put("stick.img", &image);
    desk.put("tickets.csv", CLEAN_TICKETS);
    let line = ["saleday", "stick.img", "--tickets", "tickets.csv", "--out", "out"];
    let said = desk.counterfoil(&line);
    assert_eq!(said.exit, 0, "{}{}", said.out, said.err);
    let first = said.out.lines().next().unwrap();
    assert!(first.starts_with("Everything ties: 3 tickets."), "{first}");
    assert!(!said.out.contains("WHAT TO SETTLE"), "{}", said.out);

    let document: Value = serde_json::from_str(&desk.read("out/report.json")).unwrap();
    assert_eq!(alarms(&document), Vec::<&Value>::new());
    assert_eq!(figures(&document), expected_figures(&clean_day()));
    for number in ["501", "502", "503"] {
        assert_eq!(ticket(&document, number)["outcome"], "tied");
    }
    assert_eq!(document["unticketed"], json!([]));
    let control = &document["control"][0];
    assert_eq!(
        [&control["records"], &control["head"], &control["gross"], &control["transaction_hash_total"]],
        [&json!(6), &json!(78), &json!("47720"), &json!(21)]
    );
    assert_eq!(control["proved"], true);
    assert_eq!(document["sources"][0]["stick"]["verdict"], "ready");
    assert!(fs::read(desk.path("stick.img")).unwrap() == image, "not a byte of the stick changed");
}

#[test]
fn without_a_list_nothing_was_laid_against_the_paper() {
    let desk = clean_desk();
    let said = desk.counterfoil(&["saleday", "day.csv"]);
    assert_eq!(said.exit, 0);
    assert!(said.out.starts_with("No ticket list was given, so nothing was laid against the paper."), "{}", said.out);
    let (document, exit) = desk.json(&["saleday", "day.csv"]);
    assert_eq!((exit, &document["unticketed"], &document["tickets"]), (0, &Value::Null, &json!([])));
    let not_checked = document["not_checked"].as_array().unwrap();
    assert!(not_checked.iter().any(|line| line["what"].as_str().unwrap().contains("paper tickets")), "{not_checked:?}");
}

/// Friday evening until after midnight, and Saturday afternoon: on tickets 501, 502 and 503.
fn two_days() -> Vec<Weighing> {
    let friday = sale_day(0, 0, 0) - chrono::TimeDelta::days(1);
    let after = |hours: i64, minutes: i64| friday + chrono::TimeDelta::minutes(hours * 60 + minutes);
    [
        (501, after(21, 40), 12, 7_450),
        (501, after(22, 55), 11, 6_905),
        (502, after(23, 50), 15, 8_040),
        (502, after(24, 20), 14, 7_660),
        (503, after(38, 5), 16, 8_835),
        (503, after(38, 20), 10, 8_830),
    ]
    .into_iter()
    .zip(1..)
    .map(|((ticket, at, head, gross), number)| Weighing { number, at, ticket: Some(ticket), head, gross })
    .collect()
}

#[test]
fn a_period_covers_its_days_and_a_night_belongs_to_the_day_it_began() {
    let desk = Desk::new();
    desk.put("days.csv", Layout::plain().export(&two_days()));
    let cases: [(&[&str], &str, &str, u64, &str); 4] = [
        (&["--day", "2026-10-16"], "2026-10-16", "2026-10-16", 4, "30055"),
        (&["--day", "2026-10-17"], "2026-10-17", "2026-10-17", 2, "17665"),
        (&["--from", "2026-10-17", "--to", "2026-10-18"], "2026-10-17", "2026-10-18", 2, "17665"),
        (&["--from", "2026-10-16", "--to", "2026-10-17"], "2026-10-16", "2026-10-17", 6, "47720"),
    ];
    for (options, from, to, records, gross) in cases {
        let (document, exit) = desk.json(&[&["saleday", "days.csv"], options].concat());
        assert_eq!(document["period"], json!({ "from": from, "to": to, "chosen_by": "option" }));
        let control = &document["control"][0];
        assert_eq!((&control["records"], &control["gross"]), (&json!(records), &json!(gross)), "{options:?}");
        assert_eq!((exit, &document["outside_period"]), (0, &json!(6 - records)), "{options:?}");
        assert_eq!(document["drafts"].as_array().unwrap().len(), 6, "the numbers are judged on all rows");
    }
    let (document, _) = desk.json(&["saleday", "days.csv"]);
    assert_eq!(document["period"], json!({ "from": null, "to": null, "chosen_by": "all" }));
    assert_eq!(document["outside_period"], 0);
}

#[test]
fn a_period_may_be_open_at_one_end() {
    let desk = Desk::new();
    desk.put("days.csv", Layout::plain().export(&two_days()));
    for (option, day, records) in
        [("--from", "2026-10-17", 2), ("--to", "2026-10-16", 4), ("--from", "2026-10-16", 6), ("--to", "2026-10-15", 0)]
    {
        let (document, _) = desk.json(&["saleday", "days.csv", option, day]);
        assert_eq!(document["outside_period"], 6 - records, "{option} {day}");
        assert_eq!(document["period"]["chosen_by"], "option");
    }
}

#[test]
fn the_dates_of_the_list_choose_the_period() {
    let desk = Desk::new();
    desk.put("days.csv", Layout::plain().export(&two_days()));
    desk.put("friday.csv", "ticket,date,head,gross\n501,10/16/2026,23,14355\n502,10/16/2026,29,15700\n");
    let (document, exit) = desk.json(&["saleday", "days.csv", "--tickets", "friday.csv"]);
    assert_eq!(document["period"], json!({ "from": "2026-10-16", "to": "2026-10-16", "chosen_by": "tickets" }));
    assert_eq!((exit, &document["outside_period"]), (0, &json!(2)), "{:?}", alarms(&document));
    for number in ["501", "502"] {
        assert_eq!(ticket(&document, number)["outcome"], "tied");
    }
    // An option goes before the list.
    let (document, _) = desk.json(&["saleday", "days.csv", "--tickets", "friday.csv", "--day", "2026-10-17"]);
    assert_eq!((&document["period"]["chosen_by"], &document["outside_period"]), (&json!("option"), &json!(4)));
}

#[test]
fn a_pay_weight_follows_from_a_shrink_and_from_nothing_else() {
    let desk = clean_desk();
    desk.put("two.csv", "ticket,head,gross,shrink_percent\n501,23,14355,2\n502,45,24535,\n503,10,8830,\n");
    let pay = |line: &[&str]| {
        let (document, _) = desk.json(&[&["saleday", "day.csv"], line].concat());
        let of = |number: &str| ticket(&document, number)["found"]["pay_weight"].clone();
        (of("501"), of("502"), document["control"][0]["pay_weight"].clone())
    };
    // 14355 × 0.98 = 14067.9; 24535 × 0.97 = 23798.95; 8830 × 0.97 = 8565.1; together 46431.95.
    assert_eq!(pay(&["--tickets", "tickets.csv"]), (Value::Null, Value::Null, Value::Null));
    assert_eq!(pay(&["--tickets", "two.csv"]), (json!("14067.9"), Value::Null, Value::Null), "not all have one");
    let all = (json!("14067.9"), json!("23798.95"), json!("46431.95"));
    assert_eq!(pay(&["--tickets", "two.csv", "--shrink", "3"]), all, "the ticket goes before the option");
    // 24535 × 0.985 = 24166.975: half away from zero, once on the ticket.
    let (_, rounded, _) = pay(&["--tickets", "two.csv", "--shrink", "1.5"]);
    assert_eq!(rounded, "24166.98");
    let (document, _) = desk.json(&["saleday", "day.csv", "--shrink", "0"]);
    assert_eq!(document["control"][0]["pay_weight"], "47720", "a shrink of nothing is a shrink stated");
}

#[test]
fn weights_in_tenths_are_added_exactly() {
    let desk = Desk::new();
    let text = "Transaction,Date,Time,Ticket,Head,Gross,Unit\n\
                1,10/17/2026,9:02 AM,501,1,0.1,kg\n2,10/17/2026,9:04 AM,501,2,0.2,kg\n\
                3,10/17/2026,9:06 AM,501,3,1352.5,kg\n";
    desk.put("day.csv", text);
    desk.put("list.csv", "ticket,head,gross,unit\n501,6,1352.80,kg\n");
    let (document, exit) = desk.json(&["saleday", "day.csv", "--tickets", "list.csv"]);
    assert_eq!((exit, &document["control"][0]["gross"]), (0, &json!("1352.8")), "{:?}", alarms(&document));
    assert_eq!(ticket(&document, "501")["found"]["average"], "225.47", "1352.8 / 6, to 0.01");
}

#[test]
fn a_row_without_head_and_ticket_is_a_test_and_with_a_ticket_a_draft() {
    let desk = Desk::new();
    let text = Layout::plain().export(&clean_day());
    for (ticket, standing, records) in [("", "test", 5), ("502", "counted", 6)] {
        desk.put("day.csv", text.replace(",502,15,8040", &format!(",{ticket},,8040")));
        let (document, _) = desk.json(&["saleday", "day.csv"]);
        assert_eq!(document["drafts"][2]["standing"], standing);
        assert_eq!(document["drafts"][2]["flags"], json!(["no-head"]));
        assert_eq!(document["control"][0]["records"], records);
    }
}

/// A weighing that leaves the totals is told, whatever the reason.
#[test]
fn a_weight_that_does_not_count_is_told() {
    let desk = Desk::new();
    let row = Layout::plain().export(&clean_day()).replace(",502,15,8040", ",,,8040");
    let all = "Number,Date,Weight\n1,10/17/2026,7450\n2,10/17/2026,6905\n3,10/17/2026,8040\n";
    for text in [row.as_str(), all] {
        desk.put("day.csv", text);
        let (document, _) = desk.json(&["saleday", "day.csv"]);
        assert!(codes(&document).contains(&"no-head"), "{:?}", codes(&document));
    }
}

#[test]
fn an_undecidable_date_order_is_told_and_settled_by_the_option() {
    let desk = Desk::new();
    let text = Layout::plain().export(&clean_day()).replace("10/17/2026", "10/11/2026");
    desk.put("day.csv", text);
    let (document, exit) = desk.json(&["saleday", "day.csv"]);
    assert_eq!(exit, 1);
    assert!(codes(&document).contains(&"date-order-uncertain"), "{:?}", codes(&document));
    assert_eq!(document["exports"][0]["layout"]["date_order"], Value::Null);
    assert_eq!(counted(&document).len(), 6, "it is read in the likelier way");
    for (order, day) in [("mdy", "2026-10-11"), ("dmy", "2026-11-10")] {
        let (document, exit) = desk.json(&["saleday", "day.csv", "--date-order", order]);
        assert_eq!((exit, &document["exports"][0]["layout"]["date_order"]), (0, &json!(order)));
        assert!(document["drafts"][0]["at"].as_str().unwrap().starts_with(day), "{order}");
        assert!(!codes(&document).contains(&"date-order-uncertain"), "{order}");
    }
}

#[test]
fn pounds_and_kilograms_are_never_added() {
    let desk = Desk::new();
    let mut pounds = clean_day();
    let kilograms = pounds.split_off(2);
    desk.put("stick/a.csv", Layout::plain().export(&pounds));
    desk.put("stick/b.csv", Layout { unit: "kg", ..Layout::plain() }.export(&kilograms));
    desk.put("tickets.csv", "ticket,head,gross,unit\n501,23,14355,lb\n502,45,24535,kg\n503,10,8830,kg\n");
    let (document, exit) = desk.json(&["saleday", "stick", "--tickets", "tickets.csv"]);
    assert_eq!(exit, 0, "{:?}", alarms(&document));
    let by_unit: BTreeMap<_, _> = document["control"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| (entry["unit"].as_str().unwrap(), (&entry["records"], &entry["head"], &entry["gross"])))
        .collect();
    let expected = [("lb", (&json!(2), &json!(23), &json!("14355"))), ("kg", (&json!(4), &json!(55), &json!("33365")))];
    assert_eq!(by_unit, BTreeMap::from(expected));
    assert_eq!(document["balance"].as_array().unwrap().len(), 2);
    let said = desk.counterfoil(&["saleday", "stick", "--tickets", "tickets.csv"]);
    assert!(!said.out.contains("47,720"), "{}", said.out);
}

#[test]
fn kilograms_on_a_ticket_in_pounds_do_not_tie() {
    let desk = clean_desk();
    desk.put("list.csv", CLEAN_TICKETS.replace("14355,lb", "14355,kg"));
    let (document, exit) = desk.json(&["saleday", "day.csv", "--tickets", "list.csv"]);
    assert_eq!(exit, 1);
    assert_ne!(ticket(&document, "501")["outcome"], "tied");
}

#[test]
fn the_list_to_fill_in_ties_once_it_is_filled_in() {
    let desk = clean_desk();
    let (document, exit) = desk.json(&["tickets", "day.csv", "--to", "list.csv"]);
    assert_eq!(exit, 0);
    let numbers: Vec<_> = document["tickets"].as_array().unwrap().iter().map(|ticket| &ticket["ticket"]).collect();
    assert_eq!(numbers, ["501", "502", "503"]);

    let blank = desk.read("list.csv");
    let mut lines = blank.lines().map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
    let titles = lines.next().unwrap();
    let column = |title: &str| titles.iter().position(|own| own == title).unwrap();
    let (number, head, gross) = (column("ticket"), column("head"), column("gross"));
    let mut filled = titles.join(",") + "\n";
    for mut line in lines {
        assert_eq!((line[head].as_str(), line[gross].as_str()), ("", ""), "no figure of ours stands in it");
        let day = clean_day();
        let own: Vec<_> = day.iter().filter(|row| row.ticket == line[number].parse().ok()).collect();
        line[head] = own.iter().map(|row| row.head).sum::<u64>().to_string();
        line[gross] = own.iter().map(|row| row.gross).sum::<u64>().to_string();
        filled += &(line.join(",") + "\n");
    }
    desk.put("filled.csv", filled);
    let (tied, exit) = desk.json(&["saleday", "day.csv", "--tickets", "filled.csv"]);
    assert_eq!(exit, 0, "{:?}", alarms(&tied));
    assert!(tied["tickets"].as_array().unwrap().iter().all(|ticket| ticket["outcome"] == "tied"));
}

#[test]
fn a_list_that_was_not_filled_in_ties_nothing() {
    let desk = clean_desk();
    assert_eq!(desk.counterfoil(&["tickets", "day.csv", "--to", "list.csv"]).exit, 0);
    let said = desk.counterfoil(&["saleday", "day.csv", "--tickets", "list.csv"]);
    assert!(!said.out.starts_with("Everything ties"), "{}", said.out);
    let (document, _) = desk.json(&["saleday", "day.csv", "--tickets", "list.csv"]);
    assert!(document["tickets"].as_array().unwrap().iter().all(|ticket| ticket["outcome"] != "tied"));
    assert_eq!(codes(&document), ["ticket-open"], "told once for the whole list");
}

/// A void ticket's drafts, a ticket under a mistyped number and one from elsewhere show no loss at the ends of the stick.
#[test]
fn tickets_that_other_drafts_account_for_show_no_loss() {
    let desk = Desk::new();
    let row =
        |number: u32, ticket: u32| format!("{number},2026-10-17,09:{number:02}:00,{ticket},10,70{number:02},lb\n");
    let rows: String = (1..=6).map(|number| row(number, 800 + (number - 1) / 2)).collect();
    desk.put("day.csv", format!("Transaction,Date,Time,Ticket,Head,Gross,Unit\n{rows}"));
    let head = "ticket,head,gross,status,replaces\n";
    let list = |lines: &str| format!("{head}800,20,14003,,\n{lines}");
    for (lines, expected) in [
        (
            "801,20,14007,void,\n802,20,14011,,\n803,20,14007,,\n",
            vec!["ticket-open", "ticket-without-drafts", "ticket-void"],
        ),
        ("801,20,14007,,\n820,20,14011,,\n", vec!["ticket-without-drafts", "drafts-without-ticket"]),
        ("801,20,14007,,\n802,20,14011,,\n799,9,6000,,\n", vec!["ticket-without-drafts"]),
    ] {
        desk.put("list.csv", list(lines));
        let (document, exit) = desk.json(&["saleday", "day.csv", "--tickets", "list.csv"]);
        assert_eq!((codes(&document), exit), (expected, 1), "{lines}");
        assert_eq!(document["sequence"], json!([]), "{lines}");
        let said = desk.counterfoil(&["saleday", "day.csv", "--tickets", "list.csv"]);
        assert!(said.out.starts_with("Not everything ties"), "{}", said.out);
    }
}

#[test]
fn drafts_of_a_void_ticket_settle_the_one_that_replaces_it() {
    let desk = Desk::new();
    desk.put("day.csv", "Transaction,Date,Time,Ticket,Head,Gross,Unit\n1,2026-10-17,09:01:00,801,10,7001,lb\n");
    desk.put("list.csv", "ticket,head,gross,status,replaces\n801,10,7001,void,\n803,10,7001,,801\n");
    let (document, exit) = desk.json(&["saleday", "day.csv", "--tickets", "list.csv"]);
    assert_eq!((codes(&document), exit), (vec!["ticket-void"], 0));
}

#[test]
fn open_dates_are_told_once_behind_what_is_lost() {
    let desk = Desk::new();
    for name in ["a", "b"] {
        let row = |number: u32, day: u32| format!("{number},03/{day:02}/2026,10,70{number:02},lb\n");
        let first = if name == "a" { 1 } else { 11 };
        let rows: String = [first, first + 1, first + 3].map(|number| row(number, first)).concat();
        desk.put(&format!("stick/{name}.csv"), format!("Transaction,Date,Head,Gross,Unit\n{rows}"));
    }
    let (document, _) = desk.json(&["saleday", "stick"]);
    let cautions: Vec<_> = codes(&document).into_iter().filter(|code| *code == "date-order-uncertain").collect();
    assert_eq!(cautions.len(), 1, "{:?}", codes(&document));
    assert_eq!(codes(&document).last(), Some(&"date-order-uncertain"));
}

#[test]
fn a_list_that_is_there_already_is_not_touched() {
    let desk = clean_desk();
    let said = desk.counterfoil(&["tickets", "day.csv", "--to", "tickets.csv"]);
    assert_eq!((said.exit, said.out.as_str()), (2, ""));
    assert!(said.err.contains("tickets.csv is there already and was not touched"), "{}", said.err);
    assert_eq!(desk.read("tickets.csv"), CLEAN_TICKETS);
}

#[test]
fn the_list_names_a_ticket_expected_between_two_that_were_seen() {
    let desk = Desk::new();
    let day: Vec<_> = clean_day().into_iter().filter(|row| row.ticket != Some(502)).collect();
    desk.put("day.csv", Layout::plain().export(&day));
    let (document, _) = desk.json(&["tickets", "day.csv", "--to", "list.csv"]);
    let seen: Vec<_> =
        document["tickets"].as_array().unwrap().iter().map(|row| json!([row["ticket"], row["seen"]])).collect();
    assert_eq!(seen, [json!(["501", true]), json!(["502", false]), json!(["503", true])]);
}

#[test]
fn every_code_has_its_manual_page() {
    let (all, exit) = program::json(&["explain"]);
    assert_eq!(exit, 0);
    let kinds = all["kinds"].as_array().unwrap();
    assert!(kinds.len() > 40, "{}", kinds.len());
    let list = program::counterfoil(&["explain"]).out;
    for kind in kinds {
        let code = kind["code"].as_str().unwrap();
        assert!(list.lines().any(|line| line.starts_with(code)), "{code} is in the list");
        let page = program::counterfoil(&["explain", code]);
        assert_eq!((page.exit, page.err.as_str()), (0, ""), "{code}");
        let text = page.out.split_whitespace().collect::<Vec<_>>().join(" ");
        let summary = kind["summary"].as_str().unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(&summary), "{code}: {text}");
        assert!(page.out.lines().all(|line| line.chars().count() <= 80), "{code}: {}", page.out);
    }
}

#[test]
fn a_code_that_is_none_leads_to_the_list() {
    for code in ["numbers-lost", "", "NUMBERS MISSING"] {
        let said = program::counterfoil(&["explain", code]);
        assert_eq!((said.exit, said.out.as_str()), (2, ""), "{code}");
        assert!(said.err.contains("\"counterfoil explain\""), "{code}: {}", said.err);
    }
}

#[test]
fn every_manual_page_says_what_to_do() {
    let (all, _) = program::json(&["explain"]);
    let kinds = all["kinds"].as_array().unwrap().iter();
    let silent = kinds.filter(|kind| !kind["manual"].as_str().unwrap().contains("What to do"));
    let silent: Vec<_> = silent.map(|kind| &kind["code"]).collect();
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn examine_lists_every_file_with_its_checksum() {
    let desk = Desk::new();
    let export = Layout::plain().export(&clean_day());
    let long = "a long line of nothing in particular\n".repeat(150);
    let files = [("DAY.CSV", export.as_str()), ("Papers/A long name.txt", &long), ("EMPTY.TXT", "")];
    for kind in [FatType::Fat12, FatType::Fat16] {
        let image = stick(kind, &files);
        desk.put("stick.img", &image);
        let (document, _) = desk.json(&["examine", "stick.img", "--files"]);
        let listed: BTreeMap<_, _> = document["sources"][0]["stick"]["volumes"][0]["files"]
            .as_array()
            .unwrap()
            .iter()
            .map(|file| (file["path"].as_str().unwrap(), file))
            .collect();
        assert_eq!(listed.keys().copied().collect::<Vec<_>>(), ["DAY.CSV", "EMPTY.TXT", "Papers/A long name.txt"]);
        for (path, content) in files {
            let file = listed[path];
            assert_eq!(file["sha256"], sha256(content.as_bytes()), "{path}");
            assert_eq!((&file["size_bytes"], &file["whole"]), (&json!(content.len()), &json!(true)), "{path}");
            assert_eq!(file["state"], "live");
        }
        assert_eq!(document["sources"][0]["sha256"], sha256(&image));
        assert_eq!(sha256(&fs::read(desk.path("stick.img")).unwrap()), sha256(&image), "not a byte of it changed");
    }
}

#[test]
fn examine_without_files_lists_none() {
    let desk = Desk::new();
    desk.put("stick.img", stick(FatType::Fat12, &[("DAY.CSV", &Layout::plain().export(&clean_day()))]));
    let (document, _) = desk.json(&["examine", "stick.img"]);
    let files = &document["sources"][0]["stick"]["volumes"][0]["files"];
    assert!(files.is_null() || *files == json!([]), "{files}");
}

#[test]
fn the_ledger_alone_is_the_ledger_of_the_sale_day() {
    let desk = clean_desk();
    let line = ["day.csv", "--tickets", "tickets.csv", "--out"];
    assert_eq!(desk.counterfoil(&[&["saleday"], &line[..], &["whole"]].concat()).exit, 0);
    assert_eq!(desk.counterfoil(&[&["ledger"], &line[..], &["alone"]].concat()).exit, 0);
    for name in ["ledger-drafts.csv", "ledger-tickets.csv"] {
        assert_eq!(desk.read(&format!("whole/{name}")), desk.read(&format!("alone/{name}")), "{name}");
    }
    let drafts = desk.read("alone/ledger-drafts.csv");
    for weighing in clean_day() {
        let gross = weighing.gross.to_string();
        assert!(drafts.lines().any(|line| line.split(',').any(|cell| cell == gross)), "{gross}: {drafts}");
    }
}
