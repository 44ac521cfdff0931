//! What single lines of an export show: unreadable, cut, zero bytes, a cell left out.

use super::{EXPORT_CUT_SHORT, EXPORT_ZERO_FILLED, ROW_UNREADABLE, place};
use crate::export::model::{Export, Fields, Row, RowContent, Unread};
use crate::export::read::UNREADABLE_KEPT;
use crate::export::reading::CellFault;
use crate::finding::words::count_of;
use crate::finding::{Finding, Severity};

/// So many lines of one export are shown one by one; the rest are counted.
const MOST_SHOWN: usize = UNREADABLE_KEPT as usize;

/// Lines that could not be read at all.
pub fn unreadable(export: &Export) -> Vec<Finding> {
    let unreadable = export.rows.iter().filter_map(|row| match &row.content {
        RowContent::Unreadable { column, reason, .. } => Some((row, *column, reason)),
        _ => None,
    });
    let mut findings = Vec::new();
    for (index, (row, column, reason)) in unreadable.enumerate() {
        // A cut end matters, however many bad lines stand before it.
        if index < MOST_SHOWN || is_cut_end(export, row, reason) {
            findings.push(unreadable_row(export, row, column, reason));
        }
    }
    let more = export.counts.unreadable.saturating_sub(findings.len() as u64);
    if more > 0 {
        let title = format!("{}: {} could not be read", export.name(), count_of(more, "more row", "more rows"));
        findings.push(
            Finding::new(&ROW_UNREADABLE, Severity::Fault, title)
                .detail("They are kept as they stand and count nowhere.")
                .evidence("unreadable rows in all", export.counts.unreadable)
                .at(place(export, None, None))
                .next_step("Look at the file itself: so many bad rows mean that it is damaged."),
        );
    }
    findings
}

fn is_cut_end(export: &Export, row: &Row, reason: &Unread) -> bool {
    matches!(reason, Unread::Cut { .. }) && row.line.0 == export.text.len()
}

fn unreadable_row(export: &Export, row: &Row, column: Option<usize>, reason: &Unread) -> Finding {
    let (name, line) = (export.name(), row.line);
    let (kind, title, next_step) = match reason {
        Unread::ZeroBytes(_) => (
            &EXPORT_ZERO_FILLED,
            format!("{name}, line {line}: zero bytes instead of a row"),
            "Take the weighings of that time from their paper tickets.",
        ),
        Unread::Cut { .. } if is_cut_end(export, row, reason) => (
            &EXPORT_CUT_SHORT,
            format!("{name} ends in the middle of a row, line {line}"),
            "Take this weighing, and any after it, from the paper tickets.",
        ),
        _ => (
            &ROW_UNREADABLE,
            format!("{name}, line {line}: the row could not be read"),
            "Look at the row and take the weighing from its paper ticket.",
        ),
    };
    Finding::new(kind, Severity::Fault, title)
        .detail(format!("It counts nowhere: {reason}."))
        .evidence("byte of the file", row.byte)
        .at(place(export, Some(row.line), column))
        .next_step(next_step)
}

/// A header behind zero bytes: what stood before it is lost.
pub fn zeros_before_header(export: &Export) -> Option<Finding> {
    let header = export.rows.iter().find(|row| row.content == RowContent::Header)?;
    let zeros = export.text.line(header.line)?.text.bytes().filter(|byte| *byte == 0).count();
    (zeros > 0).then(|| {
        let title = format!("{}, line {}: zero bytes in the header", export.name(), header.line);
        Finding::new(&EXPORT_ZERO_FILLED, Severity::Fault, title)
            .detail("The header could still be read. Rows may have stood where the zero bytes are.")
            .evidence("zero bytes on that line", zeros)
            .at(place(export, Some(header.line), None))
            .next_step("Compare the first rows with the paper tickets: earlier ones may be missing.")
    })
}

/// Drafts that stand although something on their row is doubtful.
pub fn doubtful(export: &Export) -> Vec<Finding> {
    let drafts = || {
        export.rows.iter().filter_map(|row| match &row.content {
            RowContent::Draft(fields) => Some((row, fields)),
            _ => None,
        })
    };
    let left_out = || drafts().flat_map(|(row, fields)| fields.left_out.iter().map(move |fault| (row, fault)));
    let mut findings: Vec<_> = left_out().take(MOST_SHOWN).map(|(row, fault)| one_cell(export, row, fault)).collect();
    let more = left_out().skip(MOST_SHOWN).count();
    if more > 0 {
        let more = count_of(more as u64, "more cell", "more cells");
        let title = format!("{}: {more} could not be read", export.name());
        findings.push(
            Finding::new(&ROW_UNREADABLE, Severity::Caution, title)
                .detail("Their drafts count; the figures of these cells are left out.")
                .at(place(export, None, None))
                .next_step("Compare some of these rows with their paper tickets."),
        );
    }
    findings.extend(drafts().filter(|(_, fields)| fields.torn).map(|(row, fields)| may_be_cut(export, row, fields)));
    findings
}

fn one_cell(export: &Export, row: &Row, fault: &CellFault) -> Finding {
    let title = format!("{}, line {}: one cell could not be read", export.name(), row.line);
    Finding::new(&ROW_UNREADABLE, Severity::Caution, title)
        .detail(format!("Its draft counts, without that figure: {}.", fault.reason))
        .evidence("byte of the file", row.byte)
        .at(place(export, Some(row.line), fault.column))
        .next_step("Compare the row with its paper ticket.")
}

fn may_be_cut(export: &Export, row: &Row, fields: &Fields) -> Finding {
    let title = format!("{}: the last figure may be cut, line {}", export.name(), row.line);
    let mut finding = Finding::new(&EXPORT_CUT_SHORT, Severity::Caution, title)
        .detail(
            "The file ends right behind it, without the line end that every other row has. The draft counts as it \
             stands; digits may be missing, and rows after it.",
        )
        .at(place(export, Some(row.line), None))
        .next_step("Compare head and weight of this draft with its paper ticket, and look for tickets after it.");
    for (what, value) in [
        ("head", fields.head.map(|head| head.0.to_string())),
        ("weight", fields.gross.map(|weight| weight.to_string())),
    ] {
        if let Some(value) = value {
            finding = finding.evidence(what, value);
        }
    }
    finding
}
