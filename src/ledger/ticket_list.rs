//! The list to fill in from the paper: ticket numbers seen or expected, head and weight left blank.
//!
//! Copying our own figures into it would prove nothing.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::columns::blank_columns;
use super::csv::table;
use crate::day::{Day, sale_days};
use crate::draft::Draft;
use crate::reconcile::SaleDays;
use crate::units::{Unit, Weight, ticket_serial};

/// A wider hole between two ticket numbers is not filled in: the series changed there.
const WIDEST_HOLE: u64 = 10;

/// One ticket of the list to fill in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BlankTicket {
    /// Its number.
    pub number: String,
    /// Whether a row on the stick carries it; else it is expected between two that are.
    pub seen: bool,
    /// The day its drafts count for.
    pub date: Option<NaiveDate>,
    /// The lot, where all its drafts agree.
    pub lot: Option<String>,
    /// What animals, where all its drafts agree.
    pub kind: Option<String>,
    /// The unit of its weights.
    pub unit: Option<Unit>,
}

/// The list, and its text.
#[derive(Debug, Clone)]
pub struct BlankList {
    /// The tickets, by series and number.
    pub tickets: Vec<BlankTicket>,
    /// The list as CSV.
    pub csv: Vec<u8>,
}

/// Makes the list for a run.
///
/// # Errors
/// In plain words; only when memory for the text cannot be had.
pub fn ticket_list(day: &Day) -> Result<BlankList, String> {
    let mut tickets = seen(&day.drafts, &sale_days(&day.drafts));
    tickets.extend(expected(&tickets));
    tickets.sort_by_cached_key(|ticket| (ticket.date, ticket_serial(&ticket.number), ticket.number.clone()));
    let csv = table(&blank_columns(), &tickets)?;
    Ok(BlankList { tickets, csv })
}

/// The same number on another day is another ticket; a night past midnight belongs to the day it began.
fn seen(drafts: &[Draft], days: &SaleDays) -> Vec<BlankTicket> {
    let mut by_number: BTreeMap<(&str, Option<NaiveDate>), Vec<&Draft>> = BTreeMap::new();
    for draft in drafts {
        if let Some(number) = draft.stated.ticket.as_deref() {
            by_number.entry((number, days.get(&draft.id).copied())).or_default().push(draft);
        }
    }
    by_number.into_iter().map(|((number, day), drafts)| of_drafts(number, day, &drafts)).collect()
}

fn of_drafts(number: &str, date: Option<NaiveDate>, drafts: &[&Draft]) -> BlankTicket {
    let agreed = |field: fn(&Draft) -> Option<&String>| {
        let values: BTreeSet<_> = drafts.iter().filter_map(|draft| field(draft)).collect();
        if values.len() == 1 { values.into_iter().next().cloned() } else { None }
    };
    BlankTicket {
        number: number.to_owned(),
        seen: true,
        date,
        lot: agreed(|draft| draft.stated.lot.as_ref()),
        kind: agreed(|draft| draft.stated.kind.as_ref()),
        unit: drafts.iter().find_map(|draft| draft.stated.gross.and_then(Weight::unit)),
    }
}

/// Numbers between two that were seen: scale tickets are numbered serially (9 CFR 201.49(a); from memory).
fn expected(seen: &[BlankTicket]) -> Vec<BlankTicket> {
    let mut serials: Vec<_> = seen.iter().filter_map(|ticket| Some((ticket_serial(&ticket.number)?, ticket))).collect();
    serials.sort_by(|(a, _), (b, _)| a.cmp(b));
    serials.windows(2).flat_map(between).collect()
}

fn between(pair: &[((String, u64), &BlankTicket)]) -> Vec<BlankTicket> {
    let [((series, from), before), ((next_series, to), _)] = pair else { return Vec::new() };
    if series != next_series || to - from > WIDEST_HOLE {
        return Vec::new();
    }
    let width = before.number.len().saturating_sub(series.len());
    let written = |serial: u64| {
        let series = before.number.get(..series.len().min(before.number.len())).unwrap_or_default();
        format!("{series}{serial:0width$}")
    };
    let blank =
        |serial| BlankTicket { number: written(serial), seen: false, lot: None, kind: None, ..(*before).clone() };
    (from + 1..*to).map(blank).collect()
}
