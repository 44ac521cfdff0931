//! Exports that are damaged, cut or oddly filled: nothing of them vanishes silently.

use counterfoil::draft::{self, Flag};
use counterfoil::export::findings::of_export;
use counterfoil::export::{DateHints, DateOrder, Export, RowContent, Unread, read_content};
use counterfoil::finding::{Finding, Severity};

use crate::support::fat_image::FatImage;
use crate::support::findings::assert_complete;
use crate::support::program::{Desk, codes, json};
use crate::support::texts::export;

const HEADER: &str = "Date,Time,Lot,Trans,Ticket,Head,Gross lb\n";
const ROW: &str = "10/17/2026,9:01:00 AM,L,1,T1,10,7001\n";

/// Severity, code and title of everything an export shows by itself.
fn shown(export: &Export) -> Vec<String> {
    let findings = of_export(export, None);
    assert_complete(&findings);
    findings.iter().map(in_short).collect()
}

fn in_short(finding: &Finding) -> String {
    format!("{} {}: {}", finding.severity.word(), finding.code, finding.title)
}

fn reasons(export: &Export) -> Vec<String> {
    let reason = |row: &counterfoil::export::Row| match &row.content {
        RowContent::Unreadable { reason, .. } => Some(format!("{}: {reason}", row.line)),
        _ => None,
    };
    export.rows.iter().filter_map(reason).collect()
}

#[test]
fn a_control_byte_does_not_hide_an_export() {
    let desk = Desk::new();
    desk.put("stick/a.csv", format!("{HEADER}{ROW}").replace(",L,", ",\u{1}L,"));
    let (document, exit) = json(&["saleday", &desk.named("stick")]);
    assert_eq!((document["drafts"].as_array().unwrap().len(), exit), (1, 0));
}

/// Only an export is worth a word: a leaflet that came with the stick is meant to be read only.
#[test]
fn an_export_marked_as_read_only_is_told_and_other_files_are_not() {
    let mut image = FatImage::with_exports(fatfs::FatType::Fat32);
    image.write("LEAFLET.TXT", b"Thank you for buying this stick.");
    for name in [b"TX0001  CSV", b"LEAFLET TXT"] {
        let entry = image.entry(name);
        image.bytes[entry + 11] |= 0x01;
    }
    let desk = Desk::new();
    desk.put("stick.img", image.bytes);
    let (document, exit) = json(&["examine", &desk.named("stick.img")]);
    let told: Vec<_> =
        document["findings"].as_array().unwrap().iter().filter(|it| it["code"] == "write-protected").collect();
    assert_eq!((told.len(), exit), (1, 1));
    assert_eq!(told[0]["title"], "TX0001.CSV is marked as not to be written");
}

#[test]
fn zero_bytes_instead_of_a_header_are_told() {
    let desk = Desk::new();
    let rows: String = (1..20).map(|number| ROW.replace(",1,", &format!(",{number},"))).collect();
    desk.put("stick/rows.bin", [vec![0; 512], rows.clone().into_bytes()].concat());
    desk.put("stick/only.csv", vec![0; 4096]);
    desk.put("stick/photo.bin", vec![0; 4096]);
    let (document, exit) = json(&["saleday", &desk.named("stick")]);
    let told: Vec<_> =
        document["findings"].as_array().unwrap().iter().map(|it| it["title"].as_str().unwrap()).collect();
    assert!(told.contains(&"only.csv begins with zero bytes instead of a header"), "{told:?}");
    assert!(told.contains(&"rows.bin, line 1: zero bytes instead of a row"), "{told:?}");
    assert!(told.contains(&"rows.bin has no header"), "{told:?}");
    assert_eq!((document["exports"][0]["rows"]["drafts"].as_u64(), exit), (Some(18), 1), "by what its columns hold");
    let header_kept = export("a.csv", ["\0".repeat(512).as_str(), HEADER, ROW].concat());
    assert_eq!(shown(&header_kept), ["fault export-zero-filled: a.csv, line 1: zero bytes in the header"]);
}

#[test]
fn utf16_without_its_mark_is_read_both_ways() {
    let text = format!("{HEADER}{ROW}");
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for (bytes, name) in [(little, "utf-16le"), (big, "utf-16be")] {
        let read = read_content(&bytes, &DateHints::default(), &|_| None).unwrap();
        assert_eq!((read.layout.encoding, read.counts.drafts), (name, 1));
    }
    let zeros = format!("{HEADER}{ROW}{}", "\0\n".repeat(400));
    assert_eq!(export("zeros.csv", zeros).layout.encoding, "utf-8");
}

#[test]
fn a_cut_last_row_is_never_a_banner() {
    let cut = export("a.csv", format!("{HEADER}{ROW}10/17/2026,9:05:00 AM"));
    assert_eq!(shown(&cut), ["fault export-cut-short: a.csv ends in the middle of a row, line 3"]);
    assert_eq!(cut.counts.banners, 0);
    let footer = export("a.csv", format!("{HEADER}{ROW}-- end of session --\n"));
    assert_eq!((shown(&footer), footer.counts.banners), (vec![], 1));
    let dos = export("a.csv", format!("{HEADER}{ROW}\u{1a}"));
    assert_eq!((shown(&dos), dos.counts.drafts), (vec![], 1));
}

#[test]
fn a_last_figure_that_may_be_cut_is_told() {
    let cut = export("a.csv", format!("{HEADER}{ROW}10/17/2026,9:05:00 AM,L,5,T1,10,70"));
    assert_eq!(shown(&cut), ["caution export-cut-short: a.csv: the last figure may be cut, line 3"]);
    let drafts = draft::collect(std::slice::from_ref(&cut), false).drafts;
    assert_eq!(drafts[1].flags, [Flag::TornRow]);
    assert!(drafts[1].counts());
    assert!(drafts[0].flags.is_empty());
}

#[test]
fn totals_are_told_by_their_kind_or_their_first_words() {
    let kinds =
        "Row type,Trans,Date,Ticket,Head,Gross lb\nDraft,1,10/17/2026,11,10,7000\nTotal,1,10/17/2026,11,10,7000\n";
    let counts = export("kinds.csv", kinds).counts;
    assert_eq!((counts.drafts, counts.totals), (1, 1));
    let numbered = "Ticket,Trans,Head,Gross lb\n11,1,10,7000\nTotal 11,1,10,7000\n";
    let counts = export("numbered.csv", numbered).counts;
    assert_eq!((counts.drafts, counts.totals), (1, 1));
    let names = "Seller,Trans,Head,Gross lb,Lot\nTotal Cattle Co,1,10,7000,4\nSum & Sons,2,10,7000,Total Ranch\nTotal Cattle Co,,10,7000,4\n";
    let names = export("names.csv", names);
    assert_eq!((names.counts.drafts, names.counts.totals, names.counts.unreadable), (2, 0, 1));
}

#[test]
fn a_name_makes_no_total_in_a_ticket_list() {
    let list = "Ticket,Seller,Lot,Head,Gross\n501,Total Cattle Co,Total Ranch,12,8450\n,Total Cattle Co,,3,2000\nTotal,,,12,8450\n";
    let list = counterfoil::ticket::read(list.as_bytes(), "list", &DateHints::default());
    assert_eq!(list.tickets.len(), 1);
    assert_eq!(crate::support::texts::codes(&list.findings), ["tickets-unusable"], "the one without a number");
}

#[test]
fn wide_rows_are_kept_apart() {
    let empty = export("a.csv", format!("{HEADER}{}{}\n", ROW.trim_end(), ",".repeat(2000)));
    assert_eq!((empty.counts.drafts, empty.counts.unreadable), (1, 0), "empty cells behind the last are nothing");
    let wide = export("a.csv", format!("{HEADER}{ROW}{}{}\n", ROW.trim_end(), ",x".repeat(2000)));
    assert_eq!(reasons(&wide), ["3: it has more than 512 cells, the header 7"]);
    let shifted = export("a.csv", format!("{HEADER}{ROW}{}", ROW.replace(",L,", ",L,b,")));
    assert_eq!(reasons(&shifted), ["3: it has 8 cells, the header 7: cells may have slipped into other columns"]);
    let unnamed = export("a.csv", format!("{HEADER}{}{}", ROW.replace('\n', ",x\n"), ROW.replace('\n', ",y\n")));
    assert_eq!(unnamed.counts.drafts, 2, "a column without a name that every row has is no fault");
    let header = format!("Trans,Date,Head,Gross{}\n1,10/17/2026,10,7000{}\n", ",x".repeat(600), ",1".repeat(600));
    assert_eq!(export("a.csv", header).counts.drafts, 1);
}

#[test]
fn another_header_opens_its_own_columns() {
    let text = format!("{HEADER}{ROW}Trans;Gross (kg);Head;Date\n2;3100;9;17/10/2026\n");
    let export = export("a.csv", text);
    let drafts = draft::collect(std::slice::from_ref(&export), false).drafts;
    let told: Vec<_> = drafts
        .iter()
        .map(|it| {
            format!(
                "{} {} {} {}",
                it.stated.transaction.unwrap(),
                it.stated.head.unwrap(),
                it.stated.gross.unwrap(),
                it.stated.at.unwrap()
            )
        })
        .collect();
    assert_eq!(
        told,
        ["1 10 head 7,001 lb 2026-10-17 09:01", "2 9 head 3,100 kg 2026-10-17"]
            .map(|it| it.replace("09:01", "09:01:00"))
    );
    assert_eq!(shown(&export), ["note repeated-header: a.csv: another header stands on line 3"]);
    assert_eq!(export.layout.shape.delimiter(), ',', "the layout is that of the first");
}

#[test]
fn names_of_months_are_read() {
    for (written, order) in [
        ("17-Oct-2026", DateOrder::Dmy),
        ("17 October 2026", DateOrder::Dmy),
        ("Oct 17 2026", DateOrder::Mdy),
        ("Oct. 17 2026", DateOrder::Mdy),
        ("17-OCT-26", DateOrder::Dmy),
        ("2026-Oct-17", DateOrder::Ymd),
    ] {
        let text = format!("Trans,Date,Head,Gross lb\n1,{written},10,7000\n");
        let read = read_content(text.as_bytes(), &DateHints::default(), &|_| None).unwrap();
        let RowContent::Draft(fields) = &read.rows[1].content else { panic!("{written}") };
        assert_eq!(fields.at.unwrap().to_string(), "2026-10-17", "{written}");
        assert_eq!(read.layout.date_order, Some(order), "{written}");
    }
    let text = "Trans,Timestamp,Head,Gross lb\n1,17-OCT-2026 9:05 PM,10,7000\n2,2026-10-17T21:06,10,7000\n";
    let read = export("a.csv", text);
    let at = |row: usize| match &read.rows[row].content {
        RowContent::Draft(fields) => fields.at.unwrap().to_string(),
        other => panic!("{other:?}"),
    };
    assert_eq!((at(1).as_str(), at(2).as_str()), ("2026-10-17 21:05", "2026-10-17 21:06"));
}

#[test]
fn dates_of_which_none_can_be_read_are_told() {
    let text = "Trans,Date,Head,Gross lb\n1,day 290,10,7000\n2,day 291,10,7000\n";
    let read = read_content(text.as_bytes(), &DateHints::default(), &|_| None).unwrap();
    assert_eq!((read.unread_date.as_deref(), read.counts.drafts), (Some("day 290"), 2));
    let findings = of_export(&export("a.csv", text), read.unread_date.as_deref());
    assert_complete(&findings);
    assert_eq!(in_short(&findings[0]), "caution layout-uncertain: a.csv: the dates could not be read");
}

#[test]
fn marks_for_nothing_and_bad_figures_that_are_not_needed_leave_the_draft() {
    let header = "Trans,Date,Head,Gross lb,Tare,Average,Shrink,Ticket\n";
    let marks = export("a.csv", format!("{header}1,10/17/2026,10.0,7000,-,n/a,--,11\n2,10/17/2026,10,7100,.,NA,,11\n"));
    assert_eq!((marks.counts.drafts, shown(&marks)), (2, vec![]));
    let bad = export("a.csv", format!("{header}1,10/17/2026,10,7000,7o,700,2,11\n"));
    assert_eq!(shown(&bad), ["caution row-unreadable: a.csv, line 2: one cell could not be read"]);
    let finding = &of_export(&bad, None)[0];
    assert_eq!((finding.severity, finding.place.column), (Severity::Caution, Some(4)));
    for strict in ["1,10/17/2026,10,-,,,,11\n", "1,10/17/2026,10,7003*,,,,11\n", "-,10/17/2026,10,7003,,,,11\n"] {
        assert_eq!(export("a.csv", format!("{header}{strict}")).counts.unreadable, 1, "{strict}");
    }
}

#[test]
fn quoted_cells_in_reasons_are_short() {
    let long = export("a.csv", format!("{HEADER}{}", ROW.replace("7001", &"7".repeat(300_000))));
    assert_eq!(reasons(&long), [format!("2: the weight is not a figure: \"{}\u{2026}\"", "7".repeat(40))]);
}

#[test]
fn a_figure_below_one_a_head_shows_dotted_thousands() {
    let read = export("a.csv", "Trans;Head;Gross (kg)\n1;3;1.351\n2;3;1.352\n");
    let weights: Vec<_> =
        draft::collect(&[read], false).drafts.iter().map(|it| it.stated.gross.unwrap().to_string()).collect();
    assert_eq!(weights, ["1,351 kg", "1,352 kg"]);
}

#[test]
fn files_of_no_bytes_are_told() {
    let desk = Desk::new();
    desk.put("stick/a/DAY.CSV", "");
    desk.put("stick/b/x.csv", format!("{HEADER}{ROW}"));
    desk.put("stick/b/unnamed", "");
    desk.put("stick/c/notes", "");
    let (document, _) = json(&["saleday", &desk.named("stick")]);
    assert_eq!(codes(&document), ["export-empty", "export-empty"]);
}

#[test]
fn millions_of_empty_lines_cost_little() {
    let text = format!("{HEADER}{ROW}{}", "\n".repeat(3_000_000));
    let export = export("a.csv", text);
    assert_eq!((export.counts.drafts, export.counts.blank, export.rows.len()), (1, 3_000_000, 2));
    assert_eq!(export.text.len(), 3_000_002);
}

#[test]
fn many_bad_lines_are_counted_and_few_are_kept() {
    let export = export("a.csv", format!("{HEADER}{ROW}{}", "\0\n".repeat(5000)));
    assert_eq!((export.counts.unreadable, export.rows.len()), (5000, 22));
    assert!(matches!(&export.rows[2].content, RowContent::Unreadable { reason: Unread::ZeroBytes(1), .. }));
    assert!(shown(&export).contains(&"fault row-unreadable: a.csv: 4,980 more rows could not be read".to_owned()));
}
