//! Reads one export whole: text, layout, rows.

use std::ops::Range;

use super::date_order::DateHints;
use super::dialect::Table;
use super::find::export_table;
use super::known::{Fitted, KnownLayout, fitted, impose};
use super::layout::{Column, Layout};
use super::meaning::Meaning;
use super::model::{Row, RowContent, RowCounts, Unread};
use super::rows::{LineState, RowReader};
use super::sections::Sections;
use super::settle::Settled;
use super::table::Splitter;
use super::text::{Text, TextLine};
use crate::units::{Confidence, LineNo};

/// So many unreadable lines of one export are kept where no number is legible on them.
pub const UNREADABLE_KEPT: u64 = 20;

/// An export's content, before it is known where it lies.
#[derive(Debug, Clone)]
pub struct Content {
    /// How it is laid out.
    pub layout: Layout,
    /// What of it differs from a layout that was given and does not fit it.
    pub misfit: Option<String>,
    /// A date as written, where it has dates and none can be read.
    pub unread_date: Option<String>,
    /// Its text.
    pub text: Text,
    /// Its drafts, totals, headers and unreadable lines, as an export keeps them.
    pub rows: Vec<Row>,
    /// How its lines were told apart.
    pub counts: RowCounts,
}

/// The bytes of a file, as far as they could be read.
#[derive(Clone, Copy)]
pub struct FileContent<'a> {
    /// All of them; what could not be read holds a filler.
    pub bytes: &'a [u8],
    /// Where the filler stands, in file order.
    pub unreadable: &'a [Range<u64>],
    /// Where a byte of the file lies on the medium.
    pub medium_offset: &'a dyn Fn(u64) -> Option<u64>,
}

impl FileContent<'_> {
    /// Whether any of these bytes could not be read.
    fn is_damaged(&self, bytes: Range<u64>) -> bool {
        let next = self.unreadable.partition_point(|hole| hole.end <= bytes.start);
        self.unreadable.get(next).is_some_and(|hole| hole.start < bytes.end)
    }
}

/// Reads a whole file; `None` where it is no export.
///
/// `medium_offset` says where a byte of the file lies on the medium.
#[must_use]
pub fn read_content(bytes: &[u8], hints: &DateHints, medium_offset: &dyn Fn(u64) -> Option<u64>) -> Option<Content> {
    read_damaged(FileContent { bytes, unreadable: &[], medium_offset }, hints)
}

/// Whether the beginning of a file is that of an export: as it shows itself, or by a layout that was given.
#[must_use]
pub fn fits(sample: &[u8], known: Option<&KnownLayout>) -> bool {
    export_table(&Text::decode(sample)).is_some() || known.is_some_and(|known| fitted(known, sample).is_ok())
}

/// Reads a whole file of which parts may be missing; `None` where it is no export.
#[must_use]
pub fn read_damaged(file: FileContent<'_>, hints: &DateHints) -> Option<Content> {
    read_known(file, hints, None)
}

/// The same by a layout that was given, where it fits; where it does not, the content says what differs.
#[must_use]
pub fn read_known(file: FileContent<'_>, hints: &DateHints, known: Option<&KnownLayout>) -> Option<Content> {
    match known.map(|known| (known, fitted(known, file.bytes))) {
        Some((known, Ok(Fitted { text, table }))) => {
            let hints = DateHints { order: known.date_order.or(hints.order), ..hints.clone() };
            read_table(file, &hints, text, table, Some(known))
        }
        other => {
            let text = Text::decode(file.bytes);
            let table = export_table(&text)?;
            let misfit = other.and_then(|(_, fitted)| fitted.err());
            Some(Content { misfit, ..read_table(file, hints, text, table, None)? })
        }
    }
}

fn read_table(
    file: FileContent<'_>,
    hints: &DateHints,
    text: Text,
    table: Table,
    known: Option<&KnownLayout>,
) -> Option<Content> {
    let sections = Sections::of(&text, table);
    let mut settled = sections.settle(hints);
    let table = sections.all.first().map(|section| &section.table)?;
    if let (Some(known), Some(first)) = (known, settled.first_mut()) {
        impose(known, table, first);
    }
    let first = settled.first()?;
    let mut layout = layout(&text, table, first, sections.quoted());
    if known.is_some() {
        layout.mark_given();
    }
    // One section whose dates are open leaves the whole file's open.
    let open = settled.iter().find_map(|settled| settled.dates.filter(|dates| dates.uncertain));
    if let Some(dates) = open {
        layout.date_order = None;
        layout.dates_open = Some(dates.order);
    }
    let unread_date = settled.iter().find_map(|settled| settled.unread_date.clone());
    let mut out = Rows { file, rows: Vec::new(), counts: RowCounts { blank: text.blank(), ..RowCounts::default() } };
    out.read(&text, &sections, &settled);
    let Rows { rows, counts, .. } = out;
    Some(Content { layout, misfit: None, unread_date, text, rows, counts })
}

/// The rows read so far.
struct Rows<'a> {
    file: FileContent<'a>,
    rows: Vec<Row>,
    counts: RowCounts,
}

impl Rows<'_> {
    fn read(&mut self, text: &Text, sections: &Sections, settled: &[Settled]) {
        let mut next = sections.all.iter().zip(settled).peekable();
        let mut current: Option<(RowReader<'_>, Splitter)> = None;
        let mut lines = text.lines().peekable();
        while let Some(line) = lines.next() {
            let end = lines.peek().map_or(self.file.bytes.len() as u64, |next| next.byte);
            let state = LineState {
                open: line.number == LineNo(text.len()) && !text.ends_with_newline,
                damaged: self.file.is_damaged(line.byte..end),
            };
            if let Some((section, settled)) = next.next_if(|(section, _)| section.table.begins_at(line.number)) {
                let reader = RowReader::new(&section.table, settled);
                current = Some((reader, Splitter::new(&section.table.shape)));
            }
            if current.as_ref().is_some_and(|(reader, _)| reader.is_header_line(line.number)) {
                self.add(line, RowContent::Header, state);
            } else if sections.given_up_at.is_some_and(|from| line.number >= from) {
                let reason = Unread::TooManyHeaders;
                self.add(line, RowContent::Unreadable { column: None, reason, transaction: None }, state);
            } else if let Some((reader, splitter)) = &mut current {
                let cells = splitter.split(line.text);
                if cells.is_blank() {
                    self.counts.blank += 1;
                } else {
                    self.add(line, reader.read(line.text, &cells, state), state);
                }
            } else {
                self.add(line, RowContent::Banner, state);
            }
        }
    }

    fn add(&mut self, line: TextLine<'_>, content: RowContent, state: LineState) {
        count(&mut self.counts, &content);
        let kept = match &content {
            RowContent::Banner => false,
            RowContent::Unreadable { transaction: None, .. } => {
                self.counts.unreadable <= UNREADABLE_KEPT || state.open || state.damaged
            }
            _ => true,
        };
        if kept {
            let medium_offset = (self.file.medium_offset)(line.byte);
            self.rows.push(Row { line: line.number, byte: line.byte, medium_offset, content });
        }
    }
}

const fn count(counts: &mut RowCounts, content: &RowContent) {
    let counter = match content {
        RowContent::Draft(_) => &mut counts.drafts,
        RowContent::Total(_) => &mut counts.totals,
        RowContent::Header => &mut counts.headers,
        RowContent::Banner => &mut counts.banners,
        RowContent::Unreadable { .. } => &mut counts.unreadable,
    };
    *counter += 1;
}

fn layout(text: &Text, table: &Table, settled: &Settled, quoted: bool) -> Layout {
    Layout {
        encoding: text.encoding,
        byte_order_mark: text.byte_order_mark,
        shape: table.shape.clone(),
        quote: quoted.then_some('"'),
        decimal_mark: settled.decimal_mark,
        date_order: settled.dates.filter(|dates| !dates.uncertain && !dates.same_either_way).map(|dates| dates.order),
        dates_open: settled.dates.filter(|dates| dates.uncertain).map(|dates| dates.order),
        clock: settled.clock,
        header_lines: u32::try_from(table.header_lines.len()).unwrap_or(u32::MAX),
        unit: settled.unit,
        columns: columns(table),
        given: false,
    }
}

/// The columns as they are used: the first of a meaning; what only a ticket list has is passed over.
fn columns(table: &Table) -> Vec<Column> {
    let column = |index: usize| {
        let word = table.words.get(index).copied().flatten();
        let word = word.filter(|word| table.column(word.meaning) == Some(index) && !word.meaning.of_tickets_only());
        Column {
            index,
            title: table.header.get(index).map(str::to_owned),
            meaning: word.map_or(Meaning::Ignored, |word| word.meaning),
            confidence: word.map_or(Confidence::percent(50), |word| word.confidence),
        }
    };
    (0..table.header.count()).map(column).collect()
}
