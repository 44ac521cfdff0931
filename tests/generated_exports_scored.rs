//! The judge of the reading of exports: a perfect answer scores all, each fault lowers its own figure; and the reader itself.

use serde_json::{Value, json};

use crate::support::exports::perfect::{perfect, perfect_table};
use crate::support::exports::score::{DateVerdict, Judged, judge};
use crate::support::exports::tables::Score;
use crate::support::exports::truth::DateTruth;
use crate::support::exports::{Case, SCORING_SEEDS, WORKING_SEEDS, duck, reader};

fn cases(count: u64) -> impl Iterator<Item = Case> {
    (WORKING_SEEDS..WORKING_SEEDS + count).map(Case::of)
}

fn score(cases: &[Case], answer: impl Fn(&Case) -> Value) -> Score {
    cases.iter().fold(Score::default(), |mut score, case| {
        score.add(case, &judge(&answer(case), case));
        score
    })
}

#[test]
fn a_perfect_answer_scores_all() {
    let cases: Vec<_> = cases(300).chain((SCORING_SEEDS..SCORING_SEEDS + 100).map(Case::of)).collect();
    let score = score(&cases, perfect);
    assert!(score.held_out.of > 0 && score.held_out.right == score.held_out.of);
    for (name, share) in score.shares() {
        assert!(share.of > 0, "nothing is measured of {name}");
        assert_eq!(share.right, share.of, "{name}");
    }
    let told = [&score.by_pollution, &score.by_layout].map(Score::grouped).concat();
    assert!(told.lines().count() > 60 && told.lines().all(|line| line.contains("100.00 %")), "{told}");
    let good = [DateVerdict::NoDate, DateVerdict::Right, DateVerdict::RightlyUndecidable];
    assert!(score.dates.keys().all(|verdict| good.contains(verdict)), "{:?}", score.dates);
    assert_eq!(score.dates.len(), 3);
}

#[test]
fn no_answer_scores_nothing() {
    let cases: Vec<_> = cases(50).collect();
    let score = score(&cases, |_| json!({ "exports": [], "drafts": [] }));
    for (name, share) in score.shares().iter().filter(|(name, _)| *name != "encoding") {
        assert_eq!(share.right, 0, "{name}");
    }
    assert_eq!(score.dates.keys().collect::<Vec<_>>(), [&DateVerdict::Unread]);
}

/// A clean export with dates that decide their order.
fn clean() -> Case {
    let is_plain = |case: &Case| case.layout.name == "plain comma" && matches!(case.truth.dates, DateTruth::Decided(_));
    cases(2_000).find(|case| case.clean() && is_plain(case)).unwrap()
}

fn spoilt(case: &Case, spoil: impl FnOnce(&mut Value)) -> Judged {
    let mut document = perfect(case);
    spoil(&mut document);
    judge(&document, case)
}

#[test]
fn a_wrong_lost_or_invented_row_is_not_exact() {
    let case = clean();
    let difference = |spoil: fn(&mut Value)| spoilt(&case, spoil).difference.unwrap_or_default();
    assert_eq!(spoilt(&case, |_| ()).difference, None);
    for field in ["transaction", "transaction_text", "at", "at_precision", "ticket", "head", "gross", "unit", "average"]
    {
        for wrong in [Value::Null, json!("0"), json!(0)] {
            let judged = spoilt(&case, |document| document["drafts"][1][field] = wrong);
            assert!(judged.difference.unwrap().starts_with(&format!("row 2, {field}: ")));
        }
    }
    for field in
        ["lot", "tare", "net", "shrink_percent", "pay_weight", "kind", "consignor", "buyer", "weigher", "remark"]
    {
        let judged = spoilt(&case, |document| document["drafts"][0][field] = json!("12"));
        assert!(!judged.exact, "an invented {field}");
    }
    let lost = difference(|document| drop(document["drafts"].as_array_mut().unwrap().pop()));
    assert!(lost.contains("is lost"), "{lost}");
    let extra = difference(|document| {
        let mut again = document["drafts"][0].clone();
        again["origin"]["byte"] = json!(1_000_000);
        document["drafts"].as_array_mut().unwrap().push(again);
    });
    assert!(extra.starts_with("a row too many"), "{extra}");
    let gross = |document: &mut Value| {
        let more = format!("{}.0", document["drafts"][0]["gross"].as_str().unwrap());
        document["drafts"][0]["gross"] = json!(more);
    };
    assert_eq!(difference(gross), "", "the same weight with an idle zero");
}

/// Each fault of the layout or the counts lowers its own figure and leaves the rows exact.
#[test]
fn each_fault_lowers_its_own_figure() {
    let case = clean();
    let layout = |field: &'static str, wrong: Value| {
        spoilt(&case, move |document| document["exports"][0]["layout"][field] = wrong)
    };
    let good = spoilt(&case, |_| ());
    assert_eq!(layout("encoding", json!("utf-16le")), Judged { encoding: false, ..good.clone() });
    assert_eq!(layout("encoding", json!("cp437")), good, "plain letters are the same in every page");
    assert_eq!(layout("delimiter", json!(";")), Judged { delimiter: false, ..good.clone() });
    assert_eq!(layout("decimal_mark", json!(",")), Judged { decimal_mark: Some(false), ..good.clone() });
    assert_eq!(layout("clock", json!("24h")), Judged { clock: Some(false), ..good.clone() });
    assert_eq!(layout("date_order", json!("dmy")), Judged { dates: DateVerdict::Wrong, ..good.clone() });
    let null = layout("date_order", Value::Null);
    assert_eq!(null, Judged { dates: DateVerdict::NeedlesslyUndecidable, ..good.clone() });
    let column = spoilt(&case, |document| {
        document["exports"][0]["layout"]["columns"][3]["meaning"] = json!("lot");
    });
    assert_eq!(column, Judged { titled: (good.titled.0 - 1, good.titled.1), ..good.clone() });
    assert_eq!((good.faults(), column.faults()), (String::new(), "meanings".to_owned()));
    let counted = |kind: &str, more: u64| {
        spoilt(&case, |document| {
            let rows = &mut document["exports"][0]["rows"];
            rows[kind] = json!(rows[kind].as_u64().unwrap() + more);
        })
    };
    assert_eq!(counted("blank", 1), Judged { lines: false, ..good.clone() });
    assert_eq!(counted("totals", 1), Judged { lines: false, totals: false, ..good.clone() });
    let twice = spoilt(&case, |document| {
        let again = document["exports"][0].clone();
        document["exports"].as_array_mut().unwrap().push(again);
    });
    assert!(!twice.exact && !twice.listed && !twice.lines);
}

#[test]
fn an_order_nothing_tells_must_not_be_named() {
    let case = cases(2_000).find(|case| case.truth.dates == DateTruth::Undecidable).unwrap();
    let named = spoilt(&case, |document| document["exports"][0]["layout"]["date_order"] = json!("mdy"));
    assert_eq!((named.dates, named.exact), (DateVerdict::SilentlyDecided, true));
    // Either reading of all rows is right; one of some rows and the other of the rest is not.
    let other = |document: &mut Value, rows: usize| {
        for (draft, row) in document["drafts"].as_array_mut().unwrap().iter_mut().zip(&case.truth.rows).take(rows) {
            draft["at"] = json!(row.readings[1].1);
        }
    };
    assert!(spoilt(&case, |document| other(document, usize::MAX)).exact);
    assert!(!spoilt(&case, |document| other(document, 1)).exact);
}

#[test]
fn torn_rows_and_meanings_without_titles_have_their_own_figures() {
    let torn = cases(2_000).find(|case| case.truth.torn > 0 && case.truth.lines.clone().count() == 1).unwrap();
    let judged = spoilt(&torn, |document| document["exports"][0]["rows"]["unreadable"] = json!(torn.truth.torn - 1));
    assert_eq!((judged.torn, judged.lines), (Some(false), false));
    let headless = cases(2_000).find(|case| case.layout.name == "no header, comma").unwrap();
    let judged = spoilt(&headless, |document| {
        document["exports"][0]["layout"]["columns"][0]["meaning"] = json!("ticket");
    });
    assert_eq!((judged.titled, judged.untitled), ((0, 0), (5, 6)));
}

#[test]
fn letters_in_a_wrong_page_are_a_wrong_encoding() {
    let case = cases(4_000).find(|case| case.truth.encoding == "cp850").unwrap();
    let named =
        |name: &str| spoilt(&case, |document| document["exports"][0]["layout"]["encoding"] = json!(name)).encoding;
    assert_eq!([named("cp850"), named("windows-1252"), named("no such page")], [true, false, false]);
}

/// The outside judge is judged by the same truth: a table as it is printed is exact, and each cell of it counts.
#[test]
fn a_table_with_a_wrong_cell_is_not_exact() {
    for case in cases(200).filter(|case| !case.truth.rows.is_empty()) {
        let table = perfect_table(&case);
        assert!(duck::exact(&case, &table), "seed {}: {}", case.seed, case.layout.name);
        let gross = case.layout.position("gross").unwrap();
        let mut wrong = table.clone();
        wrong["rows"][0][gross] = json!("7");
        assert!(!duck::exact(&case, &wrong));
        let mut lost = table.clone();
        lost["rows"].as_array_mut().unwrap().pop();
        assert!(!duck::exact(&case, &lost));
    }
}

/// A plain file is no difficulty for it, and one that is cut is told from it.
#[test]
fn the_outside_judge_reads_a_plain_file() {
    let case = clean();
    let mut lost = case.clone();
    lost.truth.rows.pop();
    if let Some(exact) = duck::duckdb(&[case, lost]) {
        assert_eq!(exact, [true, false]);
    }
}

/// No export stops the reader, and of none that it lists is a line unaccounted for. How many are read exactly is measured
/// by the bench on more of them; here it may not fall far below that.
#[test]
fn invented_exports_are_read_without_losing_a_line() {
    let mut score = Score::default();
    for case in cases(150) {
        let document = reader::counterfoil(&case.bytes)
            .unwrap_or_else(|words| panic!("seed {}, {}: {words}", case.seed, case.befallen()));
        let judged = judge(&document, &case);
        assert!(judged.lines, "seed {}, {}, {}", case.seed, case.layout.name, case.befallen());
        score.add(&case, &judged);
    }
    for (what, share) in score.shares() {
        assert!(share.hundredths() >= 9_500, "{what}: {share:?}");
    }
}
