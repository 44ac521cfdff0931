//! What the screen shows of large, odd and half-read input, and what it leaves out.

use counterfoil::report::catalogue;
use counterfoil::{ledger, stick, volume};

use crate::support::program::{Desk, counterfoil, json};

const HEADER: &str = "Number,Date,Time,Ticket,Head,Gross,Unit\n";

/// An export whose rows have these numbers, one minute apart, ten head each.
fn rows(numbers: impl Iterator<Item = u64>) -> String {
    let row = |(n, number): (usize, u64)| {
        let (hour, minute) = (6 + n / 60 % 16, n % 60);
        format!("{number},2026-10-17,{hour:02}:{minute:02}:00,7,10,{},lb\n", 6000 + 5 * (n % 90))
    };
    let rows: String = numbers.enumerate().map(row).collect();
    HEADER.to_owned() + &rows
}

#[test]
fn a_source_that_cannot_be_opened_is_told_in_the_result() {
    let desk = Desk::new();
    let good = desk.put("a/one.csv", rows(1..=5));
    let bad = desk.named("b/missing.img");
    let said = counterfoil(&["saleday", &good, &bad, "--out", &desk.named("out")]);
    assert_eq!(said.exit, 3);
    assert!(said.out.starts_with("1 of 2 sources could not be read. "), "{}", said.out);
    let not_checked = said.out.split("NOT CHECKED").nth(1).unwrap().replace(['\n', ' '], "");
    assert!(not_checked.contains(&format!("everythingon{bad}")), "{}", said.out);
    let page = desk.read("out/report.html");
    assert!(page.contains("1 of 2 sources could not be read."), "the page says it first as well");
    assert!(page.contains("missing.img"));
    let (document, exit) = json(&["saleday", &good, &bad]);
    assert_eq!(exit, 3);
    assert_eq!(document["not_checked"][0]["what"], format!("everything on {bad}"));
}

#[test]
fn the_list_to_fill_in_says_that_a_source_is_missing() {
    let desk = Desk::new();
    let good = desk.put("a/one.csv", rows(1..=5));
    let bad = desk.named("b/missing.img");
    let said = counterfoil(&["tickets", &good, &bad, "--to", &desk.named("tickets.csv")]);
    assert_eq!(said.exit, 3);
    assert!(said.out.starts_with("1 of 2 sources could not be read."), "{}", said.out);
    let (document, _) = json(&["tickets", &good, &bad, "--to", &desk.named("again.csv")]);
    assert_eq!(document["not_checked"][0]["what"], format!("everything on {bad}"));
}

/// Examining writes no report that could be named.
#[test]
fn a_screen_of_findings_on_a_stick_says_where_all_are() {
    let desk = Desk::new();
    for n in 0..=100 {
        desk.put(&format!("stick/empty{n}.csv"), "");
    }
    let said = counterfoil(&["examine", &desk.named("stick")]);
    assert!(said.out.contains("With --json all of them are told.") && !said.out.contains("--out"), "{}", said.out);
}

#[test]
fn a_screen_of_findings_ends() {
    let desk = Desk::new();
    // Every second number is lost.
    let file = desk.put("many.csv", rows((1..=150).map(|n| 2 * n)));
    let (document, _) = json(&["saleday", &file]);
    let findings = document["findings"].as_array().unwrap();
    let urgent = findings.iter().filter(|finding| finding["severity"] != "note").count();
    assert!(urgent > 100, "this input raises {urgent}");
    let said = counterfoil(&["saleday", &file]);
    assert!(said.out.contains("100. "), "the hundredth is shown");
    assert!(!said.out.contains("101. "), "and no more");
    assert!(said.out.contains(&format!("... and {} more; --json has all of them", urgent - 100)), "{}", said.out);
    assert!(said.out.contains("report.html"), "where the rest is");
}

#[test]
fn a_text_without_end_is_cut() {
    let desk = Desk::new();
    let long = "N".repeat(5_000);
    let file = desk.put(
        "one.csv",
        format!("{HEADER}1,2026-10-17,09:00,{long},10,6000,lb\n2,2026-10-17,09:01,{long},10,6000,lb\n"),
    );
    let list = desk.put("desk/t.csv", format!("ticket,head,gross\n{long}M,99,1\n"));
    let said = counterfoil(&["saleday", &file, "--tickets", &list]);
    let longest = said.out.split('\u{2026}').map(|text| text.matches('N').count()).max().unwrap();
    assert!(said.out.contains('\u{2026}') && longest < 1_500, "{longest} in one stretch");
}

#[test]
fn a_list_that_cannot_be_read_is_told_as_a_file_of_its_option() {
    let desk = Desk::new();
    let file = desk.put("a/one.csv", rows(1..=3));
    for (list, words) in [(desk.named("nothing.csv"), "there is no file"), (desk.named("a"), "is a folder")] {
        let said = counterfoil(&["saleday", &file, "--tickets", &list]);
        assert_eq!(said.exit, 2);
        let text = said.err.replace('\n', " ");
        assert!(text.starts_with("--tickets: ") && text.contains(words), "{text}");
        assert!(!text.contains("USB") && !text.contains("plugged"), "{text}");
    }
}

#[test]
fn no_path_reaches_the_terminal_with_its_controls() {
    let said = counterfoil(&["saleday", "no\u{1b}[31mred\u{202e}.img"]);
    assert_eq!(said.exit, 3);
    assert!(!said.err.contains('\u{1b}') && !said.err.contains('\u{202e}'), "{:?}", said.err);
    assert!(said.err.contains("\\u{1b}"), "{:?}", said.err);
}

#[test]
fn what_is_said_of_several_sticks_alike_is_said_once() {
    let desk = Desk::new();
    let files = [desk.put("a/one.csv", rows(1..=3)), desk.put("b/two.csv", rows(4..=6))];
    let said = counterfoil(&["saleday", &files[0], &files[1]]);
    assert_eq!(said.out.matches("the stick's format, damage and deleted files").count(), 1, "{}", said.out);
}

#[test]
fn figures_are_grouped_and_a_day_is_said_once() {
    let desk = Desk::new();
    let file = desk.put("one.csv", "Number,Date,Head,Gross,Unit,Pay Weight\n1,2026-10-17,4294967290,6000,lb,5820.5\n2,2026-10-17,10,6100,lb,5917\n");
    let said = counterfoil(&["saleday", &file]);
    let text = said.out.replace("\n            ", " ");
    assert!(text.contains("4,294,967,300 head"), "{text}");
    assert!(text.contains("11,737.50 lb pay weight"), "{text}");
    assert!(!text.contains("2026-10-17 to 2026-10-17"), "{text}");
}

#[test]
fn options_and_codes_stay_whole_at_the_end_of_a_line() {
    let said = counterfoil(&["saleday", "sample-data/saleday.img.gz", "--tickets", "sample-data/tickets.csv"]);
    assert_eq!(said.out.matches("--accept-recovered").count(), 3, "{}", said.out);
    assert!(said.out.contains("(stick-inserted-late)"), "{}", said.out);
}

#[test]
fn help_fits_eighty_columns() {
    for command in ["", "saleday", "tickets", "examine", "ledger", "explain"] {
        for asked in ["--help", "-h"] {
            let arguments: Vec<_> = [command, asked].into_iter().filter(|part| !part.is_empty()).collect();
            let said = counterfoil(&arguments);
            let longest = said.out.lines().map(|line| line.chars().count()).max().unwrap();
            assert!(longest <= 80, "{command} {asked}: {longest}");
        }
    }
}

#[test]
fn the_manual_pages_of_stick_and_ledger_answer_the_same_questions() {
    let [structure, room, chains, partitions, suitability] = volume::findings::KINDS;
    let stages = [stick::findings::KINDS, structure, room, chains, partitions, suitability, ledger::findings::KINDS];
    for kind in stages.into_iter().flatten() {
        for part in ["\n\nWhat it means: ", "\n\nHow we know: ", "\n\nWhat to do: "] {
            assert!(kind.manual().contains(part), "{} lacks {part:?}", kind.code);
        }
    }
}

#[test]
fn manual_pages_name_only_what_can_be_typed() {
    let commands = ["saleday", "tickets", "examine", "ledger", "explain"];
    let help: String = commands.iter().map(|command| counterfoil(&[command, "--help"]).out).collect();
    let after = |text: &str, mark: &str| -> Vec<String> {
        let word = |rest: &str| rest.chars().take_while(|c| c.is_ascii_lowercase() || *c == '-').collect();
        text.split(mark).skip(1).map(word).collect()
    };
    for kind in catalogue() {
        let manual = kind.manual();
        for option in after(&manual, "--") {
            assert!(help.contains(&format!("--{option}")), "{} names --{option}", kind.code);
        }
        for command in after(&manual, "\"counterfoil ") {
            assert!(commands.contains(&command.as_str()), "{} names {command}", kind.code);
        }
        assert!(!manual.contains("packet"), "{}: there is none yet", kind.code);
    }
}

#[test]
fn words_under_a_line_find_room_whatever_the_numbers() {
    let desk = Desk::new();
    let numbers = (123_456_700..123_456_760).filter(|number| !(123_456_730..123_456_735).contains(number));
    let rows: String = numbers.map(|number| format!("{number},10,7000\n")).collect();
    let export = desk.put("long.csv", format!("Number,Head,Gross\n{rows}"));
    let said = counterfoil(&["saleday", &export]);
    assert!(said.out.contains("numbers 123456730 to 123456734 missing before this"), "{}", said.out);
    for line in said.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}
