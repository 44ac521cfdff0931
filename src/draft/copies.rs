//! Which rows of which exports are the same weighing, so that each is counted once.
//!
//! A file is a copy when each of its rows agrees with a row of its own in one fuller file: number, head and weight are
//! equal, and nothing that both state contradicts (unit, scale, day, time). A copy may have lost units, seconds or columns.
//! Of files that share only some rows, those rows are the same whose times agree as well.

use std::collections::{BTreeMap, HashMap, HashSet};

use chrono::{Datelike, Timelike};

use crate::export::{Export, Fields, RowContent};
use crate::units::{Decimal, Head, LocalTime, Precision, TransactionNo, Unit};
use crate::volume::FileState;

/// So many fuller files are compared with one: a damaged stick may hold thousands.
const MOST_FILES: usize = 64;

/// So many rows of equal figures are compared with one: a damaged file may hold nothing but equal rows.
const MOST_ROWS: usize = 1024;

/// So many rows whose number, head, weight and time of day all agree were not weighed on two days.
const ROWS_BEYOND_CHANCE: u64 = 3;

/// What equal rows have in common, whatever else a copy lost.
type Figures = (Option<TransactionNo>, Option<Head>, Option<Decimal>);

/// A row of an export that was gone through before.
#[derive(Debug, Clone, Copy)]
struct Seat<'e> {
    file: usize,
    row: usize,
    fields: &'e Fields,
    /// Whether it is counted there, and not in a file before.
    kept: bool,
}

/// For each export: the original of each draft that stands in another, by its place among the rows.
#[derive(Debug, Default)]
pub struct Repeats {
    by_file: Vec<HashMap<usize, usize>>,
}

impl Repeats {
    /// Compares all exports, given in the order in which their rows are listed.
    #[must_use]
    pub fn among(exports: &[&Export]) -> Self {
        let mut repeats = Self { by_file: exports.iter().map(|_| HashMap::new()).collect() };
        if exports.len() < 2 {
            return repeats;
        }
        let mut seats = Seats::default();
        for file in by_detail(exports) {
            let Some(export) = exports.get(file) else { continue };
            let whole = seats.original_of_all(export);
            let is_copy = whole.is_some();
            let found = whole.unwrap_or_else(|| seats.shared_rows(export));
            if !is_copy {
                seats.add(file, export, &found);
            }
            if let Some(slot) = repeats.by_file.get_mut(file) {
                *slot = found;
            }
        }
        repeats
    }

    /// The place of the export in which this row of that export is counted; `None` where it is counted here.
    #[must_use]
    pub fn original(&self, file: usize, row: usize) -> Option<usize> {
        self.by_file.get(file)?.get(&row).copied()
    }
}

/// Live files first, then those with more drafts, then those that state more; a copy comes after its original.
fn by_detail(exports: &[&Export]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..exports.len()).collect();
    let columns = |export: &Export| {
        export.layout.columns.iter().filter(|column| column.meaning != crate::export::Meaning::Ignored).count()
    };
    let detail = |export: &Export| {
        let stated = drafts(export).next().map(|(_, fields)| {
            let seconds = fields.at.is_some_and(|at| at.precision == Precision::Second);
            let unit = fields.gross.is_some_and(|gross| gross.unit().is_some());
            // A clock that was never set commonly shows 1980 (common practice, no source).
            let dated = fields.at.is_some_and(|at| at.date().year() != 1980);
            (dated, seconds, unit)
        });
        let shown = stated.unwrap_or_default();
        let whole = !drafts(export).any(|(_, fields)| fields.torn);
        (export.state == FileState::Live, export.counts.drafts, whole, shown, columns(export))
    };
    // Where two say equally much, what they hold decides, never the order in which they were named.
    let first = |export: &Export| drafts(export).next().map(|(_, fields)| (fields.at, fields.transaction));
    order.sort_by_cached_key(|file| {
        exports.get(*file).map(|export| (std::cmp::Reverse(detail(export)), first(export), export.sha256.clone()))
    });
    order
}

fn drafts(export: &Export) -> impl Iterator<Item = (usize, &Fields)> {
    export.rows.iter().enumerate().filter_map(|(row, content)| match &content.content {
        RowContent::Draft(fields) => Some((row, fields.as_ref())),
        _ => None,
    })
}

fn figures(fields: &Fields) -> Figures {
    (fields.transaction, fields.head, fields.gross.map(|gross| gross.amount()))
}

/// All rows gone through so far, by their figures.
#[derive(Default)]
struct Seats<'e> {
    by_figures: HashMap<Figures, Vec<Seat<'e>>>,
    /// By number alone, for the one row of a file that may be cut.
    by_number: HashMap<Option<TransactionNo>, Vec<Figures>>,
}

impl<'e> Seats<'e> {
    fn add(&mut self, file: usize, export: &'e Export, found: &HashMap<usize, usize>) {
        for (row, fields) in drafts(export) {
            let figures = figures(fields);
            let seats = self.by_figures.entry(figures).or_default();
            if seats.is_empty() {
                self.by_number.entry(fields.transaction).or_default().push(figures);
            }
            seats.push(Seat { file, row, fields, kept: !found.contains_key(&row) });
        }
    }

    /// Every row of the export with the one file that holds them all, where there is such a file.
    ///
    /// A copy may also have had all its dates rewritten: enough rows that agree to the minute are no chance.
    fn original_of_all(&self, export: &Export) -> Option<HashMap<usize, usize>> {
        self.holding_all(export, may_be_same).or_else(|| {
            let enough = export.counts.drafts >= ROWS_BEYOND_CHANCE;
            enough.then(|| self.holding_all(export, same_but_for_the_day)).flatten()
        })
    }

    fn holding_all(&self, export: &Export, same: fn(&Fields, &Fields) -> bool) -> Option<HashMap<usize, usize>> {
        let (_, first) = drafts(export).next()?;
        let mut files: Vec<usize> = Vec::new();
        for seat in self.alike(first).filter(|seat| same(first, seat.fields)) {
            if !files.contains(&seat.file) && files.len() < MOST_FILES {
                files.push(seat.file);
            }
        }
        files.into_iter().find_map(|file| {
            let mut used = HashSet::new();
            drafts(export)
                .map(|(row, fields)| {
                    let free = |seat: &&Seat<'_>| seat.file == file && !used.contains(&seat.row);
                    let mut alike = self.alike(fields).take(MOST_ROWS).filter(free);
                    let taken = alike.find(|seat| same(fields, seat.fields))?.row;
                    used.insert(taken);
                    Some((row, file))
                })
                .collect()
        })
    }

    /// The rows of the export that are surely counted in a file before, one for one.
    fn shared_rows(&self, export: &Export) -> HashMap<usize, usize> {
        let mut used = HashSet::new();
        let mut found = HashMap::new();
        for (row, fields) in drafts(export) {
            let free = |seat: &&Seat<'_>| seat.kept && !used.contains(&(seat.file, seat.row));
            let mut alike = self.alike(fields).take(MOST_ROWS).filter(free);
            if let Some(seat) = alike.find(|seat| is_surely_same(fields, seat.fields)) {
                used.insert((seat.file, seat.row));
                found.insert(row, seat.file);
            }
        }
        found
    }

    /// The rows with equal figures; of a row that may be cut, also those whose weight begins with its digits.
    fn alike(&self, fields: &'e Fields) -> impl Iterator<Item = &Seat<'e>> {
        let (number, head, amount) = figures(fields);
        let begins = move |other: &&Figures| {
            let begins_alike = |whole: String, cut: String| whole.starts_with(&cut);
            let weight =
                amount.zip(other.2).is_some_and(|(cut, whole)| begins_alike(whole.to_string(), cut.to_string()));
            fields.torn && other.1 == head && other.2 != amount && weight
        };
        let longer = self.by_number.get(&number).filter(|_| fields.torn).into_iter().flatten().filter(begins);
        let equal = self.by_figures.get(&(number, head, amount)).into_iter().flatten();
        equal.chain(longer.filter_map(|figures| self.by_figures.get(figures)).flatten())
    }
}

/// Whether nothing that both rows state contradicts.
fn may_be_same(one: &Fields, other: &Fields) -> bool {
    let times_agree = one.at.zip(other.at).is_none_or(|(one, other)| same_time(one, other));
    nothing_else_differs(one, other) && times_agree
}

fn nothing_else_differs(one: &Fields, other: &Fields) -> bool {
    units_agree(one, other) && one.scale.as_ref().zip(other.scale.as_ref()).is_none_or(|(one, other)| one == other)
}

/// Whether the rows agree in all but the day, and both state the time of day.
fn same_but_for_the_day(one: &Fields, other: &Fields) -> bool {
    let timed = |fields: &Fields| fields.at.filter(|at| at.precision != Precision::Day);
    let (Some(at), Some(other_at)) = (timed(one), timed(other)) else { return false };
    let moved = LocalTime { at: at.date().and_time(other_at.at.time()), ..other_at };
    nothing_else_differs(one, other) && same_time(at, moved)
}

/// Whether the rows agree in their times too, so that they are the same weighing whatever stands around them.
fn is_surely_same(one: &Fields, other: &Fields) -> bool {
    let timed = |at: LocalTime| at.precision != Precision::Day;
    let both_timed = one.at.is_some_and(timed) && other.at.is_some_and(timed);
    may_be_same(one, other) && (both_timed || (one.at == other.at && one.scale == other.scale))
}

fn units_agree(one: &Fields, other: &Fields) -> bool {
    let unit = |fields: &Fields| -> Option<Unit> { fields.gross?.unit() };
    unit(one).zip(unit(other)).is_none_or(|(one, other)| one == other)
}

/// Whether two times agree as finely as both state them. Seconds of zero are those a spreadsheet filled in.
fn same_time(one: LocalTime, other: LocalTime) -> bool {
    let coarser = one.precision.min(other.precision);
    let minute = |time: LocalTime| (time.at.hour(), time.at.minute());
    let second = |time: LocalTime| time.at.second();
    one.date() == other.date()
        && (coarser == Precision::Day || minute(one) == minute(other))
        && (coarser != Precision::Second || second(one) == second(other) || second(one) == 0 || second(other) == 0)
}

/// The file in which most rows stand.
#[must_use]
pub fn fullest(originals: &BTreeMap<usize, usize>) -> Option<usize> {
    originals.iter().max_by_key(|(_, rows)| **rows).map(|(file, _)| *file)
}
