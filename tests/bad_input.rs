//! What a tired person does wrong, and what a worn stick does: each gets a message that names the thing and the next
//! step.

use std::fmt::Write;
use std::fs;

use fatfs::FatType;
use serde_json::Value;

use crate::support::document::counted;
use crate::support::program::{Desk, Said, codes};
use crate::support::yard::{self, CLEAN_TICKETS, Layout, clean_day, clean_desk, gzipped};

/// What was typed and what it led to: the exit status, the messages, and the screen down to the figures.
fn told(arguments: &[&str], said: &Said) -> String {
    let typed = arguments.iter().map(|word| if word.is_empty() { "\"\"" } else { word }).collect::<Vec<_>>();
    let mut text = format!("$ counterfoil {}\n", typed.join(" "));
    let answer = said.out.split("\nFIGURES\n").next().unwrap();
    for line in answer.lines().map(str::trim_end) {
        writeln!(text, "  | {line}").unwrap();
    }
    for line in said.err.lines().map(str::trim_end) {
        writeln!(text, "  ! {line}").unwrap();
    }
    writeln!(text, "  exit {}\n", said.exit).unwrap();
    text
}

/// Runs each command line, demands the exit status, and gives all that was told.
fn all_told(desk: &Desk, exit: i32, lines: &[&[&str]]) -> String {
    let mut text = String::new();
    for arguments in lines {
        let said = desk.counterfoil(arguments);
        assert_eq!(said.exit, exit, "{arguments:?}: {}{}", said.out, said.err);
        for line in said.out.lines().chain(said.err.lines()) {
            assert!(!line.contains('\u{1b}'), "plain when piped: {line}");
        }
        text += &told(arguments, &said);
    }
    text
}

/// Fourteen kilobytes that look like nothing, the same on every run.
fn noise() -> Vec<u8> {
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state.to_le_bytes()[0]
    };
    (0..14_000).map(|_| next()).collect()
}

#[test]
fn what_holds_no_export_is_named() {
    let desk = clean_desk();
    desk.put("letter.txt", "Dear Tess,\n\nthe hay is paid.\n");
    desk.put("prices.csv", "Item,Price\nHay,7.50\nStraw,3.20\n");
    desk.put("noise.bin", noise());
    desk.put("pen/readme.txt", "Nothing to weigh.\n");
    fs::create_dir(desk.path("bare")).unwrap();
    let told = all_told(
        &desk,
        1,
        &[
            &["saleday", "letter.txt"],
            &["saleday", "prices.csv"],
            &["saleday", "noise.bin"],
            &["saleday", "pen"],
            &["saleday", "bare"],
            &["examine", "letter.txt"],
        ],
    );
    insta::assert_snapshot!("no-export", told);
    let (document, _) = desk.json(&["saleday", "noise.bin"]);
    assert!(codes(&document).contains(&"no-export"), "{:?}", codes(&document));
}

#[test]
fn a_header_without_rows_is_an_export_of_nothing() {
    let desk = clean_desk();
    desk.put("header.csv", "Transaction,Date,Time,Ticket,Head,Gross,Unit\r\n");
    let (document, _) = desk.json(&["saleday", "header.csv", "day.csv"]);
    assert!(codes(&document).contains(&"export-empty"), "{:?}", codes(&document));
    assert_eq!(counted(&document), [1, 2, 3, 4, 5, 6], "the other file is read");
}

#[test]
fn what_cannot_be_opened_is_named() {
    let desk = clean_desk();
    desk.put("empty.csv", "");
    desk.put("empty.img", "");
    desk.put("empty.img.gz", "");
    desk.put("half.img.gz", &gzipped(&noise())[..9]);
    desk.put("broken.img.gz", broken_gzip());
    desk.put("broken.img.zst", "\u{28}\u{b5}\u{2f}");
    let told = all_told(
        &desk,
        3,
        &[
            &["saleday", "empty.csv"],
            &["saleday", "empty.img"],
            &["saleday", "empty.img.gz"],
            &["saleday", "half.img.gz"],
            &["saleday", "broken.img.gz"],
            &["saleday", "gone.img"],
            &["saleday", "gone/day.csv"],
            &["examine", "gone.img"],
            &["tickets", "gone.img", "--to", "list.csv"],
            &["ledger", "gone.img", "--out", "out"],
        ],
    );
    insta::assert_snapshot!("cannot-be-opened", told);
    assert!(!desk.path("list.csv").exists(), "no list of nothing");
}

/// A gzip head, and behind it no deflate stream.
fn broken_gzip() -> Vec<u8> {
    let mut bytes = gzipped(&noise());
    bytes[10..40].fill(0xFF);
    bytes
}

#[test]
fn a_source_that_cannot_be_opened_still_gives_one_document() {
    let desk = clean_desk();
    let said = desk.counterfoil(&["saleday", "gone.img", "--json"]);
    assert_eq!(said.exit, 3);
    let document: Value = serde_json::from_str(&said.out).expect("one document, a partial one");
    assert_eq!(document["format"], "counterfoil-report/1");
}

#[test]
fn the_rest_of_several_sources_is_read() {
    let desk = clean_desk();
    let said = desk.counterfoil(&["saleday", "gone.img", "day.csv", "--tickets", "tickets.csv"]);
    assert_eq!(said.exit, 3);
    assert!(said.err.contains("gone.img does not exist"), "{}", said.err);
    for sources in [["gone.img", "day.csv"], ["day.csv", "gone.img"]] {
        let (document, exit) = desk.json(&[&["saleday"], &sources[..], &["--out", "out"]].concat());
        assert_eq!((exit, counted(&document)), (3, vec![1, 2, 3, 4, 5, 6]));
        assert!(desk.path("out/report.json").exists(), "what was read is written");
    }
}

#[test]
fn a_missing_source_is_told_in_every_output() {
    let desk = clean_desk();
    let said = desk.counterfoil(&["saleday", "day.csv", "gone.img", "--tickets", "tickets.csv", "--out", "out"]);
    let first: String = said.out.split("\n\n").next().unwrap().replace('\n', " ");
    assert!(!first.contains("Nothing that was checked needs a person"), "{first}");
    assert!(said.out.contains("gone.img"), "{}", said.out);
    assert!(desk.read("out/report.html").contains("gone.img"), "the page people keep");
    assert!(desk.read("out/report.json").contains("gone.img"), "the document programs read");
}

#[test]
fn a_command_line_that_is_wrong_does_nothing() {
    let desk = clean_desk();
    let told = all_told(
        &desk,
        2,
        &[
            &["weigh", "day.csv"],
            &["saleday", "day.csv", "--ticket", "tickets.csv"],
            &["saleday", "day.csv", "--tickets", "gone.csv"],
            &["saleday", "day.csv", "--tickets"],
            &["saleday", "day.csv", "--day", "17.10.2026"],
            &["saleday", "day.csv", "--day", "2026-02-30"],
            &["saleday", "day.csv", "--day", "2026-10-17", "--from", "2026-10-17"],
            &["saleday", "day.csv", "--shrink", "two"],
            &["saleday", "day.csv", "--shrink", "100"],
            &["saleday", "day.csv", "--shrink=-1"],
            &["saleday", "day.csv", "--date-order", "myd"],
            &["ledger", "day.csv"],
            &["tickets", "day.csv"],
        ],
    );
    insta::assert_snapshot!("command-line", told);
    assert!(!told.contains("  | "), "nothing for people, nothing for programs: {told}");
}

#[test]
fn an_unknown_code_is_named() {
    let said = clean_desk().counterfoil(&["explain", "numbers-lost"]);
    assert_eq!((said.exit, said.out.as_str()), (2, ""));
    assert!(said.err.contains("numbers-lost"), "{}", said.err);
}

#[test]
fn a_period_that_ends_before_it_begins_is_refused() {
    let desk = clean_desk();
    let said = desk.counterfoil(&["saleday", "day.csv", "--from", "2026-10-18", "--to", "2026-10-17"]);
    assert_eq!((said.exit, said.out.as_str()), (2, ""));
}

#[test]
fn nothing_is_written_onto_the_stick() {
    let desk = clean_desk();
    desk.put("stick/WEIGHED/day.csv", Layout::plain().export(&clean_day()));
    let told = all_told(
        &desk,
        2,
        &[
            &["saleday", "stick", "--out", "stick"],
            &["saleday", "stick", "--out", "stick/out"],
            &["saleday", "stick", "--out", "stick/WEIGHED/../out/deep"],
            &["saleday", "day.csv", "stick", "--out", "./stick/out"],
            &["ledger", "stick", "--out", "stick/out"],
            &["tickets", "stick", "--to", "stick/list.csv"],
        ],
    );
    insta::assert_snapshot!("on-the-stick", told);
    assert_eq!(desk.names("stick"), ["WEIGHED"]);
    assert_eq!(desk.names("stick/WEIGHED"), ["day.csv"]);
}

#[test]
#[cfg(unix)]
fn a_link_to_the_stick_is_the_stick() {
    let desk = clean_desk();
    desk.put("stick/day.csv", Layout::plain().export(&clean_day()));
    std::os::unix::fs::symlink(desk.path("stick"), desk.path("link")).unwrap();
    for (source, out) in [("stick", "link/out"), ("link", "stick/out")] {
        assert_eq!(desk.counterfoil(&["saleday", source, "--out", out]).exit, 2, "{source} {out}");
    }
    assert_eq!(desk.names("stick"), ["day.csv"]);
}

#[test]
fn an_output_that_cannot_be_written_is_named_and_the_answer_still_given() {
    let desk = clean_desk();
    for out in ["tickets.csv", "tickets.csv/out"] {
        let said = desk.counterfoil(&["saleday", "day.csv", "--tickets", "tickets.csv", "--out", out]);
        assert!(said.exit == 1 || said.exit == 2, "{out}: {}", said.exit);
        assert!(said.err.contains(out), "{}", said.err);
        let (document, _) = desk.json(&["saleday", "day.csv", "--tickets", "tickets.csv", "--out", out]);
        assert_eq!(counted(&document), [1, 2, 3, 4, 5, 6]);
    }
    assert_eq!(desk.read("tickets.csv"), CLEAN_TICKETS, "what stood there is as it was");
    let said = desk.counterfoil(&["tickets", "day.csv", "--to", "tickets.csv/list.csv"]);
    assert_ne!(said.exit, 0);
    assert!(said.err.contains("tickets.csv"), "{}", said.err);
}

#[test]
fn an_output_that_cannot_be_written_says_what_to_do() {
    let said = clean_desk().counterfoil(&["saleday", "day.csv", "--out", "tickets.csv/out"]);
    assert!(said.err.contains("--out"), "{}", said.err);
}

#[test]
fn a_ticket_list_that_cannot_be_used_does_not_stop_the_rest() {
    let desk = clean_desk();
    desk.put("empty.csv", "");
    desk.put("colours.csv", "name,colour\nAnn,red\n");
    desk.put("numbers-only.csv", "ticket,lot\n501,7\n");
    desk.put("noise.csv", noise());
    let lists = ["empty.csv", "colours.csv", "numbers-only.csv", "noise.csv"];
    let mut told = String::new();
    for list in lists {
        told += &all_told(&desk, 1, &[&["saleday", "day.csv", "--tickets", list]]);
        let (document, exit) = desk.json(&["saleday", "day.csv", "--tickets", list]);
        assert_eq!(exit, 1);
        assert!(codes(&document).contains(&"tickets-unusable"), "{list}: {:?}", codes(&document));
        assert_eq!(counted(&document), [1, 2, 3, 4, 5, 6], "{list}");
        assert_eq!(document["control"][0]["gross"], "47720", "{list}");
        let not_checked = document["not_checked"].to_string();
        assert!(not_checked.contains("paper tickets"), "{list}: {not_checked}");
    }
    insta::assert_snapshot!("ticket-list", told);
}

#[test]
fn a_ticket_list_without_tickets_ties_nothing() {
    let desk = clean_desk();
    desk.put("header-only.csv", "ticket,head,gross\n");
    let said = desk.counterfoil(&["saleday", "day.csv", "--tickets", "header-only.csv"]);
    assert_eq!(said.exit, 1);
    assert!(said.out.starts_with("The ticket list holds no valid ticket."), "{}", said.out);
}

#[test]
fn lines_are_shown_whole() {
    let desk = clean_desk();
    desk.put("list.csv", "ticket,head,gross,unit\n503,10,8830,lb\n,5,1,lb\n");
    let said = desk.counterfoil(&["saleday", "day.csv", "--tickets", "list.csv"]);
    assert!(said.out.contains(",5,1,lb"), "{}", said.out);
    assert!(said.out.contains("503,10,8830,lb"), "{}", said.out);
}

#[test]
fn a_line_of_the_ticket_list_that_cannot_be_read_is_named() {
    let desk = clean_desk();
    desk.put(
        "list.csv",
        "ticket,head,gross,unit\n501,23,14355,lb\n502,forty-five,24535,lb\n503,10,8830,lb\n,15,123456789,lb\n",
    );
    let (document, exit) = desk.json(&["saleday", "day.csv", "--tickets", "list.csv"]);
    assert_eq!(exit, 1);
    let outcome = |number: &str| {
        let tickets = document["tickets"].as_array().unwrap();
        tickets.iter().find(|ticket| ticket["ticket"] == number).map(|ticket| ticket["outcome"].clone())
    };
    assert_eq!((outcome("501"), outcome("503")), (Some("tied".into()), Some("tied".into())));
    let said = desk.counterfoil(&["saleday", "day.csv", "--tickets", "list.csv"]);
    insta::assert_snapshot!("ticket-list-lines", told(&["saleday", "day.csv", "--tickets", "list.csv"], &said));
}

/// An image cut short: whatever whole files stood before the cut are read, and the person hears of the rest.
#[test]
fn an_image_cut_short_gives_what_is_left() {
    let desk = clean_desk();
    let mut early = clean_day();
    let late = early.split_off(3);
    let layout = Layout::plain();
    let filler = "nothing to weigh here\n".repeat(400);
    let files = [("EARLY.CSV", layout.export(&early)), ("NOTES.TXT", filler), ("LATE.CSV", layout.export(&late))];
    let files: Vec<_> = files.iter().map(|(name, text)| (*name, text.as_str())).collect();
    for kind in [FatType::Fat12, FatType::Fat16] {
        let whole = yard::stick(kind, &files);
        let place = |number: u64| find(&whole, format!("{number},10/17/2026").as_bytes());
        // Inside the last export, before it, in the first one, in the directory or the tables, in the boot sector.
        let cuts = [(place(5), 3), (place(4) - 600, 3), (place(2), 0), (1_300, 0), (600, 0), (100, 0)];
        for (cut, at_least) in cuts {
            desk.put("cut.img", &whole[..cut]);
            let (document, exit) = desk.json(&["saleday", "cut.img"]);
            let found = counted(&document);
            assert_eq!(exit, 1, "{kind:?} cut at {cut}");
            assert!(found.len() >= at_least, "{kind:?} cut at {cut}: {found:?}");
            assert!(found.iter().copied().eq(1..=found.len() as u64), "{kind:?} cut at {cut}: {found:?}");
            let blamed = codes(&document);
            let told = ["volume-exceeds-device", "no-export", "wrong-format", "chain-broken", "size-disagrees"];
            assert!(blamed.iter().any(|code| told[..].contains(code) && *code != "wrong-format"), "{blamed:?}");
            assert_eq!(document["sources"][0]["size_bytes"], cut);
        }
    }
}

#[test]
fn a_packed_image_cut_short_gives_what_came_out() {
    let desk = clean_desk();
    let export = Layout::plain().export(&clean_day());
    let image = yard::stick(FatType::Fat12, &[("DAY.CSV", &export)]);
    let packed = gzipped(&image);
    desk.put("short.img.gz", &packed[..packed.len() - 12]);
    let (document, exit) = desk.json(&["saleday", "short.img.gz"]);
    assert_eq!(exit, 1);
    assert!(codes(&document).contains(&"unpacked-in-part"), "{:?}", codes(&document));
    assert_eq!(counted(&document), [1, 2, 3, 4, 5, 6], "the rows lie before the cut");
}

#[test]
fn rows_that_cannot_be_read_are_set_aside_with_their_line() {
    let desk = clean_desk();
    let text = Layout::plain().export(&clean_day());
    let mut lines: Vec<_> = text.lines().map(str::to_owned).collect();
    lines[2] = lines[2].replace(",11,", ",eleven,");
    lines.insert(4, "### power lost ###".to_owned());
    lines.insert(5, String::new());
    // The last row is cut off inside its weight.
    let text = lines.join("\r\n");
    let cut = text.rfind(",8830").unwrap() + 2;
    desk.put("torn.csv", &text[..cut]);
    let (document, exit) = desk.json(&["saleday", "torn.csv"]);
    assert_eq!(exit, 1);
    let rows = document["exports"][0]["rows"].as_object().unwrap();
    let sum: u64 = rows.values().map(|count| count.as_u64().unwrap()).sum();
    assert_eq!(sum, text.lines().count() as u64, "every line is accounted for: {rows:?}");
    let blamed = codes(&document);
    assert!(blamed.contains(&"export-cut-short"), "{blamed:?}");
    assert!(blamed.contains(&"row-unreadable"), "{blamed:?}");
    let counted = counted(&document);
    for whole in [1, 3, 4, 5] {
        assert!(counted.contains(&whole), "{counted:?}");
    }
    assert!(!counted.contains(&6), "half a weight is no weight: {counted:?}");
    let torn = document["findings"].as_array().unwrap().iter().find(|finding| finding["code"] == "export-cut-short");
    assert_eq!(torn.unwrap()["place"]["line"], text.lines().count());
}

/// Power lost while a row was written leaves zero bytes, a worn contact a stray one. What stands around them is an
/// export.
#[test]
fn stray_bytes_do_not_hide_an_export() {
    let desk = clean_desk();
    let text = Layout::plain().export(&clean_day());
    let fourth = text.find("4,10/17/2026").unwrap();
    let (before, after) = text.split_at(fourth);
    for (name, stray, after) in [
        ("a zero tail", text.clone() + &"\0".repeat(4_096), ""),
        ("zeros between rows", format!("{before}{}\r\n", "\0".repeat(512)), after),
        ("one zero byte in a line of its own", format!("{before}\0\r\n"), after),
        ("one control byte", format!("{before}\u{1}\r\n"), after),
    ] {
        desk.put("stray.csv", stray + after);
        let (document, _) = desk.json(&["saleday", "stray.csv"]);
        assert_eq!(counted(&document), [1, 2, 3, 4, 5, 6], "{name}: {:?}", codes(&document));
    }
    desk.put("stray.csv", text + &"\0".repeat(4_096));
    let (document, _) = desk.json(&["saleday", "stray.csv"]);
    assert!(codes(&document).contains(&"export-zero-filled"), "{:?}", codes(&document));
}

/// Where these bytes stand.
fn find(bytes: &[u8], wanted: &[u8]) -> usize {
    bytes.windows(wanted.len()).position(|window| window == wanted).unwrap()
}

#[test]
fn a_list_that_could_not_be_written_for_want_of_a_source_is_a_document_too() {
    let desk = Desk::new();
    let (document, exit) = desk.json(&["tickets", "nowhere", "--to", "list.csv"]);
    assert_eq!((exit, document["written"].is_null(), document["tickets"].as_array().unwrap().len()), (3, true, 0));
    assert!(document["not_checked"][0]["why"].as_str().unwrap().contains("does not exist"));
}
