//! The JSON document, held against its published schema by an independent validator.

use chrono::NaiveDate;
use counterfoil::day::{ChosenBy, Day, Period, SourceState};
use counterfoil::draft::Flag;
use counterfoil::export::Meaning;
use counterfoil::finding::{Finding, Kind, NotChecked, Place, Severity};
use counterfoil::ledger::prepare;
use counterfoil::reconcile::{Balance, HeadAndGross};
use counterfoil::report::document;
use counterfoil::sequence::Session;
use counterfoil::stick::SourceKind;
use counterfoil::units::{Confidence, Head, Percent, Price, PriceBasis, TransactionNo, Unit};
use counterfoil::volume::{FileState, FileSystem, PartitionTable, StoredFile, Suitability, Survey, Verdict, Volume};
use serde_json::{Value, json};

use crate::support::day::{day, dec, export, lb, small_sale, source, with};
use crate::support::schema::{assert_valid, objections};

const SCHEMA: &str = "report.schema.json";

fn json(day: &Day) -> Value {
    let control = prepare(day).control;
    serde_json::from_str(&document(day, &control, "0.1.0").to_json().unwrap()).unwrap()
}

/// A run in which every part of the document that can be made by hand has something in it.
pub fn full_day() -> Day {
    with(small_sale(), |day| {
        day.sources = vec![image()];
        day.exports = vec![export()];
        day.sessions = vec![session(day)];
        day.balance = vec![balance()];
        day.outside_period = 3;
        let date = NaiveDate::from_ymd_opt(2026, 3, 14);
        day.period = Some(Period { from: date, to: date, chosen_by: ChosenBy::Tickets });
        day.drafts[0].flags = vec![Flag::ManualWeight];
        day.drafts[0].stated.shrink_percent = Some(Percent(dec("3")));
        day.tickets[0].stated.price = Some(Price { amount: dec("137.25"), basis: PriceBasis::Cwt });
        day.findings = vec![finding()];
        day.not_checked = vec![NotChecked::new("the book", "none was named")];
    })
}

fn image() -> SourceState {
    let file = StoredFile {
        path: Some("WEIGH.CSV".into()),
        size_bytes: 300,
        modified: NaiveDate::from_ymd_opt(2026, 3, 14).unwrap().and_hms_milli_opt(9, 0, 2, 10),
        state: FileState::Live,
        whole: true,
        extents: vec![],
        beyond_size: vec![],
        first_cluster: Some(3),
        by_second_table: false,
        read_only: false,
        sha256: Some("cd".repeat(32)),
        loose: None,
    };
    let volume = Volume {
        index: 0,
        offset_bytes: Some(1_048_576),
        size_bytes: Some(4_000_000_000),
        sector_bytes: Some(512),
        logical: false,
        file_system: FileSystem::Fat32,
        recognised_by: vec![],
        label: Some("SALE".into()),
        cluster_bytes: Some(32_768),
        clusters: Some(122_000),
        free_bytes: None,
        dirty: Some(false),
        root_entries_free: None,
        not_for_ordinary: None,
        files: vec![file],
    };
    SourceState {
        sha256: Some("ab".repeat(32)),
        survey: Survey {
            source_id: "source-1".into(),
            read_raw: true,
            capacity_bytes: Some(4_001_048_576),
            sector_bytes: Some(512),
            partition_table: Some(PartitionTable::Mbr),
            data_at: None,
            volumes: vec![volume],
            findings: vec![],
            not_checked: vec![],
        },
        suitability: Some(Suitability {
            verdict: Verdict::Ready,
            volumes: vec![Some(true)],
            findings: vec![],
            not_checked: vec![],
        }),
        ..source()
    }
}

fn session(day: &Day) -> Session {
    Session {
        id: "s1".into(),
        indicator: "1".into(),
        first_transaction: Some(TransactionNo(101)),
        last_transaction: Some(TransactionNo(105)),
        from: day.drafts[0].stated.at,
        to: day.drafts[4].stated.at,
        drafts: 4,
        head: Head(39),
        gross: Some(lb("23500")),
        unit: Some(Unit::Pound),
    }
}

fn balance() -> Balance {
    let pair = |head, gross| HeadAndGross { head, gross: dec(gross) };
    Balance {
        unit: Some(Unit::Pound),
        drafts: pair(39, "23500.00"),
        on_tickets: pair(39, "23500"),
        without_ticket: pair(0, "0"),
        stated: pair(46, "27600"),
        difference: pair(7, "4100"),
        difference_explained: pair(7, "4100"),
        difference_open: pair(0, "0"),
    }
}

fn finding() -> Finding {
    const KIND: Kind = Kind::new("numbers-missing", " Numbers are missing.\n");
    let place =
        Place { transaction: Some(TransactionNo(104)), ticket: Some("0712".into()), ..Place::source("source-1") };
    let finding = Finding::new(&KIND, Severity::Fault, "Number 104 is not on the stick")
        .detail("One number of a stretch is lost.")
        .evidence("numbers", "103, then 105")
        .at(place)
        .next_step("Look for ticket 0712 on paper.")
        .before_you_act("Copy the stick first.");
    Finding { id: "numbers-missing-1".into(), ..finding }
}

#[test]
fn a_full_run_is_valid() {
    assert_valid(SCHEMA, &json(&full_day()));
}

#[test]
fn an_empty_run_and_an_examined_stick_are_valid() {
    assert_valid(SCHEMA, &json(&day(vec![])));
    let examined = with(day(vec![]), |day| day.period = None);
    let document = json(&examined);
    assert_valid(SCHEMA, &document);
    for part in
        ["period", "outside_period", "exports", "drafts", "sessions", "sequence", "tickets", "control", "balance"]
    {
        assert_eq!(document[part], Value::Null, "{part}");
    }
    assert_eq!(document["rulings"], json!([]));
}

#[test]
fn the_fields_stand_in_the_published_order() {
    let day = full_day();
    let text = document(&day, &prepare(&day).control, "0.1.0").to_json().unwrap();
    let schema: Value = serde_json::from_str(include_str!("../schemas/report.schema.json")).unwrap();
    let mut rest = text.as_str();
    for field in schema["required"].as_array().unwrap() {
        let mark = format!("\n  {field}:");
        let (_, after) = rest.split_once(&mark).unwrap_or_else(|| panic!("{field} out of order"));
        rest = after;
    }
}

#[test]
fn figures_are_exact_texts_and_times_are_local() {
    let document = json(&full_day());
    let draft = &document["drafts"][0];
    assert_eq!([&draft["gross"], &draft["unit"], &draft["head"]], [&json!("6000"), &json!("lb"), &json!(10)]);
    assert_eq!([&draft["shrink_percent"], &draft["pay_weight"]], [&json!("3"), &json!("5820")]);
    assert_eq!([&draft["at"], &draft["at_precision"]], [&json!("2026-03-14T08:01:00"), &json!("minute")]);
    assert_eq!(draft["origin"], json!({ "export": "e1", "line": 3, "byte": 100, "medium_offset": null }));
    assert_eq!(document["control"][0]["gross"], json!("23500"));
    assert_eq!(document["control"][0]["value"], json!("31299.16"));
    assert_eq!(document["balance"][0]["drafts"], json!({ "head": 39, "gross": "23500" }));
    let ticket = &document["tickets"][0];
    assert_eq!(
        [&ticket["price"], &ticket["price_per"], &ticket["source"]],
        [&json!("137.25"), &json!("cwt"), &json!("stated")]
    );
    assert_eq!(document["sequence"][0]["confidence"], json!(0.95));
    assert_eq!(document["drafts"][3]["standing"], json!("reprint"));
}

#[test]
fn an_export_is_told_with_its_layout_and_lines() {
    let export = &json(&full_day())["exports"][0];
    assert_eq!(
        export["rows"],
        json!({ "drafts": 2, "totals": 0, "headers": 1, "banners": 0, "blank": 0, "unreadable": 0 })
    );
    assert_eq!([&export["layout"]["encoding"], &export["layout"]["delimiter"]], [&json!("utf-8"), &json!(",")]);
    let meanings: Vec<_> =
        export["layout"]["columns"].as_array().unwrap().iter().map(|column| &column["meaning"]).collect();
    assert_eq!(meanings, ["transaction", "date", "time", "head", "gross", "unit"]);
    assert_eq!(export["modified"], json!("2026-03-14T09:00:00"));
}

#[test]
fn a_column_only_ticket_lists_know_is_told_as_ignored() {
    let priced = with(full_day(), |day| day.exports[0].layout.columns[3].meaning = Meaning::Price);
    let document = json(&priced);
    assert_eq!(document["exports"][0]["layout"]["columns"][3]["meaning"], json!("ignored"));
    assert_valid(SCHEMA, &document);
}

#[test]
fn files_are_listed_only_when_asked_for() {
    let day = full_day();
    let volume = |document: Value| document["sources"][0]["stick"]["volumes"][0].clone();
    let plain = volume(json(&day));
    assert_eq!(
        [&plain["files"], &plain["writable_by_indicator"], &plain["dirty"]],
        [&Value::Null, &json!(true), &json!(false)]
    );
    let listed: Value = serde_json::from_str(&document(&day, &[], "0.1.0").with_files().to_json().unwrap()).unwrap();
    assert_valid(SCHEMA, &listed);
    let file = &volume(listed)["files"][0];
    assert_eq!(file["sha256"], json!("cd".repeat(32)), "that of the export it is");
    assert_eq!(
        [&file["path"], &file["modified"], &file["whole"]],
        [&json!("WEIGH.CSV"), &json!("2026-03-14T09:00:02"), &json!(true)]
    );
}

#[test]
fn folders_and_files_have_no_stick() {
    for kind in [SourceKind::Folder, SourceKind::File] {
        let document = json(&with(full_day(), |day| day.sources[0].kind = kind));
        assert_eq!(document["sources"][0]["stick"], Value::Null);
        assert_valid(SCHEMA, &document);
    }
}

#[test]
fn a_mounted_drive_that_was_not_read_raw_says_so() {
    let mounted = with(full_day(), |day| {
        day.sources[0].kind = SourceKind::Mounted;
        day.sources[0].survey.read_raw = false;
    });
    let document = json(&mounted);
    assert_eq!(document["sources"][0]["stick"]["read_raw"], json!(false));
    assert_valid(SCHEMA, &document);
}

#[test]
fn the_validator_refuses_broken_documents() {
    let good = json(&full_day());
    let broken = [
        ("/format", json!("counterfoil-report/2")),
        ("/drafts/0/gross", json!(6000)),
        ("/drafts/0/gross", json!("6,000")),
        ("/drafts/0/at", json!("2026-03-14T08:01:00Z")),
        ("/drafts/0/standing", json!("fine")),
        ("/drafts/0/origin/line", json!(0)),
        ("/exports/0/layout/delimiter", json!("")),
        ("/exports/0/layout/columns/0/meaning", json!("price")),
        ("/exports/0/rows/drafts", json!("2")),
        ("/exports/0/sha256", json!("short")),
        ("/sources/0/kind", json!("usb")),
        ("/sources/0/stick/volumes/0/file_system", json!("fat")),
        ("/sequence/0/confidence", json!(95)),
        ("/sequence/0/kind", json!("hole")),
        ("/tickets/0/outcome", json!("fine")),
        ("/tickets/1/explanations/0/kind", json!("magic")),
        ("/control/0/proved", json!("yes")),
        ("/findings/0/severity", json!("error")),
        ("/outside_period", json!(-1)),
        ("/sources", Value::Null),
    ];
    for (place, value) in broken {
        let mut document = good.clone();
        *document.pointer_mut(place).unwrap_or_else(|| panic!("{place} is not there")) = value.clone();
        assert!(!objections(SCHEMA, &document).is_empty(), "{place} = {value} was let through");
    }
}

#[test]
fn the_validator_misses_no_missing_field() {
    let good = json(&full_day());
    let objects = [
        "",
        "/sources/0",
        "/sources/0/stick",
        "/sources/0/stick/volumes/0",
        "/period",
        "/exports/0",
        "/exports/0/layout",
        "/exports/0/layout/columns/0",
        "/exports/0/rows",
        "/drafts/0",
        "/drafts/0/origin",
        "/sessions/0",
        "/sequence/0",
        "/tickets/0",
        "/tickets/0/stated",
        "/tickets/0/found",
        "/tickets/1/explanations/0",
        "/control/0",
        "/balance/0",
        "/findings/0",
        "/findings/0/place",
        "/not_checked/0",
    ];
    for place in objects {
        let fields: Vec<_> = good.pointer(place).unwrap().as_object().unwrap().keys().cloned().collect();
        for field in fields {
            let mut document = good.clone();
            document.pointer_mut(place).unwrap().as_object_mut().unwrap().remove(&field);
            assert!(!objections(SCHEMA, &document).is_empty(), "{place} without {field} was let through");
        }
    }
}

#[test]
fn fields_may_be_added() {
    let mut document = json(&full_day());
    document["something_new"] = json!(1);
    document["drafts"][0]["something_new"] = json!(1);
    assert_valid(SCHEMA, &document);
}

#[test]
fn a_confidence_is_a_number_from_nought_to_one() {
    let values = [0, 7, 50, 99, 100].map(|percent| serde_json::to_value(Confidence::percent(percent)).unwrap());
    assert_eq!(values, [json!(0.0), json!(0.07), json!(0.5), json!(0.99), json!(1.0)]);
}
