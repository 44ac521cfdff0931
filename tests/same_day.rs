//! One day, however it came here: sticks of every kind, folders, single files, other layouts, halves, copies and bins.

use std::collections::BTreeMap;

use fatfs::FatType;
use serde_json::{Value, json};

use crate::support::document::{alarms, counted, expected_figures, figures, rows};
use crate::support::fat_image::{EVERY_KIND, kind_name};
use crate::support::judges;
use crate::support::program::{Desk, codes};
use crate::support::yard::{
    CLEAN_TICKETS, Layout, clean_day, clean_desk, gzipped, partitioned, sha256, stick, zstandard,
};

/// One stick in every wrapping: the same drafts under the same ids, at the same lines and bytes of their export.
#[test]
fn every_kind_of_source_gives_the_same_drafts() {
    let desk = Desk::new();
    let export = Layout::plain().export(&clean_day());
    let files = [("WEIGHED/Saturday's sale.csv", export.as_str())];
    desk.put("folder/WEIGHED/Saturday's sale.csv", &export);
    desk.put("single.csv", &export);
    let small = stick(FatType::Fat12, &files);
    desk.put("packed.img.gz", gzipped(&small));
    desk.put("packed.img.zst", zstandard(&small));
    desk.put("disk.img.gz", gzipped(&partitioned(FatType::Fat16, &files)));

    let (alone, _) = desk.json(&["saleday", "single.csv"]);
    assert_eq!(figures(&alone), expected_figures(&clean_day()));
    for (name, kind, table) in [
        ("folder", "folder", Value::Null),
        ("packed.img.gz", "image", json!("none")),
        ("packed.img.zst", "image", json!("none")),
        ("disk.img.gz", "image", json!("mbr")),
    ] {
        let (document, _) = desk.json(&["saleday", name]);
        assert_eq!(rows(&document), rows(&alone), "{name}");
        let source = &document["sources"][0];
        assert_eq!((&source["kind"], &source["stick"]["partition_table"]), (&json!(kind), &table), "{name}");
        assert_eq!(document["exports"][0]["path"], "WEIGHED/Saturday's sale.csv", "{name}");
        assert_eq!(document["exports"][0]["sha256"], sha256(export.as_bytes()), "{name}");
    }
    let (packed, _) = desk.json(&["examine", "packed.img.zst"]);
    assert_eq!(packed["sources"][0]["sha256"], sha256(&small), "of the unpacked bytes");
}

#[test]
fn every_kind_of_fat_is_read_bare_and_partitioned() {
    let desk = Desk::new();
    let export = Layout::plain().export(&clean_day());
    let files = [("DAY.CSV", export.as_str())];
    for kind in EVERY_KIND {
        let mut images = vec![(stick(kind, &files), "none", 0)];
        if kind != FatType::Fat32 {
            // A partitioned FAT32 stick is what the clean day lies on.
            images.push((partitioned(kind, &files), "mbr", 63 * 512));
        }
        for (image, table, offset) in images {
            desk.put("stick.img", &image);
            let (document, exit) = desk.json(&["saleday", "stick.img"]);
            assert_eq!(figures(&document), expected_figures(&clean_day()), "{} {table}", kind_name(kind));
            let found = &document["sources"][0]["stick"];
            let volume = &found["volumes"][0];
            assert_eq!(volume["file_system"], kind_name(kind).to_lowercase());
            assert_eq!((&found["partition_table"], &volume["offset_bytes"]), (&json!(table), &json!(offset)));
            // FAT32 is what indicators want; the two older kinds are doubtful, yet this stick was written to.
            let (verdict, status) = if kind == FatType::Fat32 { ("ready", 0) } else { ("unknown", 1) };
            assert_eq!((&found["verdict"], exit), (&json!(verdict), status), "{} {table}", kind_name(kind));
            let row = &document["drafts"][0]["origin"];
            let at = usize::try_from(row["medium_offset"].as_u64().unwrap()).unwrap();
            assert!(image[at..].starts_with(b"1,10/17/2026,"), "{} {table}", kind_name(kind));
        }
    }
}

/// A stick made, filled and emptied by dosfstools and mtools.
#[test]
fn a_stick_made_by_other_programs_is_read() {
    if !(judges::present("mkfs.fat") && judges::present("mcopy")) {
        return;
    }
    let desk = Desk::new();
    let mut early = clean_day();
    let late = early.split_off(4);
    let layout = Layout::plain();
    desk.put("early.csv", layout.export(&early));
    desk.put("late.csv", layout.export(&late));
    let image = desk.put("stick.img", vec![0; 4_400 * 512]);
    judges::run("mkfs.fat", &["-F", "16", "-s", "1", "-n", "PENS", &image]);
    judges::run("mmd", &["-i", &image, "::Weighed today"]);
    for name in ["early.csv", "late.csv"] {
        judges::run("mcopy", &["-i", &image, &desk.named(name), "::Weighed today/"]);
    }
    let (document, _) = desk.json(&["examine", "stick.img", "--files"]);
    let volume = &document["sources"][0]["stick"]["volumes"][0];
    assert_eq!((&volume["label"], &volume["file_system"]), (&json!("PENS"), &json!("fat16")));
    for name in ["early.csv", "late.csv"] {
        let path = format!("Weighed today/{name}");
        let file = volume["files"].as_array().unwrap().iter().find(|file| file["path"] == path).unwrap();
        assert_eq!(file["sha256"], sha256(desk.read(name).as_bytes()), "{path}");
    }
    let (whole, _) = desk.json(&["saleday", "stick.img"]);
    assert_eq!(figures(&whole), expected_figures(&clean_day()));

    judges::run("mdel", &["-i", &image, "::Weighed today/late.csv"]);
    let (emptied, exit) = desk.json(&["saleday", "stick.img"]);
    assert_eq!(exit, 1);
    assert!(codes(&emptied).contains(&"export-deleted"), "{:?}", codes(&emptied));
    let standings: Vec<_> = emptied["drafts"].as_array().unwrap().iter().map(|draft| &draft["standing"]).collect();
    assert_eq!(standings, ["counted", "counted", "counted", "counted", "recovered", "recovered"]);
    let (accepted, _) = desk.json(&["saleday", "stick.img", "--accept-recovered"]);
    assert_eq!(accepted["control"][0]["gross"], "47720");
}

#[test]
fn another_layout_tells_the_same_day() {
    let desk = Desk::new();
    desk.put("tickets.csv", CLEAN_TICKETS);
    desk.put("other.csv", Layout::other().export(&clean_day()));
    let (document, exit) = desk.json(&["saleday", "other.csv", "--tickets", "tickets.csv"]);
    assert_eq!((exit, figures(&document)), (0, expected_figures(&clean_day())));
    let layout = &document["exports"][0]["layout"];
    assert_eq!(
        [&layout["delimiter"], &layout["date_order"], &layout["clock"], &layout["unit"]],
        ["\t", "dmy", "24h", "lb"]
    );
    let first = &document["drafts"][0];
    assert_eq!((&first["at"], &first["at_precision"]), (&json!("2026-10-17T09:02:00"), &json!("minute")));
}

#[test]
fn two_exports_of_one_day_are_one_day() {
    let desk = Desk::new();
    let mut early = clean_day();
    let late = early.split_off(2);
    desk.put("tickets.csv", CLEAN_TICKETS);
    desk.put("folder/b.csv", Layout::plain().export(&early));
    desk.put("folder/a.csv", Layout::other().export(&late));
    let (document, exit) = desk.json(&["saleday", "folder", "--tickets", "tickets.csv"]);
    assert_eq!((exit, &document["sequence"]), (0, &json!([])), "{:?}", alarms(&document));
    assert_eq!(document["sessions"].as_array().unwrap().len(), 1);
    assert_eq!(document["control"][0]["gross"], "47720");

    let ids = |line: &[&str]| {
        let (document, _) = desk.json(line);
        let mut ids: Vec<_> = rows(&document).iter().map(|row| row[0].as_str().unwrap().to_owned()).collect();
        ids.sort();
        ids
    };
    let one_way = ids(&["saleday", "folder/a.csv", "folder/b.csv"]);
    assert_eq!(one_way, ids(&["saleday", "folder/b.csv", "folder/a.csv"]));
    assert_eq!(one_way, ids(&["saleday", "folder"]));
}

#[test]
fn a_copy_counts_once() {
    let desk = clean_desk();
    let export = desk.read("day.csv");
    let rewritten = export.replace("10/17/2026", "2026-10-17").replace(",7450,", ",07450,");
    for (name, copy) in [("word for word", export.clone()), ("dates and zeros rewritten", rewritten)] {
        desk.put("stick/day.csv", &export);
        desk.put("stick/copy of day.csv", copy);
        let (document, exit) = desk.json(&["saleday", "stick", "--tickets", "tickets.csv"]);
        assert_eq!((exit, figures(&document)), (0, expected_figures(&clean_day())), "{name}");
        let exports = document["exports"].as_array().unwrap();
        let ids: Vec<_> = exports.iter().map(|export| &export["id"]).collect();
        let copies: Vec<_> = exports.iter().map(|export| &export["duplicate_of"]).filter(|id| !id.is_null()).collect();
        assert_eq!((exports.len(), copies.len()), (2, 1), "{name}");
        assert!(ids.contains(&copies[0]), "{name}");
        assert!(codes(&document).contains(&"export-duplicated"), "{name}");
    }
}

/// A copy made on a machine whose clock was never set, or by a program that writes dates its own way.
#[test]
fn a_copy_with_another_date_counts_once() {
    let desk = Desk::new();
    let export = Layout::plain().export(&clean_day());
    desk.put("stick/day.csv", &export);
    desk.put("stick/copy.csv", export.replace("10/17/2026", "01/01/1980"));
    let (document, _) = desk.json(&["saleday", "stick"]);
    assert_eq!(document["control"][0]["gross"], "47720");
    assert_eq!(figures(&document), expected_figures(&clean_day()));
    assert!(codes(&document).contains(&"export-duplicated"), "{:?}", codes(&document));
}

#[test]
fn of_two_copies_the_one_with_more_detail_is_read() {
    let desk = Desk::new();
    let spare = Layout {
        columns: Layout::plain().columns.into_iter().filter(|(_, title)| !["Time", "Ticket"].contains(title)).collect(),
        ..Layout::plain()
    };
    for (detailed, bare) in [("a.csv", "b.csv"), ("b.csv", "a.csv")] {
        desk.put(&format!("stick/{detailed}"), Layout::plain().export(&clean_day()));
        desk.put(&format!("stick/{bare}"), spare.export(&clean_day()));
        let (document, _) = desk.json(&["saleday", "stick"]);
        assert_eq!(figures(&document), expected_figures(&clean_day()), "{detailed} has more");
        let copy = document["exports"].as_array().unwrap().iter().find(|export| export["path"] == bare).unwrap();
        assert!(copy["duplicate_of"].is_string(), "{detailed} has more");
    }
}

#[test]
fn an_export_in_a_bin_is_deleted() {
    let desk = Desk::new();
    let mut early = clean_day();
    let late = early.split_off(3);
    for bin in ["$RECYCLE.BIN", "RECYCLER", ".Trash-1000/files", ".Trashes/501"] {
        let folder = format!("stick {}", bin.replace(['/', '.', '$'], ""));
        desk.put(&format!("{folder}/early.csv"), Layout::plain().export(&early));
        desk.put(&format!("{folder}/{bin}/late.csv"), Layout::plain().export(&late));
        let (document, exit) = desk.json(&["saleday", &folder]);
        assert_eq!(exit, 1, "{bin}");
        let states: BTreeMap<_, _> = document["exports"]
            .as_array()
            .unwrap()
            .iter()
            .map(|export| (export["path"].as_str().unwrap(), export["state"].as_str().unwrap()))
            .collect();
        let late = format!("{bin}/late.csv");
        assert_eq!(states, BTreeMap::from([("early.csv", "live"), (late.as_str(), "deleted")]));
        assert_eq!(counted(&document), [1, 2, 3], "{bin}");
        let (document, _) = desk.json(&["saleday", &folder, "--accept-recovered"]);
        assert_eq!(counted(&document), [1, 2, 3, 4, 5, 6], "{bin}");
    }
}

#[test]
fn side_files_of_operating_systems_are_passed_over() {
    let desk = Desk::new();
    let export = Layout::plain().export(&clean_day());
    desk.put("stick/day.csv", &export);
    let double = [&[0, 5, 0x16, 7, 0, 2, 0, 0][..], b"Mac OS X        ", export.as_bytes()].concat();
    desk.put("stick/._day.csv", double);
    for side in ["System Volume Information/IndexerVolumeGuid", ".DS_Store", ".Spotlight-V100/store", "desktop.ini"] {
        desk.put(&format!("stick/{side}"), export.replace("1,10/", "9,10/"));
    }
    let (document, exit) = desk.json(&["saleday", "stick"]);
    assert_eq!((exit, figures(&document)), (0, expected_figures(&clean_day())));
    assert_eq!(document["exports"].as_array().unwrap().len(), 1, "{}", document["exports"]);
}

#[test]
fn our_own_outputs_and_the_list_beside_the_exports_are_no_exports() {
    let desk = Desk::new();
    desk.put("sale/day.csv", Layout::plain().export(&clean_day()));
    // The list carries numbers, head, weight and dates as an export does.
    let list = "Ticket,Date,First no.,Last no.,Head,Gross\n\
                501,10/17/2026,1,2,23,14355\n502,10/17/2026,3,5,45,24535\n503,10/17/2026,6,6,10,8830\n";
    desk.put("sale/tickets.csv", list);
    let tied = ["saleday", "sale", "--tickets", "sale/tickets.csv"];
    assert_eq!(desk.counterfoil(&[&tied[..], &["--out", "out"]].concat()).exit, 0);
    assert_eq!(desk.counterfoil(&["tickets", "sale", "--to", "list.csv"]).exit, 0);
    for name in desk.names("out") {
        desk.put(&format!("sale/yesterday/{name}"), desk.read(&format!("out/{name}")));
    }
    desk.put("sale/list.csv", desk.read("list.csv"));
    let (document, exit) = desk.json(&tied);
    assert_eq!((exit, figures(&document)), (0, expected_figures(&clean_day())));
    let paths: Vec<_> = document["exports"].as_array().unwrap().iter().map(|export| &export["path"]).collect();
    assert_eq!(paths, ["day.csv"]);
}

#[test]
fn one_file_that_proves_the_order_of_dates_tells_it_of_the_others_laid_out_alike() {
    let header = "Transaction,Date,Time,Head,Gross lb\n";
    let desk = Desk::new();
    desk.put("stick/a.csv", format!("{header}1,05/10/2026,09:00,10,7000\n2,05/10/2026,09:05,10,7100\n"));
    let open = desk.json(&["saleday", "stick"]).0;
    assert!(codes(&open).contains(&"date-order-uncertain"));
    desk.put("stick/b.csv", format!("{header}3,17/10/2026,09:00,10,7000\n4,17/10/2026,09:05,10,7100\n"));
    let (settled, _) = desk.json(&["saleday", "stick"]);
    assert!(!codes(&settled).contains(&"date-order-uncertain"));
    assert_eq!(settled["drafts"][0]["at"], "2026-10-05T09:00:00");
    // Where two others prove different orders, nothing is settled.
    desk.put("stick/c.csv", format!("{header}5,10/24/2026,09:00,10,7000\n6,10/24/2026,09:05,10,7100\n"));
    assert!(codes(&desk.json(&["saleday", "stick"]).0).contains(&"date-order-uncertain"));
}

/// Points stand between the figures of dates where the day comes first (Unicode CLDR 47, short date patterns).
#[test]
fn dotted_dates_that_could_be_both_are_read_day_first_and_said_to_be_open() {
    let desk = Desk::new();
    desk.put("a.csv", "Nr.;Datum;Zeit;Tiere;Brutto kg\n5;12.10.2026;09:01;10;6500\n6;12.10.2026;09:06;11;7150\n8;12.10.2026;09:15;9;5850\n");
    let (document, _) = desk.json(&["saleday", "a.csv"]);
    assert_eq!(document["drafts"][0]["at"], "2026-10-12T09:01:00");
    let findings = document["findings"].as_array().unwrap();
    let open = findings.iter().find(|finding| finding["code"] == "date-order-uncertain").unwrap();
    assert!(open["detail"].as_str().unwrap().contains("day, month, year"), "{open}");
    // No row names a ticket, so none is said to be the same.
    let why = document["sequence"][0]["why"].to_string();
    assert!(why.contains("time enough") && !why.contains("same ticket"), "{why}");
}
