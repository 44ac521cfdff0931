//! Exports are read rightly, line by line, whatever the order of their columns.

use counterfoil::draft;
use counterfoil::export::{Clock, DateHints, DateOrder, Export, Fields, RowContent, read_content};
use counterfoil::units::{Decimal, Unit};

use crate::support::texts::export;

const PLAIN: &str = "\
Transaction,Date,Time,Lot,Ticket,Head,Gross,Unit
1,10/17/2026,9:05:10 AM,7,501,12,8450,lb
2,10/17/2026,12:07:00 PM,7,501,10,7015,lb
";

fn drafts(export: &Export) -> Vec<&Fields> {
    let draft = |row: &'_ counterfoil::export::Row| matches!(row.content, RowContent::Draft(_));
    let fields = |row: &counterfoil::export::Row| match &row.content {
        RowContent::Draft(fields) => (**fields).clone(),
        _ => unreachable!(),
    };
    export.rows.iter().filter(|row| draft(row)).map(|row| &*Box::leak(Box::new(fields(row)))).collect()
}

/// `transaction time head gross`, for comparing.
fn in_short(export: &Export) -> Vec<String> {
    drafts(export)
        .iter()
        .map(|fields| {
            format!(
                "{} {} {} {}",
                fields.transaction.unwrap(),
                fields.at.map_or("-".to_owned(), |at| at.to_string()),
                fields.head.map_or(0, |head| head.0),
                fields.gross.unwrap()
            )
        })
        .collect()
}

const AS_PLAIN: [&str; 2] = ["1 2026-10-17 09:05:10 12 8,450 lb", "2 2026-10-17 12:07:00 10 7,015 lb"];

#[test]
fn a_plain_export_is_read() {
    let export = export("plain.csv", PLAIN);
    assert_eq!(in_short(&export), AS_PLAIN);
    assert_eq!(export.layout.date_order, Some(DateOrder::Mdy));
    assert_eq!(export.layout.clock, Some(Clock::Twelve));
    assert_eq!(export.layout.encoding, "utf-8");
}

#[test]
fn columns_may_stand_in_any_order() {
    let text = "\
Gross wt (lb);Hd;Tkt #;Trans. No.;Weigh time;Date
8450;12;501;1;9:05:10;17.10.2026
7015;10;501;2;12:07:00;17.10.2026
";
    let export = export("other.txt", text);
    assert_eq!(in_short(&export), AS_PLAIN);
    assert_eq!(export.layout.shape.delimiter(), ';');
    assert_eq!(export.layout.unit, Some(Unit::Pound));
    assert_eq!(export.layout.clock, Some(Clock::TwentyFour));
    assert_eq!(export.layout.date_order, Some(DateOrder::Dmy));
}

#[test]
fn tabs_quotes_marks_and_line_ends_do_not_matter() {
    let tabs = PLAIN.replace(',', "\t");
    assert_eq!(in_short(&export("tabs", &tabs)), AS_PLAIN);
    let quoted = PLAIN.replace("8450", "\"8,450\"").replace("Lot", "\"Lot\"");
    assert_eq!(in_short(&export("quoted", &quoted)), AS_PLAIN);
    let marked = format!("\u{feff}{}", PLAIN.replace('\n', "\r\n"));
    let marked = export("marked", &marked);
    assert_eq!(in_short(&marked), AS_PLAIN);
    assert!(marked.layout.byte_order_mark);
    let old = PLAIN.replace('\n', "\r");
    assert_eq!(in_short(&export("old", &old)), AS_PLAIN);
}

#[test]
fn utf16_is_read_by_its_mark() {
    let bytes: Vec<u8> = format!("\u{feff}{PLAIN}").encode_utf16().flat_map(u16::to_le_bytes).collect();
    let export = export("wide", &bytes);
    assert_eq!(in_short(&export), AS_PLAIN);
    assert_eq!(export.layout.encoding, "utf-16le");
    let second = &export.rows[1];
    assert_eq!(second.byte, 2 + 2 * 49, "bytes count as they lie on the stick");
}

#[test]
fn letters_beyond_ascii_are_kept() {
    let latin = PLAIN.replace("Lot", "Consignor").replace(",7,", ",Mu\u{fc}ller,");
    let bytes: Vec<u8> = latin.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap()).collect();
    let export = export("latin", &bytes);
    assert_eq!(export.layout.encoding, "windows-1252");
    assert_eq!(drafts(&export)[0].consignor.as_deref(), Some("Müller".replace("Müller", "Muüller").as_str()));
}

#[test]
fn decimal_commas_are_told_from_thousands() {
    let text = "Transaction;Head;Gross (kg)\n1;4;1.355,5\n2;4;988,0\n";
    let kilograms = export("kg", text);
    let weights: Vec<_> = drafts(&kilograms).iter().map(|fields| fields.gross.unwrap().amount()).collect();
    assert_eq!(weights, [Decimal::new(13555, 1), Decimal::new(988, 0)]);
    assert_eq!(kilograms.layout.decimal_mark, ',');
    let text = "Transaction;Head;Gross (lb)\n1;4;1,355\n2;4;988\n";
    let pounds = export("lb", text);
    assert_eq!(drafts(&pounds)[0].gross.unwrap().amount(), Decimal::new(1355, 0));
}

#[test]
fn totals_are_told_from_drafts() {
    let text = format!("{PLAIN}Ticket total,,,,501,22,15465,lb\n\nTotal,,,,,22,15465,lb\n");
    let export = export("totals.csv", text);
    assert_eq!(export.counts.drafts, 2);
    assert_eq!(export.counts.totals, 2);
    assert_eq!(export.counts.blank, 1);
    let totals = draft::collect(std::slice::from_ref(&export), false).totals;
    assert_eq!(totals[0].ticket.as_deref(), Some("501"));
    assert_eq!(totals[0].above.len(), 2);
}

#[test]
fn every_line_is_accounted_for() {
    let text = format!(
        "Fold Lane Yard scale 2\nprinted 10/17/2026\n\n{PLAIN}Transaction,Date,Time,Lot,Ticket,Head,Gross,Unit\n\
         3,10/17/2026,bad,7,501,11,7000,lb\n-- end of session --\nTotal,,,,,33,22465,lb\n4,10/17/2026,1:0"
    );
    let export = export("all.csv", &text);
    let counts = export.counts;
    let all = counts.drafts + counts.totals + counts.headers + counts.banners + counts.blank + counts.unreadable;
    assert_eq!(all, text.lines().count() as u64);
    assert_eq!((counts.drafts, counts.totals, counts.headers), (2, 1, 2));
    assert_eq!((counts.banners, counts.blank, counts.unreadable), (3, 1, 2));
}

#[test]
fn unreadable_rows_say_why_and_where() {
    let text = PLAIN.replace("7015", "70I5");
    let export = export("bad.csv", text);
    let bad = export.rows.last().unwrap();
    let RowContent::Unreadable { column, reason, transaction } = &bad.content else { panic!("{bad:?}") };
    assert_eq!((bad.line.0, *column), (3, Some(6)));
    assert_eq!(reason.to_string(), "the weight is not a figure: \"70I5\"");
    assert_eq!(transaction.map(|number| number.0), Some(2), "the number is still legible");
}

#[test]
fn a_lone_quote_spoils_only_its_own_line() {
    let text = PLAIN.replace(",7,501,12,", ",\"7,501,12,");
    let export = export("quote.csv", text);
    assert_eq!(export.counts.drafts, 2);
    assert_eq!(drafts(&export)[1].gross.unwrap().amount(), Decimal::new(7015, 0));
}

#[test]
fn a_cut_at_any_byte_neither_panics_nor_changes_earlier_rows() {
    for cut in 0..PLAIN.len() {
        let Some(content) = read_content(&PLAIN.as_bytes()[..cut], &DateHints::default(), &|_| None) else { continue };
        let whole_lines = PLAIN[..cut].matches('\n').count();
        assert!(content.counts.drafts as usize >= whole_lines.saturating_sub(1), "cut at {cut}");
        assert!(content.counts.drafts as usize <= whole_lines, "cut at {cut}: a cut row must not count");
    }
}

#[test]
fn what_is_no_export_is_none() {
    for text in [
        "",
        "hello\nworld\n",
        "item,price\nfeed,12.50\n",
        "Ticket,Head,Gross\n501,12,8450\n",
        "counterfoil_draft,Transaction,Date,Head,Gross\nd-1,1,2026-10-17,12,8450\n",
    ] {
        assert!(read_content(text.as_bytes(), &DateHints::default(), &|_| None).is_none(), "{text:?}");
    }
}

/// Unicode CLDR 47 short date patterns (read); the sample texts were made for this test.
#[test]
fn dates_follow_the_order_of_their_territory() {
    let rows = [
        ("US", "3/4/25", DateOrder::Mdy),
        ("AU", "4/3/25", DateOrder::Dmy),
        ("CA", "2025-03-04", DateOrder::Ymd),
        ("MX", "04/03/25", DateOrder::Dmy),
        ("PH", "3/4/25", DateOrder::Mdy),
        ("SE", "2025-03-04", DateOrder::Ymd),
        ("DE", "04.03.25", DateOrder::Dmy),
    ];
    let expected = chrono::NaiveDate::from_ymd_opt(2025, 3, 4).unwrap();
    for (territory, written, order) in rows {
        let read = counterfoil::export::DateParts::read(written).and_then(|parts| parts.date(order));
        assert_eq!(read, Some(expected), "{territory}");
    }
}

/// Unicode CLDR 47: 03/04/2025 without a territory is 4 March or 3 April; the file's own time decides.
#[test]
fn an_undecidable_date_order_is_said_to_be_so() {
    let text = "Transaction,Date,Head,Gross\n1,03/04/2025,4,2000\n";
    let near = |year, month, day| DateHints {
        order: None,
        near: vec![chrono::NaiveDate::from_ymd_opt(year, month, day).unwrap()],
    };
    let read = |hints: &DateHints| read_content(text.as_bytes(), hints, &|_| None).unwrap();
    let open = read(&DateHints::default());
    assert_eq!(open.layout.date_order, None);
    let march = read(&near(2025, 3, 4));
    assert_eq!(march.layout.date_order, Some(DateOrder::Mdy));
    let april = read(&near(2025, 4, 3));
    assert_eq!(april.layout.date_order, Some(DateOrder::Dmy));
    let told = read(&DateHints { order: Some(DateOrder::Dmy), near: Vec::new() });
    assert_eq!(told.layout.date_order, Some(DateOrder::Dmy));
}

/// NIST Time and Frequency FAQ (read) for 11:59 p.m.; the digital-clock convention for the others.
#[test]
fn twelve_hour_times_follow_the_clock() {
    let rows = [
        ("11:59 p.m.", "23:59"),
        ("12:00 AM", "00:00"),
        ("12:00 PM", "12:00"),
        ("12:59 AM", "00:59"),
        ("1:00 AM", "01:00"),
        ("12:59 PM", "12:59"),
    ];
    for (written, expected) in rows {
        let (time, _, clock) = counterfoil::export::time(written).unwrap();
        assert_eq!((time.format("%H:%M").to_string().as_str(), clock), (expected, Clock::Twelve), "{written}");
    }
    assert!(counterfoil::export::time("13:05 PM").is_none());
    assert!(counterfoil::export::time("24:00").is_none());
}

/// In columns of a fixed width a title may hold more words than another way of splitting would count.
const FIXED: &str = "\
Tally sheet
Yard: Fennick Hollow

  No   When              Hd    Lbs    Lbs/Hd  Seller name
   7   11/14/26 8:05a    12    8,640  720.0   Dunmore
   8   11/14/26 8:11a    10    7,150  715.0   Dunmore
   9   11/14/26 8:20a     9    6,520  724.4   Ash Vale
  11   11/14/26 8:41a    14   10,010  715.0   Ash Vale
        Total            45   32,320
";

#[test]
fn rows_decide_how_blanks_part_a_line_not_the_words_of_its_title() {
    let read = export("a.txt", FIXED);
    assert_eq!((read.counts.drafts, read.counts.totals, read.counts.unreadable), (4, 1, 0));
    let last = drafts(&read)[3];
    assert_eq!((last.head.unwrap().0, last.gross.unwrap().to_string().as_str()), (14, "10,010 lb"));
    assert_eq!(last.consignor.as_deref(), Some("Ash Vale"));
}

#[test]
fn units_and_known_words_within_a_title_tell_its_meaning() {
    let read = export("a.csv", "No,Date,Hd,Lbs,lb/hd,Name of seller\n1,2026-10-17,10,7000,700,Dunmore\n");
    let fields = drafts(&read)[0];
    let weights = [fields.gross, fields.average].map(|weight| weight.unwrap().to_string());
    assert_eq!(weights, ["7,000 lb", "700 lb"]);
    assert_eq!(fields.consignor.as_deref(), Some("Dunmore"));
}

#[test]
fn a_title_that_nothing_under_it_bears_out_is_not_believed() {
    let rows = "10/17/2026 09:05,41,10,7000\n10/17/2026 09:12,42,11,7700\n10/17/2026 09:20,43,9,6300\n";
    let read = export("a.csv", format!("Weighing,Trans,Head,Gross lb\n{rows}"));
    let numbers: Vec<_> = drafts(&read).iter().map(|fields| fields.transaction.unwrap().0).collect();
    assert_eq!(numbers, [41, 42, 43]);
    assert!(drafts(&read).iter().all(|fields| fields.at.is_some()));
}
