//! How an export is laid out: told, saved as data, and given back.

use std::fs;

use serde_json::{Value, json};

use crate::support::program::{self, Desk, codes, counterfoil, project};
use crate::support::schema::assert_valid;
use crate::support::yard::{Layout, clean_day, clean_desk, gzipped};

/// The shipped examples: an export and its saved layout each.
const EXAMPLES: [(&str, &str); 4] = [
    ("sorrel-flat.txt", "sorrel-flat.json"),
    ("heron-gate.csv", "heron-gate.json"),
    ("marsh-lane.tsv", "marsh-lane.json"),
    ("teal-bottoms.csv", "teal-bottoms.json"),
];

fn example(name: &str) -> String {
    format!("sample-data/layouts/{name}")
}

/// The only export's layout in a document.
fn layout_of(document: &Value) -> &Value {
    &document["exports"][0]["layout"]
}

fn certain(document: &Value) -> bool {
    let columns = layout_of(document)["columns"].as_array().unwrap();
    columns.iter().all(|column| column["confidence"] == 1.0)
}

/// What the layout that was given was said of.
fn misfit(document: &Value) -> Option<&Value> {
    let findings = document["findings"].as_array().unwrap();
    findings.iter().find(|finding| finding["title"].as_str().unwrap().starts_with("The layout given does not fit"))
}

/// The JSON of a saved layout on a desk, changed by hand.
fn edited(desk: &Desk, name: &str, edit: impl Fn(&mut Value)) -> String {
    let mut layout: Value = serde_json::from_str(&desk.read(name)).unwrap();
    edit(&mut layout);
    desk.put(&format!("edited-{name}"), layout.to_string())
}

#[test]
fn the_examples_are_read_alike_with_and_without_their_layouts() {
    for (export, layout) in EXAMPLES {
        let (plain, exit) = program::json(&["saleday", &example(export)]);
        let (given, given_exit) = program::json(&["saleday", &example(export), "--layout", &example(layout)]);
        assert_eq!(plain["drafts"].as_array().unwrap().len(), 12, "{export}");
        assert_eq!(given["drafts"], plain["drafts"], "{export}");
        assert_eq!(given["exports"][0]["rows"], plain["exports"][0]["rows"], "{export}");
        assert_eq!((exit, given_exit), (0, 0), "{export}");
        assert!(!certain(&plain) && certain(&given), "{export}");
        assert!(misfit(&given).is_none(), "{export}");
    }
}

#[test]
fn the_examples_layouts_are_what_is_saved() {
    let desk = Desk::new();
    for (export, layout) in EXAMPLES {
        let saved = desk.named(layout);
        let said = counterfoil(&["layout", &example(export), "--save", &saved]);
        assert_eq!(said.exit, 0, "{export}: {}", said.err);
        assert_eq!(desk.read(layout), fs::read_to_string(project(&example(layout))).unwrap(), "{export}");
        assert_valid("layout.schema.json", &serde_json::from_str(&desk.read(layout)).unwrap());
    }
}

#[test]
fn a_layout_fits_no_other_example() {
    for (export, own) in EXAMPLES {
        let (plain, _) = program::json(&["saleday", &example(export)]);
        for (_, layout) in EXAMPLES.iter().filter(|(_, layout)| *layout != own) {
            let (other, exit) = program::json(&["saleday", &example(export), "--layout", &example(layout)]);
            assert_eq!(other["drafts"], plain["drafts"], "{export} {layout}");
            let finding = misfit(&other).unwrap_or_else(|| panic!("{export} {layout}"));
            assert_eq!(
                (finding["code"].as_str(), finding["severity"].as_str()),
                (Some("layout-uncertain"), Some("caution"))
            );
            assert_eq!(exit, 1);
        }
    }
}

#[test]
fn what_is_told_of_an_export() {
    let told = |name: &str| {
        let said = counterfoil(&["layout", &example(name)]);
        assert_eq!((said.exit, said.err.as_str()), (0, ""));
        assert!(said.out.lines().all(|line| line.chars().count() <= 80), "{}", said.out);
        said.out
    };
    insta::assert_snapshot!("fixed-width", told("sorrel-flat.txt"));
    insta::assert_snapshot!("semicolons", told("heron-gate.csv"));
    insta::assert_snapshot!("two-lines-of-titles", told("marsh-lane.tsv"));
    insta::assert_snapshot!("units-row", told("teal-bottoms.csv"));
}

#[test]
fn the_document_tells_the_same() {
    let (document, exit) = program::json(&["layout", &example("heron-gate.csv")]);
    assert_eq!(exit, 0);
    assert_eq!(document["layout"]["delimiter"], ";");
    assert_eq!(document["layout"]["decimal_mark"], ",");
    assert_eq!(document["layout"]["date_order"], "dmy");
    assert_eq!(document["layout"]["unit"], "kg");
    assert_eq!(document["first_rows"][0]["gross"], "3329.5");
    assert_eq!(document["rows"]["drafts"], 12);
    assert_eq!(document["column_reasons"].as_array().unwrap().len(), 9);
    let saved = fs::read_to_string(project(&example("heron-gate.json"))).unwrap();
    assert_eq!(document["resource"], serde_json::from_str::<Value>(&saved).unwrap());
    assert_eq!(document["saved"], Value::Null);
}

#[test]
fn a_packed_export_is_told_of_like_the_plain_one() {
    let desk = clean_desk();
    desk.put("day.csv.gz", gzipped(desk.read("day.csv").as_bytes()));
    let (plain, _) = desk.json(&["layout", "day.csv"]);
    let (packed, exit) = desk.json(&["layout", "day.csv.gz"]);
    assert_eq!(exit, 0);
    assert_eq!(packed["resource"], plain["resource"]);
}

#[test]
fn a_saved_layout_appears_whole_and_never_over_another_file() {
    let desk = clean_desk();
    let save = || desk.counterfoil(&["layout", "day.csv", "--save", "kept/ours.json"]);
    assert_eq!(save().exit, 0);
    assert_eq!(desk.names("kept"), ["ours.json"]);
    let first = desk.read("kept/ours.json");
    assert_eq!((save().exit, desk.read("kept/ours.json")), (0, first), "the same content is left alone");
    desk.put("kept/ours.json", "something else");
    let said = save();
    assert_eq!((said.exit, said.out.as_str()), (2, ""));
    assert!(said.err.contains("kept/ours.json is there already"), "{}", said.err);
    assert_eq!(
        (desk.names("kept"), desk.read("kept/ours.json")),
        (vec!["ours.json".to_owned()], "something else".to_owned())
    );
}

#[test]
fn a_layout_is_not_saved_over_its_export() {
    let desk = clean_desk();
    let before = desk.read("day.csv");
    assert_eq!(desk.counterfoil(&["layout", "day.csv", "--save", "day.csv"]).exit, 2);
    assert_eq!(desk.read("day.csv"), before);
}

#[test]
fn what_is_no_export_is_said_with_what_it_looks_like() {
    let desk = clean_desk();
    desk.put("prices.csv", "Item,Price\nHay,7.50\nStraw,3.20\n");
    desk.put("letter.txt", "Dear Tess,\n\nthe hay is paid.\n");
    desk.put("book.xlsx", b"PK\x03\x04\x14\x00\x06\x00 and more");
    desk.put("zeros.csv", [0; 600]);
    desk.put("noise.dat", (0..4_000_u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8).collect::<Vec<_>>());
    let looks = [
        ("tickets.csv", "a list of tickets"),
        ("letter.txt", "lines of text"),
        ("prices.csv", "a table without a transaction number, a weight or"),
        ("book.xlsx", "workbooks"),
        ("zeros.csv", "zero bytes"),
        ("noise.dat", "no text"),
    ];
    for (name, words) in looks {
        let said = desk.counterfoil(&["layout", name, "--save", "none.json"]);
        assert_eq!(said.exit, 1, "{name}: {}", said.out);
        assert!(said.out.starts_with(&format!("{name} is no export. It looks like ")), "{}", said.out);
        let first = said.out.split("\n\n").next().unwrap().replace('\n', " ");
        assert!(first.contains(words), "{first}");
        assert!(said.err.contains("none.json was not written"), "{}", said.err);
        let (document, _) = desk.json(&["layout", name]);
        assert!(document["layout"].is_null() && document["resource"].is_null() && document["looks_like"].is_string());
    }
    assert!(!desk.path("none.json").exists());
}

#[test]
fn what_cannot_be_opened_ends_with_3_and_one_document() {
    let desk = clean_desk();
    desk.put("empty.csv", "");
    for name in ["gone.csv", "empty.csv"] {
        let said = desk.counterfoil(&["layout", name]);
        assert_eq!((said.exit, said.out.as_str()), (3, ""));
        assert!(said.err.contains(name), "{}", said.err);
        let (document, exit) = desk.json(&["layout", name]);
        assert_eq!(exit, 3);
        assert!(document["not_checked"][0]["what"].as_str().unwrap().contains(name), "{document}");
    }
}

#[test]
fn a_folder_or_stick_is_not_one_export() {
    let desk = clean_desk();
    desk.put("stick/day.csv", Layout::plain().export(&clean_day()));
    let said = desk.counterfoil(&["layout", "stick"]);
    assert_eq!(said.exit, 2);
    assert!(said.err.contains("examine stick --files"), "{}", said.err);
    let said = counterfoil(&["layout", "sample-data/saleday.img.gz"]);
    assert_eq!(said.exit, 2);
    assert!(said.err.contains("an image of a stick"), "{}", said.err);
}

/// Dates of which nothing decides the order, and what a person can do about them.
#[test]
fn an_open_order_of_dates_is_said_and_settled_by_hand() {
    let desk = Desk::new();
    desk.put(
        "day.csv",
        "Transaction,Date,Head,Gross lb\n1,03/04/2026,12,8450\n2,03/04/2026,10,7015\n3,03/04/2026,9,6100\n",
    );
    let said = desk.counterfoil(&["layout", "day.csv", "--save", "day.json"]);
    assert_eq!(said.exit, 1, "{}", said.out);
    assert!(said.out.contains("open; read as month, day, year"), "{}", said.out);
    let saved: Value = serde_json::from_str(&desk.read("day.json")).unwrap();
    assert_eq!(saved["schema"]["fields"][1]["format"], "any");
    assert_eq!(saved["counterfoil:layout"]["date_order"], Value::Null);
    let (open, exit) = desk.json(&["saleday", "day.csv", "--layout", "day.json"]);
    assert_eq!(exit, 1, "a layout that leaves the order open settles nothing");
    assert!(codes(&open).contains(&"date-order-uncertain"));
    edited(&desk, "day.json", |layout| layout["schema"]["fields"][1]["format"] = json!("%d/%m/%Y"));
    let (settled, exit) = desk.json(&["saleday", "day.csv", "--layout", "edited-day.json"]);
    assert_eq!(exit, 0);
    assert_eq!(settled["drafts"][0]["at"], "2026-04-03T00:00:00");
    let said = desk.counterfoil(&["saleday", "day.csv", "--layout", "edited-day.json", "--date-order", "mdy"]);
    assert_eq!((said.exit, said.out.as_str()), (2, ""), "two orders are asked for");
}

/// Titles nobody knows: no reader can tell the columns apart, a person can.
#[test]
fn a_layout_written_by_hand_reads_what_is_otherwise_no_export() {
    let desk = Desk::new();
    desk.put("odd.csv", "Aa,Bb,Cc,Dd\n11,9,310,x\n12,8,305,y\n");
    let fields = [("Aa", "transaction"), ("Bb", "head"), ("Cc", "gross"), ("Dd", "ignored")];
    let fields: Vec<_> = fields.map(|(name, meaning)| json!({ "name": name, "counterfoil:meaning": meaning })).to_vec();
    desk.put(
        "odd.json",
        json!({ "name": "odd", "path": "odd.csv", "schema": { "fields": fields }, "counterfoil:layout": { "unit": "kg" } })
            .to_string(),
    );
    let (plain, _) = desk.json(&["saleday", "odd.csv"]);
    assert_eq!(codes(&plain), ["no-export"]);
    let (given, exit) = desk.json(&["saleday", "odd.csv", "--layout", "odd.json"]);
    assert_eq!(exit, 0, "{given}");
    assert_eq!(given["control"][0]["gross"], "615");
    assert_eq!(given["control"][0]["unit"], "kg", "the person knows what the file does not say");
    let said = desk.counterfoil(&["tickets", "odd.csv", "--to", "list.csv", "--layout", "odd.json"]);
    assert_eq!(said.exit, 0, "{}", said.err);
    let (ledger, exit) = desk.json(&["ledger", "odd.csv", "--out", "out", "--layout", "odd.json"]);
    assert_eq!((exit, &ledger["control"]), (0, &given["control"]));
}

#[test]
fn a_meaning_corrected_by_hand_holds() {
    let desk = Desk::new();
    desk.put("two.csv", "Transaction,Head,Gross lb,Weight lb\n1,12,8450,8410\n2,10,7015,6995\n3,9,6100,6080\n");
    let said = desk.counterfoil(&["layout", "two.csv", "--save", "two.json"]);
    assert_eq!(said.exit, 1, "two columns may mean the same: {}", said.out);
    edited(&desk, "two.json", |layout| {
        layout["schema"]["fields"][2]["counterfoil:meaning"] = json!("ignored");
        layout["schema"]["fields"][3]["counterfoil:meaning"] = json!("gross");
    });
    let (document, exit) = desk.json(&["saleday", "two.csv", "--layout", "edited-two.json"]);
    assert_eq!(exit, 0, "nothing is in doubt: {document}");
    assert_eq!(document["control"][0]["gross"], "21485");
    assert_eq!(document["control"][0]["unit"], "lb");
}

#[test]
fn what_differs_is_said() {
    let desk = Desk::new();
    let plain = "Transaction,Date,Head,Gross lb\n1,10/17/2026,12,8450\n2,10/17/2026,10,7015\n3,10/17/2026,9,6100\n";
    desk.put("plain.csv", plain);
    assert_eq!(desk.counterfoil(&["layout", "plain.csv", "--save", "plain.json"]).exit, 0);
    let others = [
        (plain.replace("Head", "Hd"), "column 3 has \"Hd\", in the layout \"Head\""),
        (plain.replace(',', ";"), "its cells stand apart by semicolons, in the layout apart by commas"),
        (plain.replace(",Gross", ",Lot,Gross").replace(",8", ",7,8"), "it has 5 columns, the layout 4"),
        (plain.replace("Gross lb", "Gross kg"), "column 4 has \"Gross kg\", in the layout \"Gross lb\""),
        (plain.replace("10/17/2026", "17/10/2026"), "column 2 (date): 17/10/2026 is no day in the layout's order"),
        (plain.split_once('\n').unwrap().1.to_owned(), "it has no titles, the layout has"),
    ];
    for (text, differs) in others {
        desk.put("other.csv", &text);
        let (usual, _) = desk.json(&["saleday", "other.csv"]);
        let (document, exit) = desk.json(&["saleday", "other.csv", "--layout", "plain.json"]);
        let finding = misfit(&document).unwrap_or_else(|| panic!("{differs}"));
        assert!(finding["detail"].as_str().unwrap().contains(differs), "{differs}: {finding}");
        assert_eq!((exit, &document["drafts"]), (1, &usual["drafts"]), "{differs}");
    }
    let (document, _) =
        desk.json(&["saleday", "plain.csv", &example_path("teal-bottoms.csv"), "--layout", "plain.json"]);
    let finding = misfit(&document).expect("one of the two is of another indicator");
    assert_eq!(finding["severity"], "note", "{finding}");
}

fn example_path(name: &str) -> String {
    project(&example(name)).to_str().unwrap().to_owned()
}

/// Rows of a fixed width without titles: number, date, time, head, gross, average. `gross` prints the weight.
fn fixed_width(first: u32, each: &[u32], gross: impl Fn(u32) -> String) -> String {
    let heads = [12, 10, 9, 14, 11, 8, 13, 12, 10, 15, 9, 12];
    let rows = each.iter().zip(heads).enumerate().map(|(n, (each, head))| {
        let (number, time, weight) = (first + n as u32, format!("09:{:02}:10", 3 * n), gross(head * each));
        format!("{number:>6}  10/18/2026  {time}  {head:>3}  {weight:>7}  {each:>5}\n")
    });
    rows.collect()
}

const LAMBS: [u32; 12] = [55, 61, 58, 49, 63, 60, 57, 52, 66, 48, 59, 62];
const STEERS: [u32; 12] = [612, 598, 645, 571, 603, 688, 590, 617, 634, 566, 652, 601];

/// Day by day figures grow; the layout of a fixed width is that of the indicator.
#[test]
fn a_fixed_width_holds_on_other_days() {
    let desk = Desk::new();
    let plain = |weight: u32| weight.to_string();
    desk.put("monday.txt", fixed_width(3, &LAMBS, plain));
    desk.put("friday.txt", fixed_width(998, &STEERS, plain));
    let said = desk.counterfoil(&["layout", "monday.txt", "--save", "monday.json"]);
    assert_eq!(said.exit, 0, "{}", said.out);
    let (usual, _) = desk.json(&["saleday", "friday.txt"]);
    let (document, _) = desk.json(&["saleday", "friday.txt", "--layout", "monday.json"]);
    assert!(misfit(&document).is_none(), "{}", document["findings"]);
    assert_eq!(document["drafts"], usual["drafts"]);
    assert_eq!(document["drafts"].as_array().unwrap().len(), 12);
    desk.put("shifted.txt", fixed_width(998, &STEERS, plain).replace("  10/18", "     10/18"));
    let (document, _) = desk.json(&["saleday", "shifted.txt", "--layout", "monday.json"]);
    assert!(misfit(&document).is_some(), "its columns begin elsewhere");
}

/// Groups of three grow to the left too.
#[test]
fn a_figure_wider_than_its_column_keeps_its_thousands() {
    let desk = Desk::new();
    let grouped = |weight: u32| match weight {
        1000.. => format!("{},{:03}", weight / 1000, weight % 1000),
        _ => weight.to_string(),
    };
    desk.put("monday.txt", fixed_width(3, &LAMBS, grouped));
    desk.put("friday.txt", fixed_width(998, &STEERS, grouped));
    assert_eq!(desk.counterfoil(&["layout", "monday.txt", "--save", "monday.json"]).exit, 0);
    let (document, _) = desk.json(&["saleday", "friday.txt", "--layout", "monday.json"]);
    assert!(misfit(&document).is_none(), "{}", document["findings"]);
    let drafts = document["drafts"].as_array().unwrap();
    assert_eq!((&drafts[0]["head"], &drafts[0]["gross"]), (&json!(12), &json!("7344")));
}

/// A page of DOS and one of the West can both make words of the same bytes; the layout says which.
#[test]
fn the_page_of_a_layout_holds() {
    let desk = Desk::new();
    let mut bytes = b"Transaction,Head,Gross lb,Consignor\n1,12,8450,M\x81ller\n2,10,7015,M\x81ller\n".to_vec();
    desk.put("dos.csv", &bytes);
    let said = desk.counterfoil(&["layout", "dos.csv", "--save", "dos.json"]);
    assert_eq!(said.exit, 0, "{}", said.err);
    edited(&desk, "dos.json", |layout| layout["encoding"] = json!("cp437"));
    let (document, _) = desk.json(&["saleday", "dos.csv", "--layout", "edited-dos.json"]);
    assert_eq!(layout_of(&document)["encoding"], "cp437");
    assert_eq!(document["drafts"][0]["consignor"], "Müller");
    bytes.splice(0..0, *b"\xef\xbb\xbf");
    desk.put("marked.csv", "\u{feff}Transaction,Head,Gross lb,Consignor\n1,12,8450,Müller\n");
    let (document, _) = desk.json(&["saleday", "marked.csv", "--layout", "edited-dos.json"]);
    assert_eq!(document["drafts"][0]["consignor"], "Müller", "its mark says UTF-8");
    assert!(certain(&document));
}

#[test]
fn a_bad_layout_file_is_named_with_its_field() {
    let desk = clean_desk();
    assert_eq!(desk.counterfoil(&["layout", "day.csv", "--save", "day.json"]).exit, 0);
    edited(&desk, "day.json", |layout| layout["schema"]["fields"][2]["type"] = json!("clock"));
    desk.put("list.json", "[]");
    let bad = [
        ("edited-day.json", "schema.fields[2].type"),
        ("list.json", "the file"),
        ("day.csv", "the file"),
        ("gone.json", "gone.json"),
    ];
    for (name, field) in bad {
        for command in [
            vec!["saleday", "day.csv"],
            vec!["ledger", "day.csv", "--out", "out"],
            vec!["tickets", "day.csv", "--to", "list.csv"],
        ] {
            let said = desk.counterfoil(&[&command[..], &["--layout", name]].concat());
            assert_eq!((said.exit, said.out.as_str()), (2, ""), "{command:?} {name}");
            assert!(said.err.contains("--layout") && said.err.replace('\n', " ").contains(field), "{}", said.err);
        }
    }
    assert!(!desk.path("out").exists() && !desk.path("list.csv").exists());
}

/// Titles on two lines are one header, and so is a row of units under it.
#[test]
fn a_header_of_two_lines_stands_once() {
    for name in ["marsh-lane.tsv", "teal-bottoms.csv"] {
        let (document, _) = program::json(&["saleday", &example(name)]);
        assert!(!codes(&document).contains(&"repeated-header"), "{name}: {}", document["findings"]);
    }
    let desk = Desk::new();
    let text = fs::read_to_string(project(&example("marsh-lane.tsv"))).unwrap();
    let header: String = text.split_inclusive('\n').take(2).collect();
    desk.put("twice.tsv", format!("{text}{header}0019\t10/17/26\t2:10 PM\t24\t4107\t9\t5,100 lb\t566.7 lb\n"));
    let (document, _) = desk.json(&["saleday", "twice.tsv"]);
    assert!(codes(&document).contains(&"repeated-header"), "{}", document["findings"]);
}
