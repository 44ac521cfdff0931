//! One run per indicator, out of the rows of all files.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use crate::draft::Draft;

/// Puts the drafts of each indicator in the order of the weighings; indicators stand in order of first weighing.
///
/// Within a file the rows keep their order: an indicator writes as it weighs. Files are woven together by time. A clock
/// that went back is held at the latest time before it, for ordering only.
#[must_use]
pub fn strands(drafts: Vec<Draft>) -> Vec<Vec<Draft>> {
    let mut files: BTreeMap<(String, Option<String>), Vec<Draft>> = BTreeMap::new();
    for draft in drafts {
        let export = draft.origin.as_ref().map(|origin| origin.export.clone());
        files.entry((draft.indicator.clone(), export)).or_default().push(draft);
    }
    let mut indicators: BTreeMap<String, Vec<Vec<Placed>>> = BTreeMap::new();
    for ((indicator, _), rows) in files {
        indicators.entry(indicator).or_default().push(placed(rows));
    }
    let mut strands: Vec<Vec<Placed>> = indicators.into_values().map(woven).collect();
    strands.sort_by_key(|strand| strand.first().and_then(|first| first.time));
    strands.into_iter().map(|strand| strand.into_iter().map(|placed| placed.draft).collect()).collect()
}

/// A draft and the time that orders it.
struct Placed {
    time: Option<NaiveDateTime>,
    draft: Draft,
}

fn placed(rows: Vec<Draft>) -> Vec<Placed> {
    let mut latest = None;
    let place = |draft: Draft| {
        latest = latest.max(draft.stated.at.map(|time| time.at));
        Placed { time: latest, draft }
    };
    rows.into_iter().map(place).collect()
}

fn woven(mut files: Vec<Vec<Placed>>) -> Vec<Placed> {
    // Rows of one time: the file that begins first, and of equal ones, what they hold decides.
    files.sort_by_cached_key(|rows| {
        rows.first().map(|first| (first.time, first.draft.stated.transaction, first.draft.id.clone()))
    });
    let mut all: Vec<_> = files.into_iter().flatten().collect();
    // Stable: rows of one time keep the order of their files and of their lines.
    all.sort_by_key(|placed| placed.time);
    all
}
