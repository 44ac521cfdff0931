//! The search for the cheapest explanation of a run, beside a twin that tries every explanation there is.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use counterfoil::draft::{self, Draft};
use counterfoil::sequence::search::{Paper, Run, State, least_cost, stories};
use proptest::prelude::*;

use crate::support::texts::export;

/// What the cheapest explanation costs, found by trying all of them.
fn tried_out(run: &Run<'_>, row: usize, state: State) -> u32 {
    if row == run.drafts.len() {
        return 0;
    }
    let costs = stories(run, state, row).into_iter().map(|story| story.cost + tried_out(run, row + 1, story.state));
    costs.min().expect("something can always have happened")
}

/// One row: how its number follows, the seconds since the row before, whether a lot begins, whether it weighs the same.
type Written = (Next, i64, bool, bool);

#[derive(Clone, Copy, Debug)]
enum Next {
    On,
    Ahead(u64),
    Back(u64),
    At(u64),
}

fn next() -> impl Strategy<Value = Next> {
    prop_oneof![
        5 => Just(Next::On),
        2 => (1..4_u64).prop_map(Next::Ahead),
        2 => (0..5_u64).prop_map(Next::Back),
        1 => prop::sample::select(vec![0, 1, 100, 999, 1_000]).prop_map(Next::At),
    ]
}

fn written() -> impl Strategy<Value = Vec<Written>> {
    let seconds = prop::sample::select(vec![120, 120, 120, 600, 20_000, -300, -4_000]);
    prop::collection::vec((next(), seconds, prop::bool::weighted(0.2), any::<bool>()), 3..8)
}

/// The rows as the drafts of an export, in the order written.
fn drafts(first: u64, written: &[Written]) -> Vec<Draft> {
    let mut text = "Transaction,Date,Time,Lot,Ticket,Head,Gross,Unit\n".to_owned();
    let mut at = chrono::NaiveDate::from_ymd_opt(2026, 10, 17).unwrap().and_hms_opt(9, 0, 0).unwrap();
    let (mut number, mut lot) = (first, 1);
    for (next, seconds, begins, same) in written {
        number = match next {
            Next::On => number + 1,
            Next::Ahead(by) => number + 1 + by,
            Next::Back(by) => number.saturating_sub(*by),
            Next::At(number) => *number,
        };
        at += chrono::TimeDelta::seconds(*seconds);
        lot += u32::from(*begins);
        let gross = if *same { 7_000 } else { 7_000 + 5 * (number % 7) };
        writeln!(text, "{number},{},{lot},{},10,{gross},lb", at.format("%Y-%m-%d,%H:%M:%S"), 400 + lot).unwrap();
    }
    draft::collect(&[export("a.csv", text)], false).drafts
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_cheaper_is_missed(first in prop::sample::select(vec![3_u64, 96, 995]), written in written()) {
        let drafts = drafts(first, &written);
        prop_assume!(drafts.len() == written.len());
        let (legible, paper) = (BTreeSet::new(), Paper::default());
        let run = Run::of(&drafts, &legible, &paper);
        prop_assert_eq!(least_cost(&run).cost, tried_out(&run, 0, State::default()));
    }
}

/// A twin that finds what the search finds by itself would prove nothing: here the cheapest step at each break is not the
/// cheapest story of all.
#[test]
fn the_cheapest_step_is_not_the_cheapest_story() {
    let (on, quick) = (Next::On, 120);
    let block =
        [(Next::Ahead(2), 600), (on, quick), (Next::Back(3), -600), (on, quick), (Next::Ahead(2), 600), (on, quick)];
    let written: Vec<Written> = block.into_iter().map(|(next, seconds)| (next, seconds, false, false)).collect();
    let drafts = drafts(10, &[&[(on, quick, false, false); 2][..], &written].concat());
    let (legible, paper) = (BTreeSet::new(), Paper::default());
    let run = Run::of(&drafts, &legible, &paper);
    let mut state = State::default();
    let mut step_by_step = 0;
    for row in 0..drafts.len() {
        let best = stories(&run, state, row).into_iter().min_by_key(|story| story.cost).unwrap();
        (state, step_by_step) = (best.state, step_by_step + best.cost);
    }
    let whole = least_cost(&run).cost;
    assert_eq!(whole, tried_out(&run, 0, State::default()));
    assert!(whole <= step_by_step, "{whole} {step_by_step}");
}
