//! Nothing is lost and nothing invented: random days, printed in random layouts, against a truth known beforehand.
//!
//! The generator makes the weighings first and prints them afterwards, so that head, weight and tickets are known
//! without reading anything. Every run of these tests sees the same days.

use std::collections::{BTreeMap, BTreeSet};

use chrono::TimeDelta;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::Value;

use crate::support::program::Desk;
use crate::support::yard::{Column, Dates, Layout, Line, Weighing, sale_day};

/// A day as it happened, and the files an indicator wrote of it.
#[derive(Clone, Debug)]
struct SaleDay {
    /// Every weighing that was written, in order; no reprints.
    written: Vec<Weighing>,
    layout: Layout,
    files: Vec<Vec<Line>>,
    /// The list typed from the paper: number, head, gross.
    paper: BTreeMap<u32, (u64, u64)>,
}

/// What happened between two weighings.
#[derive(Clone, Copy, Debug)]
enum Between {
    Nothing,
    /// The row of so many weighings ago, word for word.
    Reprint(usize),
    /// An empty deck was written: it uses a number and weighs nothing.
    EmptyDeck,
    Junk(&'static str),
    Header,
    Lost(u64),
    Restart,
    SetAhead,
    NewFile,
}

fn between() -> impl Strategy<Value = Between> {
    prop_oneof![
        14 => Just(Between::Nothing),
        2 => (0..6usize).prop_map(Between::Reprint),
        1 => Just(Between::EmptyDeck),
        2 => prop::sample::select(vec!["", "### power restored ###", "End of list", "   ", "Ploverstone Yard"])
            .prop_map(Between::Junk),
        1 => Just(Between::Header),
        2 => (1..4u64).prop_map(Between::Lost),
        1 => Just(Between::Restart),
        1 => Just(Between::SetAhead),
        1 => Just(Between::NewFile),
    ]
}

/// Words of the trade for a column.
fn words(column: Column) -> Vec<&'static str> {
    match column {
        Column::Number => vec!["Transaction", "Draft no.", "Trans #", "No.", "Transaction Number"],
        Column::Date => vec!["Date", "Weigh date", "Sale date"],
        Column::Time => vec!["Time", "Weigh time", "Clock"],
        Column::Ticket => vec!["Ticket", "Ticket no.", "Scale ticket", "Tkt"],
        Column::Head => vec!["Head", "Hd", "Head count", "No. of head"],
        Column::Gross => vec!["Gross", "Gross weight", "Weight", "Wt"],
        Column::Unit => vec!["Unit", "Units", "UOM"],
        Column::Scale => vec!["Scale", "Scale ID"],
        Column::RowKind => vec!["Row type", "Record type"],
    }
}

fn layout() -> impl Strategy<Value = Layout> {
    let needed =
        [Column::Number, Column::Date, Column::Time, Column::Ticket, Column::Head, Column::Gross, Column::Unit];
    let columns = prop::sample::subsequence(vec![Column::Scale, Column::RowKind], 0..=2)
        .prop_map(move |extra| [&needed[..], &extra].concat())
        .prop_shuffle()
        .prop_flat_map(|columns| {
            columns.into_iter().map(|column| (Just(column), prop::sample::select(words(column)))).collect::<Vec<_>>()
        });
    let dates = prop::sample::select(vec![Dates::Mdy, Dates::Dmy, Dates::Ymd]);
    (
        prop::sample::select(vec![',', ';', '\t', '|']),
        columns,
        dates,
        any::<[bool; 3]>(),
        prop::sample::select(vec!["lb", "kg"]),
        prop::sample::select(vec!["\r\n", "\n"]),
    )
        .prop_map(|(delimiter, columns, dates, [twelve_hours, seconds, zeros], unit, line_end)| Layout {
            delimiter,
            columns,
            dates,
            twelve_hours,
            seconds,
            unit,
            scale: "S1",
            digits: if zeros { 6 } else { 1 },
            line_end,
        })
}

/// A weighing before it has a number: head, gross, seconds since the last one, whether a new ticket begins, whether the
/// ticket was keyed.
type Raw = (u64, u64, i64, bool, bool);

fn raw() -> impl Strategy<Value = Raw> {
    (1..40u64, 100..6_000u64, 65..400i64, prop::bool::weighted(0.35), prop::bool::weighted(0.95))
}

prop_compose! {
    fn day()(
        layout in layout(),
        first in 1..900u64,
        raw in prop::collection::vec((raw(), between()), 4..28),
        totals in prop::bool::ANY,
    ) -> SaleDay {
        written_down(layout, first, &raw, totals)
    }
}

fn written_down(layout: Layout, first: u64, raw: &[(Raw, Between)], totals: bool) -> SaleDay {
    let mut day = SaleDay { written: Vec::new(), layout, files: vec![vec![Line::Header]], paper: BTreeMap::new() };
    let (mut number, mut ticket, mut at) = (first, 501, sale_day(8, 0, 0));
    let mut session = 0;
    for (place, ((head, gross, seconds, new_ticket, keyed), between)) in raw.iter().enumerate() {
        if *new_ticket && place > 0 {
            close(&mut day, ticket, totals);
            ticket += 1;
        }
        at += TimeDelta::seconds(*seconds);
        // The last two digits tell the weights of a day apart, so that no two weighings are alike by chance.
        let gross = gross * 100 + u64::try_from(place).unwrap();
        let weighing = Weighing { number, at, ticket: keyed.then_some(ticket), head: *head, gross };
        if weighing.ticket.is_some() {
            let paper = day.paper.entry(ticket).or_default();
            *paper = (paper.0 + head, paper.1 + gross);
        }
        day.files.last_mut().unwrap().push(Line::Draft(weighing.clone()));
        day.written.push(weighing);
        number += 1;
        let file = day.files.last_mut().unwrap();
        match *between {
            Between::Nothing => {}
            Between::Reprint(ago) => {
                let of_session = &day.written[session..];
                file.push(Line::Draft(of_session[of_session.len() - 1 - ago % of_session.len()].clone()));
            }
            Between::EmptyDeck => {
                at += TimeDelta::seconds(60);
                file.push(Line::Draft(Weighing { number, at, ticket: None, head: 0, gross: 0 }));
                number += 1;
            }
            Between::Junk(text) => file.push(Line::Text(text)),
            Between::Header => file.push(Line::Header),
            Between::Lost(count) => number += count,
            Between::Restart => (number, session) = (1, day.written.len()),
            Between::SetAhead => (number, session) = (number + 5_000, day.written.len()),
            Between::NewFile => day.files.push(vec![Line::Header]),
        }
    }
    // A file that holds its header alone says nothing that could be lost.
    day.files.retain(|file| file.iter().any(|line| matches!(line, Line::Draft(_))));
    day
}

/// Prints the total of a ticket, where the indicator does so.
fn close(day: &mut SaleDay, ticket: u32, totals: bool) {
    let last = day.written.last().unwrap().at;
    if let Some((head, gross)) = day.paper.get(&ticket).copied()
        && totals
    {
        day.files.last_mut().unwrap().push(Line::Total { ticket, at: last, head, gross });
    }
}

impl SaleDay {
    fn texts(&self) -> Vec<String> {
        self.files.iter().map(|lines| self.layout.text(lines)).collect()
    }

    fn head(&self) -> u64 {
        self.written.iter().map(|weighing| weighing.head).sum()
    }

    fn gross(&self) -> u64 {
        self.written.iter().map(|weighing| weighing.gross).sum()
    }

    /// The list, with some tickets typed wrong, left off, or added that nobody weighed.
    fn list(&self, slips: &[Slip]) -> String {
        let mut list = format!("ticket{0}head{0}gross{0}unit\n", ',');
        for ((ticket, (head, gross)), slip) in self.paper.iter().zip(slips.iter().cycle()) {
            let (head, gross) = match slip {
                Slip::None => (*head, *gross),
                Slip::LeftOff => continue,
                Slip::Head(more) => (head + more, *gross),
                Slip::Gross(more) => (*head, gross + more),
            };
            list += &format!("{ticket},{head},{gross},{}\n", self.layout.unit);
        }
        list
    }
}

/// What went wrong when a ticket was typed.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Slip {
    None,
    LeftOff,
    Head(u64),
    Gross(u64),
}

fn slips() -> impl Strategy<Value = Vec<Slip>> {
    let slip = prop_oneof![
        5 => Just(Slip::None),
        1 => Just(Slip::LeftOff),
        1 => (1..9u64).prop_map(Slip::Head),
        1 => (1..9_000u64).prop_map(Slip::Gross),
    ];
    prop::collection::vec(slip, 1..7)
}

/// The day in a folder `stick`, under names that sort in the order written.
fn laid_out(day: &SaleDay) -> Desk {
    let desk = Desk::new();
    for (place, text) in day.texts().iter().enumerate() {
        desk.put(&format!("stick/{place}.csv"), text);
    }
    desk
}

fn counted(document: &Value) -> Vec<&Value> {
    let drafts = document["drafts"].as_array().unwrap().iter();
    drafts.filter(|draft| draft["standing"] == "counted").collect()
}

/// A weight or a count of the document; all days are in whole units.
fn whole(value: &Value) -> i64 {
    value.as_i64().unwrap_or_else(|| value.as_str().unwrap().parse().unwrap())
}

fn sum(drafts: &[&Value], field: &str) -> i64 {
    drafts.iter().map(|draft| whole(&draft[field])).sum()
}

fn ids(document: &Value) -> BTreeSet<&str> {
    document["drafts"].as_array().unwrap().iter().map(|draft| draft["id"].as_str().unwrap()).collect()
}

/// The same days on every run.
fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig {
        rng_seed: RngSeed::Fixed(20_261_017),
        failure_persistence: None,
        ..ProptestConfig::with_cases(cases)
    }
}

proptest! {
    #![proptest_config(cases(40))]

    #[test]
    fn every_line_is_accounted_for_and_every_weighing_counts_once(day in day()) {
        let desk = laid_out(&day);
        let (document, _) = desk.json(&["saleday", "stick"]);
        let exports = document["exports"].as_array().unwrap();
        prop_assert_eq!(exports.len(), day.files.len());
        for (export, (lines, text)) in exports.iter().zip(day.files.iter().zip(day.texts())) {
            let rows = export["rows"].as_object().unwrap();
            let sum: i64 = rows.values().map(whole).sum();
            prop_assert_eq!(sum, i64::try_from(lines.len()).unwrap(), "{:?} {}", rows, text);
            let of = |wanted: fn(&Line) -> bool| lines.iter().filter(|line| wanted(line)).count();
            prop_assert_eq!(&rows["drafts"], of(|line| matches!(line, Line::Draft(_))), "{}", text);
            prop_assert_eq!(&rows["totals"], of(|line| matches!(line, Line::Total { .. })), "{}", text);
            prop_assert_eq!(&rows["headers"], of(|line| matches!(line, Line::Header)), "{}", text);
        }
        let counted = counted(&document);
        let numbers: Vec<_> = counted.iter().map(|draft| whole(&draft["transaction"])).collect();
        let truth: Vec<_> = day.written.iter().map(|row| i64::try_from(row.number).unwrap()).collect();
        prop_assert_eq!(numbers, truth, "{}", day.texts().join("--\n"));
        prop_assert_eq!(sum(&counted, "head"), i64::try_from(day.head()).unwrap());
        prop_assert_eq!(sum(&counted, "gross"), i64::try_from(day.gross()).unwrap());

        let control = &document["control"];
        prop_assert_eq!(control.as_array().unwrap().len(), 1);
        prop_assert_eq!(&control[0]["records"], day.written.len());
        prop_assert_eq!(&control[0]["head"], day.head());
        prop_assert_eq!(whole(&control[0]["gross"]), i64::try_from(day.gross()).unwrap());
        prop_assert_eq!(&control[0]["transaction_hash_total"], day.written.iter().map(|row| row.number).sum::<u64>());
        prop_assert_eq!(&control[0]["unit"], day.layout.unit);
        prop_assert_eq!(&control[0]["proved"], true);
    }

    #[test]
    fn every_cell_is_read_as_it_was_meant(day in day()) {
        let desk = laid_out(&day);
        let (document, _) = desk.json(&["saleday", "stick"]);
        for (draft, truth) in counted(&document).iter().zip(&day.written) {
            let clock = if day.layout.seconds { "%Y-%m-%dT%H:%M:%S" } else { "%Y-%m-%dT%H:%M:00" };
            prop_assert_eq!(&draft["at"], &truth.at.format(clock).to_string());
            let ticket = truth.ticket.map(|ticket| ticket.to_string());
            prop_assert_eq!(draft["ticket"].as_str(), ticket.as_deref());
            prop_assert_eq!(&draft["unit"], day.layout.unit);
            let written = format!("{:01$}", truth.number, day.layout.digits);
            prop_assert_eq!(&draft["transaction_text"], &written);
            let line = day.layout.text(&[Line::Draft(truth.clone())]);
            let mut exports = document["exports"].as_array().unwrap().iter();
            let export = exports.find(|export| export["id"] == draft["origin"]["export"]);
            let text = desk.read(&format!("stick/{}", export.unwrap()["path"].as_str().unwrap()));
            let (at, number) = (whole(&draft["origin"]["byte"]), whole(&draft["origin"]["line"]));
            prop_assert!(text[usize::try_from(at).unwrap()..].starts_with(&line), "{} {}", at, text);
            let shown = text.lines().nth(usize::try_from(number).unwrap() - 1);
            prop_assert_eq!(shown, line.lines().next());
        }
    }
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn the_balance_balances(day in day(), slips in slips()) {
        let desk = laid_out(&day);
        desk.put("list.csv", day.list(&slips));
        let (document, _) = desk.json(&["saleday", "stick", "--tickets", "list.csv"]);
        let balance = document["balance"].as_array().unwrap();
        prop_assert_eq!(balance.len(), 1);
        let balance = &balance[0];
        for field in ["head", "gross"] {
            let of = |part: &str| whole(&balance[part][field]);
            prop_assert_eq!(of("drafts"), sum(&counted(&document), field));
            prop_assert_eq!(of("drafts"), of("on_tickets") + of("without_ticket"));
            prop_assert_eq!(of("difference"), of("stated") - of("on_tickets"));
            prop_assert_eq!(of("difference"), of("difference_explained") + of("difference_open"));
        }
        let unticketed = document["unticketed"].as_array().unwrap();
        let counted = counted(&document);
        let without: Vec<_> = counted.into_iter().filter(|draft| unticketed.contains(&draft["id"])).collect();
        prop_assert_eq!(whole(&balance["without_ticket"]["gross"]), sum(&without, "gross"));
    }

    #[test]
    fn tickets_typed_right_tie_and_tickets_typed_wrong_do_not(day in day(), slips in slips()) {
        let desk = laid_out(&day);
        desk.put("list.csv", day.list(&slips));
        let (document, exit) = desk.json(&["saleday", "stick", "--tickets", "list.csv"]);
        let mut wrong = false;
        for ((number, (head, gross)), slip) in day.paper.iter().zip(slips.iter().cycle()) {
            let tickets = document["tickets"].as_array().unwrap();
            let name = number.to_string();
            let found = tickets.iter().find(|ticket| ticket["ticket"] == name && ticket["source"] == "stated");
            wrong |= *slip != Slip::None;
            let Some(found) = found else {
                prop_assert_eq!(*slip, Slip::LeftOff, "{}", number);
                continue;
            };
            prop_assert_eq!(found["outcome"] == "tied", *slip == Slip::None, "{} {:?} {}", number, slip, found);
            prop_assert_eq!(&found["found"]["head"], head);
            prop_assert_eq!(whole(&found["found"]["gross"]), i64::try_from(*gross).unwrap());
        }
        if wrong {
            prop_assert_eq!(exit, 1);
        }
    }
}

proptest! {
    #![proptest_config(cases(16))]

    #[test]
    fn ids_do_not_depend_on_order(day in day(), reversed in any::<bool>()) {
        let desk = laid_out(&day);
        let (document, _) = desk.json(&["saleday", "stick"]);
        let one_way: Vec<_> = (0..day.files.len()).map(|place| format!("stick/{place}.csv")).collect();
        let other_way: Vec<_> = one_way.iter().rev().cloned().collect();
        for names in [&one_way, &other_way] {
            let line: Vec<_> = std::iter::once("saleday").chain(names.iter().map(String::as_str)).collect();
            let (again, _) = desk.json(&line);
            prop_assert_eq!(ids(&again), ids(&document));
            prop_assert_eq!(&again["control"][0]["gross"], &document["control"][0]["gross"]);
        }
        if reversed {
            for (place, lines) in day.files.iter().enumerate() {
                let mut lines = lines.clone();
                lines[1..].reverse();
                desk.put(&format!("turned/{place}.csv"), day.layout.text(&lines));
            }
            let (turned, _) = desk.json(&["saleday", "turned"]);
            prop_assert_eq!(ids(&turned), ids(&document));
        }
    }
}

proptest! {
    #![proptest_config(cases(16))]

    /// Numbers of one scale do not fill the holes of another, and are no clash with them.
    #[test]
    fn two_scales_are_two_runs_of_numbers(left in day(), right in day()) {
        let scaled = |day: &SaleDay, scale| {
            let mut layout = day.layout.clone();
            layout.columns.retain(|(column, _)| *column != Column::Scale);
            layout.columns.insert(2, (Column::Scale, "Scale"));
            Layout { scale, unit: "lb", ..layout }
        };
        let desk = Desk::new();
        for (day, scale) in [(&left, "S1"), (&right, "S2")] {
            for (place, lines) in day.files.iter().enumerate() {
                desk.put(&format!("stick/{place}-{scale}.csv"), scaled(day, scale).text(lines));
            }
        }
        let (document, _) = desk.json(&["saleday", "stick"]);
        for (day, scale) in [(&left, "S1"), (&right, "S2")] {
            let own: Vec<_> = counted(&document).into_iter().filter(|draft| draft["indicator"] == scale).collect();
            prop_assert_eq!(own.len(), day.written.len(), "{}", scale);
            prop_assert_eq!(sum(&own, "head"), i64::try_from(day.head()).unwrap());
            prop_assert_eq!(sum(&own, "gross"), i64::try_from(day.gross()).unwrap());
        }
let indicator = |id: &Value| {
            let draft = document["drafts"].as_array().unwrap().iter().find(|draft| draft["id"] == *id);
            draft.map(|draft| &draft["indicator"])
        };
        for event in document["sequence"].as_array().unwrap() {
            for beside in [&event["after_draft"], &event["before_draft"]] {
                prop_assert!(indicator(beside).is_none_or(|own| *own == event["indicator"]), "{}", event);
            }
        }
        prop_assert_eq!(whole(&document["control"][0]["gross"]), i64::try_from(left.gross() + right.gross()).unwrap());
    }
}

/// An export of the numbers and weights given, a minute apart from 8:00 by their second figure.
fn export(rows: &[(u64, u32, u64)]) -> String {
    let weighing =
        |&(number, minute, gross)| Weighing { number, at: sale_day(8, minute, 0), ticket: Some(501), head: 10, gross };
    Layout::plain().export(&rows.iter().map(weighing).collect::<Vec<_>>())
}

#[test]
fn a_copy_of_either_draft_of_a_clash_counts_once() {
    let desk = Desk::new();
    for again in [(1, 1, 1_000), (1, 2, 1_001)] {
        desk.put("stick/day.csv", export(&[(1, 1, 1_000), (1, 2, 1_001), (2, 3, 1_002), (3, 4, 1_003), again]));
        let (document, _) = desk.json(&["saleday", "stick"]);
        assert_eq!(document["control"][0]["gross"], "4006", "{again:?}: {}", document["sequence"]);
    }
}

/// The files lie beside each other on one stick or on two: what happened does not depend on which is named first.
#[test]
fn totals_and_events_do_not_depend_on_the_order_of_sources() {
    let late_copy = [
        export(&[(1, 1, 1_000), (2, 2, 1_001), (3, 3, 1_002)]),
        export(&[(4, 4, 1_003), (2, 2, 1_001), (5, 5, 1_004)]),
    ];
    let restarted = [
        export(&[(1, 1, 1_000), (2, 2, 1_001), (3, 3, 1_002), (1, 4, 1_003)]),
        export(&[(2, 5, 1_004), (1, 4, 1_003), (3, 6, 1_005), (4, 7, 1_006), (5, 8, 1_007), (2, 5, 1_004)]),
    ];
    let desk = Desk::new();
    for [first, second] in [late_copy, restarted] {
        desk.put("a.csv", first);
        desk.put("b.csv", second);
        let (one_way, _) = desk.json(&["saleday", "a.csv", "b.csv"]);
        let (other_way, _) = desk.json(&["saleday", "b.csv", "a.csv"]);
        for part in ["control", "sequence", "sessions"] {
            assert_eq!(one_way[part], other_way[part], "{part}");
        }
    }
}

/// Without any trouble nothing is found missing, and nobody is needed.
#[test]
fn a_day_without_trouble_is_clean_in_every_layout() {
    let raw: Vec<_> =
        (1..15u64).map(|n| ((n % 9 + 3, 700 + n * 37, 140, n % 4 == 1, true), Between::Nothing)).collect();
    let mut runner = proptest::test_runner::TestRunner::new(cases(20));
    let strategy = (layout(), any::<bool>());
    runner
        .run(&strategy, |(layout, totals)| {
            let day = written_down(layout, 1, &raw, totals);
            let desk = laid_out(&day);
            desk.put("list.csv", day.list(&[Slip::None]));
            let (document, exit) = desk.json(&["saleday", "stick", "--tickets", "list.csv"]);
            prop_assert_eq!(exit, 0, "{} {}", day.texts().concat(), document["findings"]);
            prop_assert_eq!(&document["control"][0]["missing"], 0);
            prop_assert_eq!(&document["sequence"], &Value::Array(Vec::new()));
            Ok(())
        })
        .unwrap();
}
