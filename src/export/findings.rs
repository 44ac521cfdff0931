//! What an export itself can show: each kind with its manual page, its text and what raises it.

use super::model::{Export, Row, RowContent};
use crate::finding::words::drafts;
use crate::finding::{COPY_FIRST, Finding, Place, Severity, kinds};
use crate::units::{Confidence, LineNo};

mod files;
mod layouts;
mod rows;

pub use files::{no_bytes, no_export, no_header, read_only};
pub use layouts::layout_does_not_fit;

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
    /// before the first row reached it. A file of 0 bytes with the name of an export, or beside one, is the same: its
    /// entry reached the stick, its rows did not.
    ///
    /// How we know: the file was read to its end and no line of it is a weighing, or its recorded size is 0.
    ///
    /// What to do: check the paper for tickets of that time.
    EXPORT_EMPTY = "export-empty";

    /// The last row of an export is cut off.
    ///
    /// The file ends in the middle of a row. Commonly the stick was pulled out, or power failed, while it was written; rows
    /// after it are then missing too. Where the file ends right behind a last figure, the draft counts as it stands, but
    /// digits of that figure may be missing: the finding is then a caution that says "may be cut".
    ///
    /// How we know: the last line has no line end, and fewer cells than the header, or a needed figure as its last cell.
    ///
    /// What to do: take that weighing from its paper ticket, or compare it. Wait for the indicator to finish before the stick is pulled.
    EXPORT_CUT_SHORT = "export-cut-short";

    /// Part of an export is zero bytes instead of rows.
    ///
    /// Space was set aside for rows, but the rows themselves never reached the stick, or were erased. Commonly the stick was
    /// pulled out too early.
    ///
    /// How we know: text never holds zero bytes. Where the header itself is gone, no column can be told from another and
    /// no row is read; the file is named all the same.
    ///
    /// What to do: take the weighings from their paper tickets.
    EXPORT_ZERO_FILLED = "export-zero-filled";

    /// The same rows stand in two exports; they are counted once.
    ///
    /// A copy or backup of an export lies on the stick. Nothing is lost, and nothing is counted twice. The rows are taken
    /// from the file that has more of them, or states more.
    ///
    /// How we know: number, head and weight of every row agree with a row of the other file, one for one, and no date,
    /// time, unit or scale that both state differs. A copy may have lost seconds, units or columns. Three rows or more
    /// whose times of day all agree are a copy also where its days were rewritten.
    ///
    /// What to do: nothing. To be rid of the copy, delete it on the computer, after the stick was copied whole.
    EXPORT_DUPLICATED = "export-duplicated";

    /// The header stands again between rows.
    ///
    /// The indicator was restarted or the stick put in again, and it wrote its header anew. No row is lost by that. Where
    /// the new header names other columns, the rows under it are read by it.
    ///
    /// How we know: the line carries no transaction number and names columns in the words of a header.
    ///
    /// What to do: nothing.
    REPEATED_HEADER = "repeated-header";

    /// A row could not be read.
    ///
    /// The line is kept as it stands and counts nowhere. Its weighing is missing from every sum until it is settled. Where
    /// only a figure is bad that a draft can do without (tare, average, shrink, pay weight, a net beside a gross), the draft
    /// counts without it, and the finding is a caution.
    ///
    /// How we know: the cell named does not hold what its column holds everywhere else, or the line has more cells than
    /// the header, so that they may have slipped into other columns.
    ///
    /// What to do: look at the row as shown and take the weighing from its paper ticket.
    ROW_UNREADABLE = "row-unreadable";

    /// It is not sure what a column holds.
    ///
    /// Either the header names one meaning twice: the first such column was used, and where the two differ, that may be the
    /// wrong one. Or no date of a column could be read: the drafts count, but without day and time. Or a layout was given
    /// (`--layout`) and does not fit an export, which was then read as if none had been given.
    ///
    /// How we know: by the words of the header, and by reading every cell of the column. A layout fits where shape, number of
    /// columns and titles are the same and the cells can be what it says.
    ///
    /// What to do: compare one row with its paper ticket.
    LAYOUT_UNCERTAIN = "layout-uncertain";

    /// Day and month could be the other way round.
    ///
    /// Read the other way, drafts would fall on other days. The likelier reading is used; month-day-year is common in the
    /// United States (common practice, no source).
    ///
    /// How we know: every date in the file is a real date in both orders, and nothing else on the stick decides.
    ///
    /// What to do: compare one date with its paper ticket, then run again with `--date-order mdy` or `--date-order dmy`.
    DATE_ORDER_UNCERTAIN = "date-order-uncertain";

    /// In which encoding an export was written is open.
    ///
    /// What it means: letters with accents stand for different bytes in different encodings. Here two of them give words
    /// that could be names, so that names of sellers or buyers may be shown misspelt. Numbers, dates and weights are the
    /// same in every one of them.
    ///
    /// How we know: each encoding was tried, and how letters stand among letters was compared.
    ///
    /// What to do: nothing, unless the names matter; then compare one with the paper.
    ///
    /// Source: WHATWG Encoding Standard, for the encodings; the comparison is our own.
    ENCODING_UNCERTAIN = "encoding-uncertain";

    /// No unit is stated for the weights.
    ///
    /// Figures are shown as they stand, without a unit. They add up as long as all of them are in the same one.
    ///
    /// How we know: neither the header nor the rows say pounds or kilograms.
    ///
    /// What to do: nothing, if the scale always shows the same unit. Otherwise set it to write the unit.
    UNIT_UNCERTAIN = "unit-uncertain";
}

/// So many exports are named in one finding.
const MOST_NAMED: usize = 20;

/// Everything one export shows by itself; `unread_date` is a date as written, where no date of it can be read.
#[must_use]
pub fn of_export(export: &Export, unread_date: Option<&str>) -> Vec<Finding> {
    let mut findings = rows::unreadable(export);
    findings.extend(rows::zeros_before_header(export));
    findings.extend(rows::doubtful(export));
    findings.extend(empty(export));
    findings.extend(repeated_header(export));
    findings.extend(double_columns(export));
    findings.extend(without_header(export));
    findings.extend(encoding_open(export));
    findings.extend(unread_date.map(|cell| no_date_read(export, cell)));
    findings.extend(no_unit(export));
    findings
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

fn repeated_header(export: &Export) -> Option<Finding> {
    let mut headers = export.rows.iter().filter(|row| row.content == RowContent::Header);
    // Titles on two lines and a row of units are one header.
    let own = usize::try_from(export.layout.header_lines).unwrap_or(usize::MAX);
    let (first, again) = (headers.next()?, headers.nth(own.saturating_sub(1))?);
    let text = |row: &Row| export.text.line(row.line).map(|line| line.text.trim());
    let (what, detail) = if text(first) == text(again) {
        ("the header stands again", "The indicator wrote it anew, as after a restart. No row is lost by that.")
    } else {
        (
            "another header stands",
            "The rows under it are read by it, those above by the header before. No row is lost by that.",
        )
    };
    let title = format!("{}: {what} on line {}", export.name(), again.line);
    Some(
        Finding::new(&REPEATED_HEADER, Severity::Note, title)
            .detail(detail)
            .evidence("headers in the file", export.counts.headers)
            .at(place(export, Some(again.line), None))
            .next_step("Nothing to do."),
    )
}

fn double_columns(export: &Export) -> Option<Finding> {
    use super::{Meaning, header_word};
    if export.layout.given {
        return None;
    }
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

/// The dates of some exports are open; said once for all of them, since one option settles them all.
#[must_use]
pub fn date_order(exports: &[Export]) -> Option<Finding> {
    let open: Vec<&Export> =
        exports.iter().filter(|export| export.date_order_open() && export.duplicate_of.is_none()).collect();
    let first = open.first()?;
    let who = match open.len() {
        1 => first.name().to_owned(),
        several => format!("{several} exports"),
    };
    let finding =
        Finding::new(&DATE_ORDER_UNCERTAIN, Severity::Caution, format!("{who}: day and month could be exchanged"))
            .detail(format!(
                "Every date there is a real date both ways. It was read as the likelier order: {}.",
                first.layout.dates_open.map_or("", super::DateOrder::words)
            ))
            .at(place(first, None, first.layout.column(super::Meaning::Date)));
    let finding = open.iter().take(MOST_NAMED).fold(finding, |finding, export| {
        finding.evidence("export", format!("{} on source {}", export.name(), export.source))
    });
    Some(
        finding.next_step(
            "Compare one date with its paper ticket, then run again with --date-order mdy or --date-order dmy.",
        ),
    )
}

fn no_date_read(export: &Export, cell: &str) -> Finding {
    let column =
        [super::Meaning::Date, super::Meaning::Datetime].into_iter().find_map(|meaning| export.layout.column(meaning));
    let shown: String = cell.chars().take(40).collect();
    Finding::new(&LAYOUT_UNCERTAIN, Severity::Caution, format!("{}: the dates could not be read", export.name()))
        .detail("Its drafts count, but without day and time, so that no day can be told from another.")
        .evidence("a date as written", shown)
        .at(place(export, None, column))
        .next_step("Set the indicator to write dates such as 10/17/2026 or 2026-10-17. Compare these drafts with the paper tickets.")
}

/// Columns told by what they hold: proved where one follows from others, else a person should look once.
fn without_header(export: &Export) -> Option<Finding> {
    use super::Meaning;
    if export.layout.header_lines > 0 || export.layout.given {
        return None;
    }
    let needed = [Meaning::Head, Meaning::Gross, Meaning::Net];
    let sure = Confidence::percent(90);
    let doubtful = |column: &&super::Column| needed.contains(&column.meaning) && column.confidence < sure;
    let open = export.layout.columns.iter().find(doubtful);
    let (severity, next_step) = match open {
        Some(_) => (Severity::Caution, "Compare one row with its paper ticket: number, head and weight."),
        None => (Severity::Note, "Nothing to do. Set the indicator to write a header, if it can."),
    };
    let finding = Finding::new(&LAYOUT_UNCERTAIN, severity, format!("{} has no header", export.name()))
        .detail("What each column means was told by what it holds, and by how the columns go together.")
        .at(place(export, None, open.map(|column| column.index)));
    let told = export.layout.columns.iter().filter(|column| column.meaning != Meaning::Ignored);
    let finding = told.fold(finding, |finding, column| {
        finding.evidence(
            format!("column {}", column.index + 1),
            format!("{}, {} sure", column.meaning.words(), column.confidence),
        )
    });
    Some(finding.next_step(next_step))
}

/// Two encodings fit, and give different names; figures and numbers are the same in both.
fn encoding_open(export: &Export) -> Option<Finding> {
    let other = export.text.encoding_doubt?;
    Some(
        Finding::new(&ENCODING_UNCERTAIN, Severity::Note, format!("{}: names may be misspelt", export.name()))
            .detail("Letters with accents can be read in two ways, and nothing decides between them. Numbers and weights are the same in both.")
            .evidence("read as", export.text.encoding)
            .evidence("would do as well", other)
            .at(place(export, None, None))
            .next_step("Look at one name with such a letter. Nothing else depends on it."),
    )
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
