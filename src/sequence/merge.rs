//! One run per indicator, out of the rows of all files.

use std::collections::{BTreeMap, BTreeSet};

use super::counters::apart;
use super::order::in_order;
use super::turned::oldest_first;
use crate::draft::Draft;

/// Puts the drafts of each indicator in the order of the weighings; indicators stand in order of first weighing.
///
/// A file written newest row first is turned round as a whole. Rows that name no scale, but run on two counters at the
/// same time, are of two indicators.
#[must_use]
pub fn strands(drafts: Vec<Draft>) -> Vec<Vec<Draft>> {
    let file = |draft: &Draft| draft.origin.as_ref().map(|origin| origin.export.clone());
    let mut indicators: BTreeMap<String, Vec<Vec<Draft>>> = BTreeMap::new();
    for rows in dealt(drafts, file).into_values().map(oldest_first) {
        for (indicator, rows) in dealt(rows, |draft| draft.indicator.clone()) {
            indicators.entry(indicator).or_default().push(rows);
        }
    }
    let ordered: Vec<Vec<Draft>> = indicators.into_values().map(in_order).collect();
    let mut strands: Vec<Vec<Draft>> = ordered.into_iter().flat_map(told_apart).collect();
    strands.sort_by_key(|strand| strand.first().and_then(|first| first.stated.at).map(|at| at.at));
    named(strands)
}

/// Rows by what they have in common, in their order. Where all have it in common, none is moved.
fn dealt<K: Ord>(rows: Vec<Draft>, key: impl Fn(&Draft) -> K) -> BTreeMap<K, Vec<Draft>> {
    let mut piles: BTreeMap<K, Vec<Draft>> = BTreeMap::new();
    let Some(first) = rows.first().map(&key) else { return piles };
    if rows.iter().all(|draft| key(draft) == first) {
        piles.insert(first, rows);
        return piles;
    }
    for draft in rows {
        piles.entry(key(&draft)).or_default().push(draft);
    }
    piles
}

/// Rows that state their scale are of that one.
fn told_apart(strand: Vec<Draft>) -> Vec<Vec<Draft>> {
    let names_scale = strand.iter().any(|draft| draft.stated.scale.is_some());
    if names_scale { vec![strand] } else { apart(strand) }
}

/// Indicators that rows do not name, or not apart, are `1`, `2` … in order of first weighing.
fn named(mut strands: Vec<Vec<Draft>>) -> Vec<Vec<Draft>> {
    let stated = |strand: &Vec<Draft>| strand.first().and_then(|first| first.stated.scale.clone());
    let taken: BTreeSet<String> = strands.iter().filter_map(stated).collect();
    let mut free = (1..).map(|number: usize| number.to_string()).filter(|name| !taken.contains(name));
    for strand in strands.iter_mut().filter(|strand| stated(strand).is_none()) {
        let name = free.next().unwrap_or_default();
        strand.iter_mut().for_each(|draft| draft.indicator.clone_from(&name));
    }
    strands
}
