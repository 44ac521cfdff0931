//! Why an export was read as it was, in plain words and with the cells that show it.

use serde::Serialize;

use super::dates::{DateParts, split_datetime};
use super::known::{KnownLayout, RowSample, UnitStated};
use super::layout::{Clock, Column, DateOrder};
use super::meaning::Meaning;
use super::model::Export;
use super::shape::Shape;
use super::words::header_word;
use crate::finding::words::count_of;
use crate::units::{Confidence, LineNo};

/// One thing that was decided, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Reason {
    /// What was decided: `encoding`, `cells`, `titles`, `decimal-mark`, `dates`, `times` or `unit`.
    pub about: &'static str,
    /// Why, in one or two sentences.
    pub text: String,
}

/// Why an export was read as it was.
#[must_use]
pub fn reasons(export: &Export, sample: &RowSample, known: &KnownLayout) -> Vec<Reason> {
    let all = [
        ("encoding", Some(encoding(export))),
        ("cells", Some(cells(export, known))),
        ("titles", Some(titles(sample, export))),
        ("decimal-mark", decimal_mark(export, sample)),
        ("dates", dates(export, sample)),
        ("times", times(export, sample)),
        ("unit", Some(unit(export, known))),
    ];
    all.into_iter().filter_map(|(about, text)| Some(Reason { about, text: text? })).collect()
}

/// How it is known what a column means.
#[must_use]
pub fn column_reason(column: &Column) -> &'static str {
    let word = column.title.as_deref().and_then(header_word);
    let (proved, seen) = (Confidence::percent(90), Confidence::percent(80));
    match (word, column.meaning) {
        (Some(word), meaning) if word.meaning == meaning => "its title says so",
        (Some(_), Meaning::Ignored) => "another column has this meaning",
        (None, Meaning::Ignored) if column.title.is_some() => "its title is not known",
        (_, Meaning::Ignored) => "its cells do not show what they are",
        _ if column.confidence >= proved => "its cells go together with those of other columns",
        _ if column.confidence >= seen => "its cells alone look so",
        _ => "the likeliest by its cells",
    }
}

fn encoding(export: &Export) -> String {
    let text = &export.text;
    let name = export.layout.encoding;
    let beyond = text.lines().any(|line| !line.text.is_ascii());
    if export.layout.byte_order_mark {
        return format!("The file begins with the byte order mark of {name}.");
    }
    match name {
        "utf-16le" | "utf-16be" => "Nearly every other byte is zero, as where letters take two bytes.".to_owned(),
        _ if !beyond => "Every letter is plain ASCII, which is the same in nearly every encoding.".to_owned(),
        "utf-8" => "The letters beyond ASCII are sound UTF-8, which no other encoding is by chance.".to_owned(),
        _ => {
            let same = match text.encoding_same.as_slice() {
                [] => String::new(),
                same => {
                    format!(" {} {} the same text.", same.join(", "), if same.len() == 1 { "gives" } else { "give" })
                }
            };
            let doubt = text.encoding_doubt.map(|other| format!(" {other} would do as well and gives other letters."));
            format!(
                "The letters beyond ASCII are not UTF-8; in {name} they make words.{same}{}",
                doubt.unwrap_or_default()
            )
        }
    }
}

fn cells(export: &Export, known: &KnownLayout) -> String {
    let used = known.columns.iter().filter(|column| column.meaning != Meaning::Ignored).count();
    let understood = format!("{used} of {}", count_of(known.columns.len() as u64, "column is", "columns are"));
    let stand = export.layout.shape.in_words();
    match &export.layout.shape {
        Shape::Columns(starts) => {
            let places: Vec<String> = starts.iter().map(usize::to_string).collect();
            format!(
                "No mark stands between cells. On nearly every row the place before {} is blank: columns begin there. So \
                 {understood} understood.",
                places.join(", ")
            )
        }
        _ => format!("Cells stand {stand}: split so, {understood} understood, more than in any other way."),
    }
}

fn titles(sample: &RowSample, export: &Export) -> String {
    let lines: Vec<u64> = sample.title_lines.iter().map(|line| line.0).collect();
    let units = sample.units_line.map(|line| format!(" Line {line} under it is a row of units."));
    match lines.as_slice() {
        [] => {
            let first = sample.drafts.first().map_or(1, |(line, _)| line.0);
            let above = if first > 1 { format!(" The first row is line {first}.") } else { String::new() };
            format!("No line holds titles that are known; what columns mean was told by their cells.{above}")
        }
        [one] => {
            let known = export.layout.columns.iter().filter_map(|column| column.title.as_deref().and_then(header_word));
            let known = count_of(known.count() as u64, "title", "titles");
            format!("Line {one} holds {known} in known words.{}", units.unwrap_or_default())
        }
        [first, others @ ..] => {
            let last = others.last().unwrap_or(first);
            format!("Lines {first} and {last} hold the titles, read from above.{}", units.unwrap_or_default())
        }
    }
}

fn decimal_mark(export: &Export, sample: &RowSample) -> Option<String> {
    use Meaning::{Average, Gross, Net, Tare};
    let weights = [Gross, Net, Average, Tare].into_iter().filter_map(|meaning| export.layout.column(meaning));
    let mark = export.layout.decimal_mark;
    let word = if mark == ',' { "comma" } else { "point" };
    let shows = |cell: &str| {
        let figure = cell.trim_end_matches(|letter: char| !letter.is_ascii_digit());
        figure
            .rsplit_once(mark)
            .is_some_and(|(_, digits)| digits.len() != 3 && digits.bytes().all(|b| b.is_ascii_digit()))
    };
    let shown = weights.flat_map(|index| sample.column(index)).find(|(_, cell)| shows(cell));
    if sample.drafts.is_empty() {
        return None;
    }
    Some(match shown {
        Some((line, cell)) => format!("The decimal mark is a {word}: {cell} on line {line}."),
        None if mark == ',' => {
            "The decimal mark is a comma: read by a point, weights would be less than one for each of their head."
                .to_owned()
        }
        None => "No weight shows decimals; a point would be their mark.".to_owned(),
    })
}

fn dates(export: &Export, sample: &RowSample) -> Option<String> {
    let column = [Meaning::Date, Meaning::Datetime].into_iter().find_map(|meaning| export.layout.column(meaning))?;
    let cells: Vec<DateCell<'_>> = sample
        .column(column)
        .filter_map(|(line, cell)| {
            let day = split_datetime(cell).0;
            Some((line, day, DateParts::read(day)?))
        })
        .collect();
    let (line, first, _) = cells.first().copied()?;
    Some(match export.layout.date_order {
        Some(order) => date_order(&cells, order),
        None if export.layout.dates_open.is_some() => format!(
            "Open: every date is a real day in more than one order, such as {first} on line {line}, and nothing else \
             decides. It is read as {}.",
            export.layout.dates_open.map_or("", DateOrder::words)
        ),
        None => format!("Dates are the same days in every order, such as {first} on line {line}."),
    })
}

/// A date with its line, as written and as understood.
type DateCell<'a> = (LineNo, &'a str, DateParts);

/// Why dates stand in this order: the date that allows no other.
fn date_order(cells: &[DateCell<'_>], order: DateOrder) -> String {
    let words = order.words();
    if let Some((line, cell, _)) = cells.iter().find(|(_, _, parts)| parts.order() == Some(order)) {
        return format!("Dates show their order themselves ({words}): {cell} on line {line}.");
    }
    // A year of two digits stands first only after dashes.
    let dashed = cells.iter().all(|(_, _, parts)| parts.is_dashed());
    let others = [DateOrder::Mdy, DateOrder::Dmy, DateOrder::Ymd].into_iter();
    let others: Vec<DateOrder> =
        others.filter(|other| *other != order && (*other != DateOrder::Ymd || dashed)).collect();
    let decides = |(_, _, parts): &&DateCell<'_>| {
        parts.date(order).is_some() && others.iter().all(|other| parts.date(*other).is_none())
    };
    match cells.iter().find(decides) {
        Some((line, cell, _)) => format!("Dates are {words}: {cell} on line {line} is no day in another order."),
        None => format!(
            "Dates are {words}: only so do they all go together, from row to row or with the day the file was written."
        ),
    }
}

fn times(export: &Export, sample: &RowSample) -> Option<String> {
    let index = [Meaning::Time, Meaning::Datetime].into_iter().find_map(|meaning| export.layout.column(meaning))?;
    let (line, cell) = sample.column(index).next()?;
    Some(match export.layout.clock? {
        Clock::Twelve => format!("Times carry a mark for morning and afternoon: {cell} on line {line}."),
        Clock::TwentyFour => {
            format!("Times carry no mark for morning and afternoon, so they run to 24 hours: {cell} on line {line}.")
        }
    })
}

fn unit(export: &Export, known: &KnownLayout) -> String {
    let of_all = export.layout.unit.map(|unit| format!(" ({unit})")).unwrap_or_default();
    match known.unit_stated {
        UnitStated::Titles => format!("The unit{of_all} stands in the titles."),
        UnitStated::UnitsRow => format!("The unit{of_all} stands in the row of units."),
        UnitStated::Column => format!("The unit{of_all} stands on each row, in a column of its own."),
        UnitStated::Cells => "The unit stands in the cells, beside the figures.".to_owned(),
        UnitStated::Nowhere => "No unit is stated anywhere.".to_owned(),
    }
}
