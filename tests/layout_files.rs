//! Layout files: what is written is read back the same, keeps to its schema, and what is wrong with one is named.

use counterfoil::export::{
    CellType, Clock, DateHints, DateOrder, DescribedFile, FileContent, KnownColumn, KnownLayout, LineEnd, Meaning,
    Shape, UnitStated, describe, known_layout, read_known,
};
use counterfoil::units::Unit;
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::support::program::project;
use crate::support::schema::assert_valid;

const FILE: DescribedFile<'static> = DescribedFile { name: "Day 1.CSV", bytes: 812, sha256: SUM };
const SUM: &str = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08";

fn column(meaning: Meaning, cells: CellType) -> KnownColumn {
    KnownColumn { title: None, meaning, unit: None, cells, group_mark: None, bare: true }
}

fn any_order() -> impl Strategy<Value = Option<DateOrder>> {
    prop_oneof![Just(None), Just(Some(DateOrder::Mdy)), Just(Some(DateOrder::Dmy)), Just(Some(DateOrder::Ymd))]
}

fn any_shape() -> impl Strategy<Value = Shape> {
    let mark = prop_oneof![Just(','), Just(';'), Just('\t'), Just('|')].prop_map(Shape::Delimited);
    let starts = Just(Shape::Columns((0..COLUMNS).map(|index| 4 * index).collect()));
    prop_oneof![mark, starts, (1_usize..=16).prop_map(Shape::Blanks)]
}

/// A title of the hard kind: of other letters, like another's, or like a name that would be made up.
fn any_title() -> impl Strategy<Value = Option<String>> {
    let title =
        prop_oneof![Just("Weight"), Just("head"), Just("Stück \"A\""), Just("column 7"), Just("Ø"), Just("ticket")];
    prop_oneof![Just(None), title.prop_map(|title| Some(title.to_owned()))]
}

const COLUMNS: usize = 7;

/// A pattern that agrees with an order, which is what such files have.
fn pattern(order: Option<DateOrder>) -> String {
    let pattern = match order {
        None => "any",
        Some(DateOrder::Mdy) => "%m/%d/%Y",
        Some(DateOrder::Dmy) => "%d-%b-%y",
        Some(DateOrder::Ymd) => "%Y-%m-%d",
    };
    pattern.to_owned()
}

prop_compose! {
    fn any_columns(order: Option<DateOrder>, mark: char)
        (titles in prop::collection::vec(any_title(), COLUMNS), unit in any_unit(), bare in any::<bool>(), grouped in any::<bool>())
        -> Vec<KnownColumn>
    {
        use Meaning::{Date, Gross, Head, Ignored, Ticket, Time, Transaction};
        let figures = KnownColumn { unit, bare, ..column(Gross, CellType::Figure) };
        let group_mark = grouped.then_some(if mark == ',' { '.' } else { ',' });
        let columns = vec![
            column(Transaction, CellType::Whole),
            column(Date, CellType::Date(pattern(order))),
            column(Time, CellType::Time("%I:%M:%S %p".to_owned())),
            column(Ticket, CellType::Text),
            KnownColumn { bare, ..column(Head, CellType::Whole) },
            KnownColumn { group_mark, ..figures },
            column(Ignored, CellType::Text),
        ];
        columns.into_iter().zip(titles).map(|(column, title)| KnownColumn { title, ..column }).collect()
    }
}

fn any_unit() -> impl Strategy<Value = Option<Unit>> {
    prop_oneof![Just(None), Just(Some(Unit::Pound)), Just(Some(Unit::Kilogram))]
}

prop_compose! {
    fn any_layout()
        (order in any_order(), mark in prop_oneof![Just('.'), Just(',')])
        (order in Just(order), mark in Just(mark), columns in any_columns(order, mark), shape in any_shape(),
         encoding in prop_oneof![Just("utf-8"), Just("utf-16le"), Just("windows-1252"), Just("cp850"), Just("cp437")],
         line_end in prop_oneof![Just(LineEnd::Lf), Just(LineEnd::CrLf), Just(LineEnd::Cr)],
         title_lines in prop_oneof![Just(vec![]), Just(vec![1_u64]), Just(vec![3, 4])],
         comment_lines in prop_oneof![Just(vec![]), Just(vec![5_u64])],
         clock in prop_oneof![Just(None), Just(Some(Clock::Twelve)), Just(Some(Clock::TwentyFour))],
         unit in any_unit(), byte_order_mark in any::<bool>(),
         unit_stated in prop_oneof![Just(UnitStated::Titles), Just(UnitStated::UnitsRow), Just(UnitStated::Nowhere)],
         missing in prop_oneof![Just(vec![String::new()]), Just(vec![String::new(), "--".to_owned()])])
        -> KnownLayout
    {
        let headed = !title_lines.is_empty();
        let bare = |column: KnownColumn| KnownColumn { title: column.title.filter(|_| headed), ..column };
        KnownLayout {
            encoding, byte_order_mark, shape, line_end, title_lines, comment_lines, decimal_mark: mark, date_order: order,
            clock, unit, unit_stated, missing, columns: columns.into_iter().map(bare).collect(),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_layout_comes_back_as_it_was(layout in any_layout()) {
        let descriptor = describe(&layout, FILE);
        let text = descriptor.to_json().unwrap();
        assert_valid("layout.schema.json", &serde_json::from_str(&text).unwrap());
        let back = known_layout(&text).unwrap();
        prop_assert_eq!(&back, &layout);
        prop_assert_eq!(describe(&back, FILE), descriptor);
    }
}

/// The smallest file that is a layout: a Data Resource with meanings, everything else as the standard sets it.
fn smallest() -> Value {
    json!({
        "name": "day",
        "path": "day.csv",
        "schema": { "fields": [
            { "name": "No", "type": "integer", "counterfoil:meaning": "transaction" },
            { "name": "Day", "type": "date", "format": "%d.%m.%Y", "counterfoil:meaning": "date" },
            { "name": "Lbs", "type": "number", "counterfoil:meaning": "gross" },
        ] },
    })
}

/// What the standard sets where nothing is said: Data Package version 2, Table Dialect and Table Schema (from memory).
#[test]
fn what_is_left_out_is_as_the_standard_has_it() {
    let layout = known_layout(&smallest().to_string()).unwrap();
    assert_eq!(layout.encoding, "utf-8");
    assert_eq!(layout.shape, Shape::Delimited(','));
    assert_eq!((layout.line_end, layout.decimal_mark), (LineEnd::CrLf, '.'));
    assert_eq!(layout.title_lines, [1]);
    assert_eq!(layout.missing, [""]);
    assert_eq!(layout.columns[2].title.as_deref(), Some("Lbs"));
    assert_eq!(layout.date_order, Some(DateOrder::Dmy), "the pattern tells");
}

#[test]
fn properties_of_others_are_passed_over() {
    let mut file = smallest();
    file["licenses"] = json!([{ "name": "CC0-1.0" }]);
    file["schema"]["fields"][0]["constraints"] = json!({ "required": true });
    assert_eq!(known_layout(&file.to_string()), known_layout(&smallest().to_string()));
}

/// Sets the value at a path such as `schema.fields[1].type`.
fn set(file: &mut Value, pointer: &str, value: Value) {
    let (above, last) = pointer.rsplit_once('/').unwrap();
    let above = file.pointer_mut(above).unwrap_or_else(|| panic!("{pointer}"));
    match above {
        Value::Array(items) => items[last.parse::<usize>().unwrap()] = value,
        other => other[last] = value,
    }
}

#[test]
fn what_is_wrong_is_named() {
    let own = || json!({ "shape": "fixed-width", "starts": [0, 5, 9] });
    let wrong: [(&str, Value, &str); 21] = [
        ("/encoding", json!("utf-9"), "encoding: names an encoding that is not known"),
        ("/encoding", json!(8), "encoding: must be a text"),
        ("/dialect", json!([]), "dialect: must be a JSON object"),
        ("/dialect", json!({ "delimiter": ":" }), "dialect.delimiter: must be , ; | or a tab"),
        ("/dialect", json!({ "delimiter": ";;" }), "dialect.delimiter: must be one character"),
        ("/dialect", json!({ "quoteChar": "'" }), "dialect.quoteChar: must be \""),
        ("/dialect", json!({ "escapeChar": "\\" }), "dialect.escapeChar: is not followed"),
        ("/dialect", json!({ "header": "yes" }), "dialect.header: must be true or false"),
        ("/dialect", json!({ "headerRows": [2, 4] }), "dialect.headerRows: must name one line, or two"),
        ("/dialect", json!({ "headerRows": [0] }), "dialect.headerRows: counts lines from 1"),
        ("/dialect", json!({ "lineTerminator": ";" }), "dialect.lineTerminator: must be"),
        ("/schema/fields", json!([]), "schema.fields: must list the columns"),
        ("/schema/fields/1/name", json!(null), "schema.fields[1].name: is missing"),
        ("/schema/fields/1/type", json!("year"), "schema.fields[1].type: is \"year\""),
        (
            "/schema/fields/0/counterfoil:meaning",
            json!("number"),
            "schema.fields[0].counterfoil:meaning: must be a meaning",
        ),
        ("/schema/fields/0/counterfoil:meaning", json!("ignored"), "schema.fields: has no field whose"),
        (
            "/schema/fields/2/counterfoil:meaning",
            json!("date"),
            "schema.fields[2].counterfoil:meaning: is that of a field",
        ),
        ("/schema/fields/2/decimalChar", json!("'"), "schema.fields[2].decimalChar: must be . or ,"),
        ("/counterfoil:layout", json!({ "date_order": "mdy" }), "schema.fields[1].format: names another order"),
        ("/counterfoil:layout", json!({ "version": 2 }), "counterfoil:layout.version: is 2"),
        ("/counterfoil:layout", json!({ "unit": "stone" }), "counterfoil:layout.unit: must be lb or kg"),
    ];
    for (pointer, value, message) in wrong {
        let mut file = smallest();
        set(&mut file, pointer, value);
        let said = known_layout(&file.to_string()).expect_err(pointer).to_string();
        assert!(said.starts_with(message), "{pointer}: {said}");
    }
    let mut file = smallest();
    set(&mut file, "/counterfoil:layout", own());
    assert!(known_layout(&file.to_string()).is_ok());
    for (starts, message) in [
        (json!([0, 5]), "names 2 places"),
        (json!([0, 9, 5]), "must rise"),
        (json!([0, 5, u64::MAX]), "must lie at most 4096 letters"),
        (json!([0, -1, 5]), "must be a list"),
    ] {
        let mut file = smallest();
        set(&mut file, "/counterfoil:layout", own());
        set(&mut file, "/counterfoil:layout/starts", starts);
        let said = known_layout(&file.to_string()).unwrap_err();
        assert_eq!(said.field, "counterfoil:layout.starts");
        assert!(said.what.contains(message), "{said}");
    }
}

/// Examples spoiled at random, read by their own layouts: nothing stops the program, and every line is accounted for.
#[test]
fn spoiled_exports_lose_no_line() {
    let folder = project("sample-data/layouts");
    for (export, layout) in [
        ("sorrel-flat.txt", "sorrel-flat.json"),
        ("heron-gate.csv", "heron-gate.json"),
        ("marsh-lane.tsv", "marsh-lane.json"),
        ("teal-bottoms.csv", "teal-bottoms.json"),
    ] {
        let bytes = std::fs::read(folder.join(export)).unwrap();
        let known = known_layout(&std::fs::read_to_string(folder.join(layout)).unwrap()).unwrap();
        let (mut read, mut by_layout) = (0, 0);
        for n in 0..400_usize {
            let mut spoiled = bytes.clone();
            for (at, with) in [(n * 7919, n % 251), (n * 104_729, n % 13)] {
                let at = at % spoiled.len();
                spoiled[at] = u8::try_from(with).unwrap();
            }
            spoiled.truncate(bytes.len() - n % 97);
            let file = FileContent { bytes: &spoiled, unreadable: &[], medium_offset: &|_| None };
            let Some(content) = read_known(file, &DateHints::default(), Some(&known)) else { continue };
            let counts = &content.counts;
            let told =
                counts.drafts + counts.totals + counts.headers + counts.banners + counts.blank + counts.unreadable;
            assert_eq!(told, content.text.len(), "{export} {n}");
            assert_eq!(content.layout.given, content.misfit.is_none(), "{export} {n}");
            read += 1;
            by_layout += usize::from(content.layout.given);
        }
        assert!(read > 300 && by_layout > 200, "{export}: {read} read, {by_layout} by the layout");
    }
}

#[test]
fn what_is_no_layout_at_all_is_said() {
    for text in ["", "{", "[]", "7", "transaction,head,gross\n"] {
        let said = known_layout(text).unwrap_err();
        assert_eq!(said.field, "the file", "{text}: {said}");
    }
    assert_eq!(known_layout("{}").unwrap_err().field, "schema.fields");
    let deep = "[".repeat(100_000);
    assert_eq!(known_layout(&deep).unwrap_err().field, "the file");
}
