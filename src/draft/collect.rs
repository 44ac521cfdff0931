//! Rows to drafts: each row once, whatever file it also stands in.

use std::collections::{BTreeMap, HashMap};

use super::copies::{Repeats, fullest};
use super::model::{Draft, Flag, Origin, Standing, StatedTotal};
use crate::export::{Export, Fields, Row, RowContent};
use crate::units::{Head, TransactionNo};
use crate::volume::FileState;

/// Everything the exports state, ready to be put in order.
#[derive(Debug, Clone, Default)]
pub struct Weighings {
    /// The drafts, in the order of the files.
    pub drafts: Vec<Draft>,
    /// Totals the exports state.
    pub totals: Vec<StatedTotal>,
    /// Numbers still legible on rows that could not be read whole, by indicator.
    pub legible: Vec<(String, TransactionNo)>,
    /// For each export, by id: how many of its drafts are counted from it, because they stand in no fuller one.
    pub only_in: BTreeMap<String, usize>,
    /// Exports all of whose drafts stand in another: the copy, and the original.
    pub copies: Vec<(String, String)>,
}

/// The indicator of rows that name none.
const UNNAMED_INDICATOR: &str = "1";

/// Collects the drafts of all exports, live files first.
///
/// A row that stands again in another file counts once, from the file that has more rows or states more; a row that stands
/// twice in one file stays twice.
#[must_use]
pub fn collect(exports: &[Export], accept_recovered: bool) -> Weighings {
    let mut order: Vec<&Export> = exports.iter().collect();
    order.sort_by_key(|export| export.state != FileState::Live);
    let repeats = Repeats::among(&order);
    let mut collector = Collector { accept_recovered, ..Collector::default() };
    for (file, export) in order.iter().enumerate() {
        let pass = collector.add(export, |row| repeats.original(file, row));
        collector.out.only_in.insert(export.id.clone(), pass.only_here);
        let original = fullest(&pass.originals).and_then(|file| order.get(file));
        if let (0, Some(original)) = (pass.only_here, original) {
            collector.out.copies.push((export.id.clone(), original.id.clone()));
        }
    }
    collector.out
}

#[derive(Default)]
struct Collector {
    accept_recovered: bool,
    out: Weighings,
    /// How often equal rows were met, for the ids.
    id_counts: HashMap<(String, String), usize>,
}

/// What is met while one export is gone through.
#[derive(Default)]
struct Pass {
    /// The drafts since the last total that are counted here.
    above: Vec<String>,
    /// How many since the last total are counted in another file.
    elsewhere_above: usize,
    /// Drafts that are counted here.
    only_here: usize,
    /// The files in which the others are counted, and how many of them.
    originals: BTreeMap<usize, usize>,
}

impl Collector {
    /// Goes through one export; `original` says where else a row is counted.
    fn add(&mut self, export: &Export, original: impl Fn(usize) -> Option<usize>) -> Pass {
        let mut pass = Pass::default();
        for (place, row) in export.rows.iter().enumerate() {
            match &row.content {
                RowContent::Draft(fields) => match original(place) {
                    Some(file) => {
                        *pass.originals.entry(file).or_default() += 1;
                        pass.elsewhere_above += 1;
                    }
                    None => self.add_draft(export, row, fields, &mut pass),
                },
                RowContent::Total(fields) => {
                    let above = std::mem::take(&mut pass.above);
                    // The total of rows that are counted in another file stands there too.
                    if std::mem::take(&mut pass.elsewhere_above) == 0 || !above.is_empty() {
                        self.out.totals.push(total(export, row, fields, above));
                    }
                }
                RowContent::Unreadable { transaction: Some(number), .. } => {
                    self.out.legible.push((UNNAMED_INDICATOR.to_owned(), *number));
                }
                RowContent::Header | RowContent::Banner | RowContent::Unreadable { .. } => {}
            }
        }
        pass
    }

    fn add_draft(&mut self, export: &Export, row: &Row, fields: &Fields, pass: &mut Pass) {
        let draft = self.draft(export, row, fields);
        pass.only_here += 1;
        pass.above.push(draft.id.clone());
        self.out.drafts.push(draft);
    }

    fn draft(&mut self, export: &Export, row: &Row, fields: &Fields) -> Draft {
        let indicator = indicator(fields);
        let text = export.text.line(row.line).map(|line| line.text.to_owned()).unwrap_or_default();
        let (standing, flags) = standing(export.state, fields, self.accept_recovered);
        Draft {
            id: self.id(&indicator, text),
            indicator,
            stated: fields.clone(),
            standing,
            flags,
            origin: Some(origin(export, row)),
            session: None,
        }
    }

    /// The same row gives the same id in every run; equal rows are told apart by their count.
    fn id(&mut self, indicator: &str, row: String) -> String {
        let count = self.id_counts.entry((indicator.to_owned(), row.clone())).or_insert(0);
        *count += 1;
        let hash = crate::units::sha256(format!("{indicator}\n{row}\n{count}").as_bytes());
        format!("d-{}", hash.get(..12).unwrap_or_default())
    }
}

/// The scale stated, else the one name for an indicator that states none.
fn indicator(fields: &Fields) -> String {
    fields.scale.clone().unwrap_or_else(|| UNNAMED_INDICATOR.to_owned())
}

fn origin(export: &Export, row: &Row) -> Origin {
    Origin { export: export.id.clone(), line: row.line, byte: row.byte, medium_offset: row.medium_offset }
}

fn total(export: &Export, row: &Row, fields: &Fields, above: Vec<String>) -> StatedTotal {
    StatedTotal {
        ticket: fields.ticket.clone(),
        lot: fields.lot.clone(),
        head: fields.head,
        gross: fields.gross,
        origin: origin(export, row),
        above,
    }
}

/// What a row counts as by itself; whether it is a reprint, the sequence tells.
fn standing(state: FileState, fields: &Fields, accept_recovered: bool) -> (Standing, Vec<Flag>) {
    let mut flags = Vec::new();
    if says(fields, &["manual weight", "manual wt", "man wt", "manual"]) {
        flags.push(Flag::ManualWeight);
    }
    let headless = fields.head.is_none_or(|head| head == Head(0));
    if headless {
        flags.push(Flag::NoHead);
    }
    if fields.torn {
        flags.push(Flag::TornRow);
    }
    if state != FileState::Live {
        flags.push(Flag::Recovered);
    }
    let no_weight = fields.gross.is_none_or(|gross| gross.amount().is_sign_negative() || gross.amount().is_zero());
    let standing = if says(fields, &["void", "voided"]) {
        Standing::Void
    } else if no_weight || (headless && fields.ticket.is_none()) {
        Standing::Test
    } else if state != FileState::Live && !accept_recovered {
        Standing::Recovered
    } else {
        Standing::Counted
    };
    (standing, flags)
}

/// Whether the row's status or remark is one of these words.
fn says(fields: &Fields, words: &[&str]) -> bool {
    let cells = [fields.status.as_deref(), fields.remark.as_deref()];
    cells.into_iter().flatten().any(|cell| words.contains(&crate::export::normalised(cell).as_str()))
}
