//! What is decided on an export as a whole does not hang on the order of its rows, on its line ends, on where it was cut or
//! on whether its rows stand twice.

use std::sync::LazyLock;

use counterfoil::export::{Content, DateHints, Meaning, read_content};
use proptest::prelude::*;

use crate::support::exports::layout::COMMON;
use crate::support::exports::{Case, WORKING_SEEDS};

/// One clean export of every layout the generator knows.
static EXPORTS: LazyLock<Vec<Case>> = LazyLock::new(|| {
    let long = |case: &Case| case.truth.rows.len() >= 12;
    let of = |layout| (WORKING_SEEDS..).filter_map(move |seed| Case::polluted(seed, layout, vec![])).find(long);
    COMMON.iter().filter_map(of).collect()
});

fn read(text: &str) -> Option<Content> {
    read_content(text.as_bytes(), &DateHints::default(), &|_| None)
}

/// Everything that is decided once, but the order of dates, which fewer dates may leave open.
fn decided(content: &Content) -> (char, char, String, Vec<Meaning>) {
    let layout = &content.layout;
    let meanings = layout.columns.iter().map(|column| column.meaning).collect();
    (layout.shape.delimiter(), layout.decimal_mark, format!("{:?} {:?}", layout.unit, layout.clock), meanings)
}

fn assert_decided_alike(name: &str, whole: &Content, changed: &Content) {
    assert_eq!(decided(changed), decided(whole), "{name}");
    let (ours, theirs) = (whole.layout.date_order, changed.layout.date_order);
    assert!(theirs.is_none() || ours.is_none() || ours == theirs, "{name}: {ours:?} became {theirs:?}");
}

/// The lines of the header, and those of the rows.
fn parts(case: &Case) -> (Vec<&str>, Vec<&str>) {
    let lines: Vec<&str> = case.truth.text.lines().collect();
    let header = read(&case.truth.text).unwrap().layout.header_lines as usize;
    (lines[..header].to_vec(), lines[header..].to_vec())
}

fn joined(header: &[&str], rows: &[&str], end: &str) -> String {
    header.iter().chain(rows).map(|line| format!("{line}{end}")).collect()
}

#[test]
fn every_layout_has_a_long_export() {
    assert!(EXPORTS.len() >= 40, "{}", EXPORTS.len());
    for case in EXPORTS.iter() {
        assert!(read(&case.truth.text).is_some(), "{}", case.layout.name);
    }
}

#[test]
fn line_ends_and_doubled_rows_change_nothing() {
    for case in EXPORTS.iter() {
        let whole = read(&case.truth.text).unwrap();
        let (header, rows) = parts(case);
        for end in ["\n", "\r\n", "\r"] {
            let changed = read(&joined(&header, &rows, end)).unwrap();
            assert_decided_alike(case.layout.name, &whole, &changed);
            assert_eq!(changed.counts.drafts, whole.counts.drafts, "{}", case.layout.name);
        }
        let twice: Vec<&str> = rows.iter().flat_map(|row| [*row, *row]).collect();
        assert_decided_alike(case.layout.name, &whole, &read(&joined(&header, &twice, "\n")).unwrap());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_rows_changes_nothing(number in 0..40_usize, order in Just((0..12).collect::<Vec<usize>>()).prop_shuffle()) {
        let case = &EXPORTS[number];
        let whole = read(&case.truth.text).unwrap();
        let (header, rows) = parts(case);
        let shuffled: Vec<&str> = rows.chunks(12).flat_map(|rows| order.iter().filter_map(|at| rows.get(*at)).copied()).collect();
        assert_decided_alike(case.layout.name, &whole, &read(&joined(&header, &shuffled, "\n")).unwrap());
    }

    /// A cut takes at most its own row; what is decided on the rest stays, or is said to be open.
    #[test]
    fn a_cut_changes_nothing_before_it(number in 0..40_usize, share in 60..100_usize) {
        let case = &EXPORTS[number];
        let whole = read(&case.truth.text).unwrap();
        let text = &case.truth.text;
        let cut = text.floor_char_boundary(text.len() * share / 100);
        let changed = read(&text[..cut]).unwrap();
        assert_decided_alike(case.layout.name, &whole, &changed);
        let lines = text[..cut].matches('\n').count() as u64;
        let header = u64::from(changed.layout.header_lines);
        prop_assert!(changed.counts.drafts + changed.counts.totals + header >= lines, "{}: cut at {}", case.layout.name, cut);
    }
}
