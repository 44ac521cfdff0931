//! Reads one export whole: text, layout, rows.

use std::cmp::Ordering;

use super::dialect::Table;
use super::find::export_table;
use super::layout::{Column, Layout};
use super::meaning::Meaning;
use super::model::{Row, RowContent, RowCounts};
use super::rows::RowReader;
use super::settle::{DateHints, Settled, settle};
use super::table::{Cells, Splitter};
use super::text::Text;
use crate::units::{Confidence, LineNo};

/// An export's content, before it is known where it lies.
#[derive(Debug, Clone)]
pub struct Content {
    /// How it is laid out.
    pub layout: Layout,
    /// Whether the order of its dates is open.
    pub dates_uncertain: bool,
    /// Its text.
    pub text: Text,
    /// Its lines that are not blank.
    pub rows: Vec<Row>,
    /// How its lines were told apart.
    pub counts: RowCounts,
}

/// Reads a whole file; `None` where it is no export.
///
/// `medium_offset` says where a byte of the file lies on the medium.
#[must_use]
pub fn read_content(bytes: &[u8], hints: &DateHints, medium_offset: &dyn Fn(u64) -> Option<u64>) -> Option<Content> {
    let text = Text::decode(bytes);
    let table = export_table(&text)?;
    let mut splitter = Splitter::new(table.delimiter);
    let under_header: Vec<Cells> = text
        .lines()
        .skip_while(|line| line.number <= table.header_line)
        .map(|line| splitter.split(line.text))
        .collect();
    let settled = settle(&table, &under_header, hints);
    let layout = layout(&text, &table, &settled, &under_header);
    let dates_uncertain = settled.dates.is_some_and(|dates| dates.uncertain);
    let (rows, counts) = read_rows(&text, &table, &settled, &under_header, medium_offset);
    Some(Content { layout, dates_uncertain, text, rows, counts })
}

fn read_rows(
    text: &Text,
    table: &Table,
    settled: &Settled,
    under_header: &[Cells],
    medium_offset: &dyn Fn(u64) -> Option<u64>,
) -> (Vec<Row>, RowCounts) {
    let reader = RowReader::new(table, settled);
    let mut rows = Vec::with_capacity(text.len());
    let mut counts = RowCounts::default();
    let mut cells = under_header.iter();
    let last = LineNo(text.len() as u64);
    for line in text.lines() {
        let open = line.number == last && !text.ends_with_newline;
        let content = match line.number.cmp(&table.header_line) {
            Ordering::Less => (!line.text.trim().is_empty()).then_some(RowContent::Banner),
            Ordering::Equal => Some(RowContent::Header),
            Ordering::Greater => {
                cells.next().filter(|cells| !cells.is_blank()).map(|cells| reader.read(line.text, cells, open))
            }
        };
        count(&mut counts, content.as_ref());
        if let Some(content) = content {
            rows.push(Row { line: line.number, byte: line.byte, medium_offset: medium_offset(line.byte), content });
        }
    }
    (rows, counts)
}

const fn count(counts: &mut RowCounts, content: Option<&RowContent>) {
    let counter = match content {
        None => &mut counts.blank,
        Some(RowContent::Draft(_)) => &mut counts.drafts,
        Some(RowContent::Total(_)) => &mut counts.totals,
        Some(RowContent::Header) => &mut counts.headers,
        Some(RowContent::Banner) => &mut counts.banners,
        Some(RowContent::Unreadable { .. }) => &mut counts.unreadable,
    };
    *counter += 1;
}

fn layout(text: &Text, table: &Table, settled: &Settled, rows: &[Cells]) -> Layout {
    let quoted = table.header.quoted || rows.iter().any(|row| row.quoted);
    Layout {
        encoding: text.encoding,
        byte_order_mark: text.byte_order_mark,
        delimiter: table.delimiter,
        quote: quoted.then_some('"'),
        decimal_mark: settled.decimal_mark,
        date_order: settled.dates.filter(|dates| !dates.uncertain).map(|dates| dates.order),
        clock: settled.clock,
        header_lines: 1,
        unit: settled.unit,
        columns: columns(table),
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
