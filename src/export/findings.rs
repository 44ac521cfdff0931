//! What an export itself can show: each kind with its manual page, its text and what raises it.

use super::model::{Export, Row, RowContent};
use crate::finding::words::drafts;
use crate::finding::{COPY_FIRST, Finding, Place, Severity, kinds};
use crate::units::LineNo;

/// So many unreadable lines of one export are shown one by one; the rest are counted.
const MOST_SHOWN: usize = 20;

kinds! {
    /// No export was found.
    ///
    /// No file here numbers weighings and states their weights. The records may be on another stick, on another volume of
    /// this stick, or were never written: an indicator writes only while a stick it can use is in.
    ///
    /// How we know: every file was judged by its content, whatever its name. A file counts as an export when it has a header
    /// that names a transaction number, a weight, and head or date.
    ///
    /// What to do: check that this is the stick of the sale; then run `counterfoil examine` on it, which says whether the
    /// indicator could write to it and what was deleted.
    NO_EXPORT = "no-export";

    /// An export was deleted; its rows can still be read.
    ///
    /// Someone, or a computer, removed the file. Until something else is written there, its bytes stay on the stick. Its
    /// rows are shown as "recovered" and are not counted unless asked for.
    ///
    /// How we know: the directory entry is marked deleted, its clusters (blocks of the stick) are free, and what they hold
    /// reads as an export. A file in a computer's bin folder counts as deleted too.
    ///
    /// What to do: write nothing to the stick. Compare the rows with the paper tickets, then run again with
    /// `--accept-recovered` if they belong to the day.
    EXPORT_DELETED = "export-deleted";

    /// An export holds no weighing.
    ///
    /// There is a header, but no draft under it. The indicator opened the file and wrote nothing, or the stick was pulled
    /// before the first row reached it.
    ///
    /// What to do: check the paper for tickets of that time.
    EXPORT_EMPTY = "export-empty";

    /// The last row of an export is cut off.
    ///
    /// The file ends in the middle of a row. Commonly the stick was pulled out, or power failed, while it was written; rows
    /// after it are then missing too.
    ///
    /// How we know: the last line has fewer cells than the header and no line end.
    ///
    /// What to do: take that weighing from its paper ticket. Wait for the indicator to finish before the stick is pulled.
    EXPORT_CUT_SHORT = "export-cut-short";

    /// Part of an export is zero bytes instead of rows.
    ///
    /// Space was set aside for rows, but the rows themselves never reached the stick, or were erased. Commonly the stick was
    /// pulled out too early.
    ///
    /// How we know: text never holds zero bytes.
    ///
    /// What to do: take the weighings from their paper tickets.
    EXPORT_ZERO_FILLED = "export-zero-filled";

    /// The same rows stand in two exports; they are counted once.
    ///
    /// A copy or backup of an export lies on the stick. Nothing is lost, and nothing is counted twice.
    ///
    /// How we know: number, time, head and weight of every row agree with rows of the other file, one for one.
    EXPORT_DUPLICATED = "export-duplicated";

    /// The header stands again between rows.
    ///
    /// The indicator was restarted or the stick put in again, and it wrote its header anew. No row is lost by that.
    REPEATED_HEADER = "repeated-header";

    /// A row could not be read.
    ///
    /// The line is kept as it stands and counts nowhere. Its weighing is missing from every sum until it is settled.
    ///
    /// How we know: the cell named does not hold what its column holds everywhere else.
    ///
    /// What to do: look at the row as shown and take the weighing from its paper ticket.
    ROW_UNREADABLE = "row-unreadable";

    /// Two columns may mean the same.
    ///
    /// The header names one meaning twice. The first such column was used; where the two differ, that may be the wrong one.
    ///
    /// What to do: compare one row with its paper ticket.
    LAYOUT_UNCERTAIN = "layout-uncertain";

    /// Day and month could be the other way round.
    ///
    /// Every date in the file is a real date in both orders, and nothing else on the stick decides. The likelier reading is
    /// used; month-day-year is common in the United States (common practice, no source).
    ///
    /// What to do: compare one date with its paper ticket, then run again with `--date-order mdy` or `--date-order dmy`.
    DATE_ORDER_UNCERTAIN = "date-order-uncertain";

    /// No unit is stated for the weights.
    ///
    /// Neither the header nor the rows say pounds or kilograms. Figures are shown as they stand, without a unit.
    UNIT_UNCERTAIN = "unit-uncertain";
}

/// Everything one export shows by itself.
#[must_use]
pub fn of_export(export: &Export, dates_uncertain: bool) -> Vec<Finding> {
    let mut findings = unreadable_rows(export);
    findings.extend(empty(export));
    findings.extend(repeated_header(export));
    findings.extend(double_columns(export));
    if dates_uncertain {
        findings.push(date_order(export));
    }
    findings.extend(no_unit(export));
    findings
}

/// No export on any source.
#[must_use]
pub fn no_export(source: &str, files_seen: usize) -> Finding {
    Finding::new(&NO_EXPORT, Severity::Fault, "No export was found")
        .detail("None of the files numbers weighings and states their weights, so there is nothing to add up.")
        .evidence("files looked into", files_seen)
        .at(Place::source(source))
        .next_step(
            "Check that this is the stick of the sale. Then run \"counterfoil examine\" on it: \
             it says whether the indicator could write to this stick.",
        )
}

/// A deleted export, and how many of its rows stand nowhere else.
#[must_use]
pub fn deleted(export: &Export, rows_only_here: usize, accepted: bool) -> Finding {
    let title = format!("{} was deleted; {} can still be read", export.name(), drafts(export.counts.drafts));
    let (severity, detail, next_step) = match (rows_only_here, accepted) {
        (0, _) => (
            Severity::Note,
            "Every row of it also stands in another export, so nothing is missing by it.".to_owned(),
            "Nothing to do.".to_owned(),
        ),
        (only, true) => (
            Severity::Caution,
            format!("{} of it stand nowhere else and were counted, as asked.", drafts(only as u64)),
            "Compare these drafts with the paper tickets.".to_owned(),
        ),
        (only, false) => (
            Severity::Caution,
            format!("{} of it stand nowhere else. They are listed as recovered and not counted.", drafts(only as u64)),
            "Compare them with the paper tickets. If they belong to the day, run again with --accept-recovered."
                .to_owned(),
        ),
    };
    Finding::new(&EXPORT_DELETED, severity, title)
        .detail(detail)
        .evidence("size in bytes", export.size_bytes)
        .evidence("drafts in it", export.counts.drafts)
        .evidence("drafts nowhere else", rows_only_here)
        .at(place(export, None, None))
        .next_step(next_step)
        .before_you_act(COPY_FIRST)
}

/// An export all of whose rows stand in another.
#[must_use]
pub fn duplicated(export: &Export, original: &str) -> Finding {
    Finding::new(&EXPORT_DUPLICATED, Severity::Note, format!("{} holds the same rows as {original}", export.name()))
        .detail("They were counted once.")
        .evidence("drafts in it", export.counts.drafts)
        .at(place(export, None, None))
        .next_step("Nothing to do.")
}

fn empty(export: &Export) -> Option<Finding> {
    (export.counts.drafts == 0).then(|| {
        Finding::new(&EXPORT_EMPTY, Severity::Caution, format!("{} holds no weighing", export.name()))
            .detail("It has a header, but no draft stands under it.")
            .evidence("size in bytes", export.size_bytes)
            .at(place(export, None, None))
            .next_step("Check the paper for tickets of that time.")
    })
}

fn unreadable_rows(export: &Export) -> Vec<Finding> {
    let unreadable = export.rows.iter().filter_map(|row| match &row.content {
        RowContent::Unreadable { column, reason, .. } => Some((row, *column, reason.as_str())),
        _ => None,
    });
    let mut findings: Vec<_> =
        unreadable.take(MOST_SHOWN).map(|(row, column, reason)| unreadable_row(export, row, column, reason)).collect();
    let more = export.counts.unreadable.saturating_sub(MOST_SHOWN as u64);
    if more > 0 {
        let title = format!("{}: {more} more rows could not be read", export.name());
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

fn unreadable_row(export: &Export, row: &Row, column: Option<usize>, reason: &str) -> Finding {
    let last = row.line == LineNo(export.text.len() as u64);
    let cut = last && reason.contains("the line is cut");
    let (kind, title, next_step) = if reason.contains("zero bytes") {
        let title = format!("{}, line {}: zero bytes instead of a row", export.name(), row.line);
        (&EXPORT_ZERO_FILLED, title, "Take the weighings of that time from their paper tickets.")
    } else if cut {
        let title = format!("{} ends in the middle of a row, line {}", export.name(), row.line);
        (&EXPORT_CUT_SHORT, title, "Take this weighing, and any after it, from the paper tickets.")
    } else {
        let title = format!("{}, line {}: the row could not be read", export.name(), row.line);
        (&ROW_UNREADABLE, title, "Look at the row and take the weighing from its paper ticket.")
    };
    Finding::new(kind, Severity::Fault, title)
        .detail(format!("It counts nowhere: {reason}."))
        .evidence("byte of the file", row.byte)
        .at(place(export, Some(row.line), column))
        .next_step(next_step)
}

fn repeated_header(export: &Export) -> Option<Finding> {
    let again = export.rows.iter().filter(|row| row.content == RowContent::Header).nth(1)?;
    let title = format!("{}: the header stands again on line {}", export.name(), again.line);
    Some(
        Finding::new(&REPEATED_HEADER, Severity::Note, title)
            .detail("The indicator wrote it anew, as after a restart. No row is lost by that.")
            .evidence("headers in the file", export.counts.headers)
            .at(place(export, Some(again.line), None))
            .next_step("Nothing to do."),
    )
}

fn double_columns(export: &Export) -> Option<Finding> {
    use super::{Meaning, header_word};
    let meaning_of = |title: &Option<String>| title.as_deref().and_then(header_word).map(|word| word.meaning);
    let columns = &export.layout.columns;
    let double = columns.iter().filter(|column| column.meaning == Meaning::Ignored).find_map(|column| {
        let meaning = meaning_of(&column.title).filter(|meaning| !meaning.of_tickets_only())?;
        let used = columns.iter().find(|used| used.meaning == meaning)?;
        Some((used, column))
    });
    let (used, passed_over) = double?;
    let named = |column: &super::Column| column.title.clone().unwrap_or_default();
    let title = format!("{}: two columns may mean the same", export.name());
    Some(
        Finding::new(&LAYOUT_UNCERTAIN, Severity::Caution, title)
            .detail(format!("\"{}\" was used, \"{}\" was passed over.", named(used), named(passed_over)))
            .evidence("column used", used.index + 1)
            .evidence("column passed over", passed_over.index + 1)
            .at(place(export, None, Some(passed_over.index)))
            .next_step("Compare one row with its paper ticket to see which of the two is right."),
    )
}

fn date_order(export: &Export) -> Finding {
    Finding::new(
        &DATE_ORDER_UNCERTAIN,
        Severity::Caution,
        format!("{}: day and month could be exchanged", export.name()),
    )
    .detail("Every date in it is a real date both ways. It was read as the likelier order, month first.")
    .at(place(export, None, export.layout.column(super::Meaning::Date)))
    .next_step("Compare one date with its paper ticket, then run again with --date-order mdy or --date-order dmy.")
}

fn no_unit(export: &Export) -> Option<Finding> {
    let unitless = export.rows.iter().any(|row| match &row.content {
        RowContent::Draft(fields) => fields.gross.is_some_and(|gross| gross.unit().is_none()),
        _ => false,
    });
    unitless.then(|| {
        Finding::new(&UNIT_UNCERTAIN, Severity::Note, format!("{}: no unit is stated", export.name()))
            .detail("Neither header nor rows say pounds or kilograms. Figures are shown without a unit.")
            .at(place(export, None, None))
            .next_step("Nothing to do, if all weights of the day are in one unit.")
    })
}

/// Where in an export.
fn place(export: &Export, line: Option<LineNo>, column: Option<usize>) -> Place {
    Place { volume: export.volume, export: Some(export.id.clone()), line, column, ..Place::source(&export.source) }
}
