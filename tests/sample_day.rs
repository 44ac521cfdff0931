//! The main job on the sample stick, against the answers that stand beside it.
//!
//! The answers were written down by someone who had not seen the program.

use std::collections::BTreeMap;
use std::fs;

use serde_json::{Value, json};

use crate::support::program::{self, Desk, codes, counterfoil, project};

const STICK: &str = "sample-data/saleday.img.gz";
const TICKETS: &str = "sample-data/tickets.csv";

fn answers() -> Value {
    serde_json::from_str(&fs::read_to_string(project("sample-data/answers.json")).unwrap()).unwrap()
}

fn run(more: &[&str]) -> (Value, i32) {
    program::json(&[&["saleday", STICK, "--tickets", TICKETS], more].concat())
}

/// Drafts as the answers name them: the session counted from 1, and the number.
fn named(document: &Value, ids: &Value) -> Value {
    let drafts = document["drafts"].as_array().unwrap();
    let sessions = document["sessions"].as_array().unwrap();
    let name = |id: &Value| {
        let draft = drafts.iter().find(|draft| draft["id"] == *id).unwrap();
        let session = sessions.iter().position(|session| session["id"] == draft["session"]).unwrap() + 1;
        json!([session, draft["transaction"]])
    };
    ids.as_array().unwrap().iter().map(name).collect()
}

/// The fields of `expected`, taken from `found`: what the answers do not speak of is not compared.
fn only_fields_of(expected: &Value, found: &Value) -> Value {
    match expected {
        Value::Object(fields) => {
            fields.iter().map(|(name, value)| (name.clone(), only_fields_of(value, &found[name]))).collect()
        }
        _ => found.clone(),
    }
}

/// Weights equal in value are equal: the answers write 30409.40, the document 30409.4.
fn same_weight(expected: &Value, found: &Value) -> bool {
    let exact = |value: &Value| value.as_str().map(|text| text.parse::<counterfoil::units::Decimal>().unwrap());
    exact(expected) == exact(found)
}

fn compare(expected: &Value, document: &Value, exit: i32) {
    assert_eq!(expected["exit"], exit);
    for answer in expected["tickets"].as_array().unwrap() {
        let tickets = document["tickets"].as_array().unwrap();
        let ticket = tickets.iter().find(|ticket| ticket["ticket"] == answer["ticket"]).unwrap();
        let number = &answer["ticket"];
        assert_eq!(ticket["outcome"], answer["outcome"], "{number}");
        assert_eq!(ticket["status"], answer["status"], "{number}");
        assert_eq!(named(document, &ticket["drafts"]), answer["drafts"], "{number}");
        assert_eq!(only_fields_of(&answer["stated"], &ticket["stated"]), answer["stated"], "{number}");
        for field in ["drafts", "head"] {
            assert_eq!(ticket["found"][field], answer["found"][field], "{number} {field}");
        }
        for field in ["gross", "pay_weight"] {
            let (expected, found) = (&answer["found"][field], &ticket["found"][field]);
            assert!(same_weight(expected, found), "{number} {field}: {found} instead of {expected}");
        }
        let first = &ticket["explanations"][0];
        assert_eq!(first["kind"], answer["explanation"], "{number}");
        if answer["outcome"] == "explained" && answer["explanation"] != "digits-swapped" {
            assert_eq!(only_fields_of(&answer["inferred"], first), answer["inferred"], "{number}");
        }
    }
    assert_eq!(named(document, &document["unticketed"]), expected["unticketed"]);
    for (part, found) in [("control", &document["control"][0]), ("balance", &document["balance"][0])] {
        assert_eq!(only_fields_of(&expected[part], found), expected[part], "{part}");
    }
    let sessions = expected["sessions"].as_array().unwrap();
    assert_eq!(document["sessions"].as_array().unwrap().len(), sessions.len());
    for (answer, session) in sessions.iter().zip(document["sessions"].as_array().unwrap()) {
        assert_eq!(&only_fields_of(answer, session), answer);
    }
}

#[test]
fn every_answer_comes_out() {
    let answers = answers();
    let (document, exit) = run(&[]);
    compare(&answers["default"], &document, exit);
    for part in ["period", "outside_period"] {
        assert_eq!(document[part], answers[part]);
    }
    for (answer, event) in answers["sequence"].as_array().unwrap().iter().zip(document["sequence"].as_array().unwrap())
    {
        assert_eq!(&only_fields_of(answer, event), answer);
    }
    assert_eq!(document["sequence"].as_array().unwrap().len(), answers["sequence"].as_array().unwrap().len());
}

#[test]
fn every_answer_comes_out_with_recovered_drafts() {
    let (document, exit) = run(&["--accept-recovered"]);
    compare(&answers()["accept_recovered"], &document, exit);
    let recovered =
        document["drafts"].as_array().unwrap().iter().filter(|draft| draft["flags"] == json!(["recovered"]));
    assert_eq!(recovered.count(), 7, "the mark stays");
}

#[test]
fn exactly_the_expected_findings_are_raised() {
    let expected = &answers()["default"];
    let (document, _) = run(&[]);
    let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
    for code in codes(&document) {
        *counts.entry(code).or_default() += 1;
    }
    for (code, count) in expected["finding_codes"].as_object().unwrap() {
        assert_eq!(counts.get(code.as_str()), count.as_u64().as_ref(), "{code}");
    }
    let allowed = expected["may_also"].as_array().unwrap();
    for code in counts.keys() {
        assert!(
            expected["finding_codes"].get(code).is_some() || allowed.contains(&json!(code)),
            "{code} is not expected"
        );
    }
}

#[test]
fn exports_and_standings_are_as_planted() {
    let answers = answers();
    let (document, _) = run(&[]);
    let exports = document["exports"].as_array().unwrap();
    assert_eq!(exports.len(), answers["exports"].as_array().unwrap().len());
    for answer in answers["exports"].as_array().unwrap() {
        let export = exports.iter().find(|export| export["path"] == answer["path"]).unwrap();
        assert_eq!(&only_fields_of(answer, export), answer);
        assert_eq!(export["layout"]["date_order"], answers["date_order"]);
        assert_eq!(export["layout"]["clock"], answers["clock"]);
    }
    let path = |draft: &Value| {
        exports.iter().find(|export| export["id"] == draft["origin"]["export"]).unwrap()["path"].clone()
    };
    let drafts = document["drafts"].as_array().unwrap();
    let found: Vec<_> = drafts
        .iter()
        .filter(|draft| draft["standing"] != "counted")
        .map(|draft| json!([path(draft), draft["origin"]["line"], draft["standing"]]))
        .collect();
    let expected: Vec<_> = answers["standings_not_counted"]
        .as_array()
        .unwrap()
        .iter()
        .map(|answer| json!([answer["export"], answer["line"], answer["standing"]]))
        .collect();
    assert_eq!(found.len(), expected.len());
    assert!(expected.iter().all(|answer| found.contains(answer)), "{found:?}");
}

#[test]
fn the_stick_is_seen_as_it_was_made() {
    let image = &answers()["image"];
    let (document, _) = run(&[]);
    let source = &document["sources"][0];
    assert_eq!(source["sha256"], image["sha256_unpacked"]);
    assert_eq!(source["size_bytes"], image["size_bytes_unpacked"]);
    let stick = &source["stick"];
    assert_eq!(stick["partition_table"], image["partition_table"]);
    assert_eq!(stick["verdict"], image["verdict"]);
    let volume = &stick["volumes"][0];
    for field in ["file_system", "label", "offset_bytes", "cluster_bytes", "clusters"] {
        assert_eq!(volume[field], image[field], "{field}");
    }
}

#[test]
fn pay_weights_and_values_are_exact() {
    let (document, _) = run(&[]);
    for answer in answers()["pay"].as_array().unwrap() {
        let tickets = document["tickets"].as_array().unwrap();
        let ticket = tickets.iter().find(|ticket| ticket["ticket"] == answer["ticket"]).unwrap();
        assert!(same_weight(&answer["pay_weight"], &ticket["found"]["pay_weight"]), "{answer} {ticket}");
        assert!(same_weight(&answer["value"], &ticket["value"]), "{answer} {ticket}");
    }
}

#[test]
fn every_row_points_at_its_bytes_on_the_stick() {
    let mut image = Vec::new();
    let packed = fs::File::open(project(STICK)).unwrap();
    std::io::Read::read_to_end(&mut flate2::read::GzDecoder::new(packed), &mut image).unwrap();
    let (document, _) = run(&[]);
    for draft in document["drafts"].as_array().unwrap() {
        let at = usize::try_from(draft["origin"]["medium_offset"].as_u64().unwrap()).unwrap();
        let line = image[at..].split(|byte| *byte == b'\r' || *byte == b'\n').next().unwrap();
        let number = draft["transaction_text"].as_str().unwrap();
        assert!(String::from_utf8_lossy(line).split(',').take(2).any(|cell| cell == number), "{draft}");
    }
}

#[test]
fn the_same_stick_as_a_folder_gives_the_same_live_rows() {
    let (image, _) = run(&[]);
    let (folder, exit) = program::json(&["saleday", "sample-data/stick", "--tickets", TICKETS]);
    assert_eq!(exit, 1);
    let live = |document: &Value| {
        let drafts = document["drafts"].as_array().unwrap().iter();
        drafts.filter(|draft| draft["standing"] == "counted").map(|draft| draft["id"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(live(&image), live(&folder), "the ids too");
    assert_eq!(folder["sources"][0]["stick"], Value::Null);
}

#[test]
fn outputs_are_written_once_and_kept_beside() {
    let desk = Desk::new();
    let out = desk.named("out");
    let first = counterfoil(&["saleday", STICK, "--tickets", TICKETS, "--out", &out]);
    assert_eq!(first.exit, 1);
    let names = ["ledger-drafts.csv", "ledger-tickets.csv", "report.html", "report.json"];
    assert_eq!(desk.names("out"), names);
    let (document, _) = run(&[]);
    let written: Value = serde_json::from_str(&desk.read("out/report.json")).unwrap();
    assert_eq!(written, document, "report.json is the document");
    counterfoil(&["ledger", STICK, "--tickets", TICKETS, "--out", &out]);
    assert_eq!(desk.names("out"), names, "the same ledger again changes nothing");
    let other = counterfoil(&["ledger", STICK, "--tickets", TICKETS, "--out", &out, "--accept-recovered"]);
    assert!(other.err.contains("was kept as"), "{}", other.err);
    assert!(desk.names("out").contains(&"ledger-drafts.kept-1.csv".to_owned()));
    let (again, _) = program::json(&["saleday", &out]);
    assert_eq!(codes(&again), ["no-export"], "our own outputs are no exports");
}

#[test]
fn the_stick_is_left_as_it_was() {
    let desk = Desk::new();
    let image = desk.put("stick.img.gz", fs::read(project(STICK)).unwrap());
    let before = fs::read(&image).unwrap();
    counterfoil(&["saleday", &image, "--tickets", TICKETS, "--out", &desk.named("out")]);
    counterfoil(&["examine", &image, "--files"]);
    assert!(fs::read(&image).unwrap() == before, "not a byte of it changed");
    for arguments in [
        vec!["saleday", "sample-data/stick", "--out", "sample-data/stick/out"],
        vec!["ledger", "sample-data/stick", "--out", "sample-data/stick/WEIGHED"],
        vec!["tickets", "sample-data/stick", "--to", "sample-data/stick/tickets.csv"],
    ] {
        let said = counterfoil(&arguments);
        assert_eq!((said.exit, said.out.as_str()), (2, ""), "{arguments:?}");
        assert!(said.err.contains("lies on the stick itself"), "{}", said.err);
    }
}

#[test]
fn the_screen_says_the_answer_first_and_fits_80_columns() {
    let said = counterfoil(&["saleday", STICK, "--tickets", TICKETS]);
    insta::assert_snapshot!("sample_saleday_screen", said.out);
    let examined = counterfoil(&["examine", STICK, "--files"]);
    insta::assert_snapshot!("sample_examine_screen", examined.out);
    for line in said.out.lines().chain(examined.out.lines()) {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(said.out.starts_with("Not everything ties: 19 of 25 tickets tied, 6 explained"));
    assert!(!said.out.contains('\u{1b}'), "plain when piped");
}
