//! No source named: the only removable drive is read; with none, or several, the program says what to do.

use counterfoil::stick::{Choice, choose, drives};

use crate::support::program::Desk;

/// The command lines that name no source.
const LINES: [&[&str]; 4] = [&["saleday"], &["examine"], &["ledger", "--out", "out"], &["tickets", "--to", "list.csv"]];

/// Most computers that run the tests have no stick in. One that has is not judged: it may be anyone's.
fn without_stick() -> bool {
    let nothing = choose(&drives().list()) == Choice::Nothing;
    if !nothing {
        println!("not judged: no removable drive (there is one in this computer)");
    }
    nothing
}

#[test]
fn without_a_stick_the_next_step_is_told() {
    if !without_stick() {
        return;
    }
    let desk = Desk::new();
    for line in LINES {
        let said = desk.counterfoil(line);
        assert_eq!((said.exit, said.out.as_str()), (3, ""), "{line:?}");
        let words = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(
            words,
            "No SOURCE was named, and no removable drive was found. Put the stick in and wait until the computer shows \
             it, or name what to read: a drive (E: or /media/stick), an image of a stick, or an export file.",
            "{line:?}"
        );
    }
    assert_eq!(desk.names("."), Vec::<String>::new(), "nothing is written");
    let (document, exit) = desk.json(&["examine"]);
    assert_eq!(exit, 3);
    assert_eq!(document["sources"], serde_json::json!([]));
    assert_eq!(document["not_checked"][0]["why"], "no SOURCE was named, and no removable drive was found");
}

#[test]
fn a_wrong_command_line_is_told_before_drives_are_looked_for() {
    let desk = Desk::new();
    for (line, wrong) in [
        (&["saleday", "--tickets", "gone.csv"][..], "--tickets"),
        (&["tickets"], "--to <FILE>"),
        (&["ledger"], "--out <DIR>"),
    ] {
        let said = desk.counterfoil(line);
        assert_eq!(said.exit, 2, "{line:?}: {}", said.err);
        assert!(said.err.contains(wrong), "{line:?}: {}", said.err);
    }
    assert!(!desk.path("out").exists());
}
