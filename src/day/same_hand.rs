//! Exports laid out alike come from one hand: where one proves the order of its dates, the others are read so too.

use super::export_file::{Candidate, FileRead, Reading};
use crate::export::{DateHints, DateOrder, Export, Layout};

/// A file and what became of it.
pub type Read<'c, 'a> = (&'c Candidate<'a>, FileRead);

/// Reads the exports whose dates are open again, in the order that all others laid out like them prove.
pub fn settle_dates(reads: &mut [Read<'_, '_>], reading: &Reading, left: &mut u64) {
    let proved: Vec<(Layout, DateOrder)> = reads.iter().filter_map(|(_, read)| proved(read.export.as_ref()?)).collect();
    for (candidate, read) in reads.iter_mut() {
        let Some(layout) =
            read.export.as_ref().map(|export| &export.layout).filter(|layout| layout.dates_open.is_some())
        else {
            continue;
        };
        let mut orders = proved.iter().filter(|(other, _)| alike(layout, other)).map(|(_, order)| *order);
        let Some(order) = orders.next().filter(|order| orders.all(|other| other == *order)) else { continue };
        let hints = DateHints { order: Some(order), ..reading.hints.clone() };
        let again = candidate.read(&Reading { hints, ..reading.clone() }, left);
        if again.export.is_some() {
            *read = again;
        }
    }
}

fn proved(export: &Export) -> Option<(Layout, DateOrder)> {
    Some((export.layout.clone(), export.layout.date_order?))
}

/// The same columns in the same places, with the same titles.
fn alike(one: &Layout, other: &Layout) -> bool {
    let columns = |layout: &Layout| {
        layout.columns.iter().map(|column| (column.title.clone(), column.meaning)).collect::<Vec<_>>()
    };
    one.shape.delimiter() == other.shape.delimiter() && columns(one) == columns(other)
}
