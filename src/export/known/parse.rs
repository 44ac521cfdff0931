//! A Data Resource to a kept layout. Properties that are not known here are passed over.

use serde_json::Value;

use super::super::encoding::Encoding;
use super::super::layout::{Clock, DateOrder};
use super::super::meaning::Meaning;
use super::super::shape::{DELIMITERS, Shape};
use super::super::table::MOST_CELLS;
use super::descriptor::{ShapeName, VERSION};
use super::fields::{FieldError, Property};
use super::{CellType, KnownColumn, KnownLayout, LineEnd, UnitStated, pattern};

/// Titles stand on at most so many lines.
const MOST_TITLE_LINES: usize = 2;

/// No column of a fixed width begins farther from the left, in letters.
const FARTHEST_START: usize = 4_096;

/// Runs of more blanks than this are not asked for between cells.
const MOST_BLANKS: usize = 16;

/// Properties of a dialect that would change how lines are read and that this program does not follow.
const NOT_FOLLOWED: [&str; 3] = ["escapeChar", "commentChar", "nullSequence"];

/// Reads the text of a layout file.
///
/// # Errors
/// A [`FieldError`] that names the first property which is not as it must be.
pub fn known_layout(text: &str) -> Result<KnownLayout, FieldError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let value: Value = serde_json::from_str(text)
        .map_err(|error| FieldError { field: "the file".to_owned(), what: format!("is no JSON ({error})") })?;
    let file = Property::document(&value).object()?;
    let (dialect, schema, own) =
        (file.get("dialect").object()?, file.get("schema").object()?, file.get("counterfoil:layout").object()?);
    version(&own.get("version"))?;
    let header = dialect.get("header").read("true or false")?.unwrap_or(true);
    let columns = columns(&schema.get("fields"), header)?;
    let known = KnownLayout {
        encoding: encoding(&file.get("encoding"))?,
        byte_order_mark: own.get("byte_order_mark").read("true or false")?.unwrap_or(false),
        shape: shape(&dialect, &own, columns.len())?,
        line_end: line_end(&dialect.get("lineTerminator"))?,
        title_lines: if header { title_lines(&dialect.get("headerRows"))? } else { Vec::new() },
        comment_lines: lines(&dialect.get("commentRows"))?,
        decimal_mark: decimal_mark(&schema.get("fields"))?,
        date_order: date_order(&own.get("date_order"), &columns, &schema.get("fields"))?,
        clock: own.get("clock").read::<Clock>("12h or 24h")?,
        unit: own.get("unit").read("lb or kg")?,
        unit_stated: own.get("unit_stated").read(STATED)?.unwrap_or(UnitStated::Nowhere),
        missing: missing(&schema.get("missingValues"))?,
        columns,
    };
    complete(&known, &schema.get("fields"))?;
    Ok(known)
}

const STATED: &str = "titles, units-row, column, cells or nowhere";

fn version(property: &Property<'_>) -> Result<(), FieldError> {
    match property.read::<u32>("a whole number")? {
        None | Some(VERSION) => Ok(()),
        Some(other) => Err(property.wrong(format!("is {other}; this program reads version {VERSION}"))),
    }
}

fn encoding(property: &Property<'_>) -> Result<&'static str, FieldError> {
    let name = property.text()?.unwrap_or_else(|| "utf-8".to_owned());
    let known = Encoding::named(&name);
    known.map(Encoding::name).ok_or_else(|| property.wrong(format!("names an encoding that is not known: \"{name}\"")))
}

fn shape(dialect: &Property<'_>, own: &Property<'_>, columns: usize) -> Result<Shape, FieldError> {
    for name in NOT_FOLLOWED {
        let property = dialect.get(name);
        if property.is_there() {
            return Err(property.wrong("is not followed by this program; such exports cannot be read by a layout"));
        }
    }
    let quote = dialect.get("quoteChar");
    if quote.letter()?.is_some_and(|quote| quote != '"') {
        return Err(quote.wrong("must be \", the only mark that is taken off cells"));
    }
    let name = own.get("shape").read("delimited, fixed-width or blanks")?.unwrap_or(ShapeName::Delimited);
    match name {
        ShapeName::Blanks => {
            let property = own.get("blanks");
            let least = property.read("a whole number")?.unwrap_or(1);
            let sound = (1..=MOST_BLANKS).contains(&least);
            sound.then_some(Shape::Blanks(least)).ok_or_else(|| property.wrong("must be from 1 to 16"))
        }
        ShapeName::FixedWidth => starts(&own.get("starts"), columns).map(Shape::Columns),
        ShapeName::Delimited => {
            let property = dialect.get("delimiter");
            let delimiter = property.letter()?.unwrap_or(',');
            let known = DELIMITERS.contains(&delimiter);
            known.then_some(Shape::Delimited(delimiter)).ok_or_else(|| property.wrong("must be , ; | or a tab"))
        }
    }
}

fn starts(property: &Property<'_>, columns: usize) -> Result<Vec<usize>, FieldError> {
    let starts: Vec<usize> = property.read("a list of whole numbers")?.unwrap_or_default();
    if starts.len() != columns {
        let all = starts.len();
        return Err(property.wrong(format!("names {all} places, and there are {columns} fields: each begins at one")));
    }
    if starts.iter().any(|start| *start > FARTHEST_START) {
        return Err(property.wrong(format!("must lie at most {FARTHEST_START} letters from the left")));
    }
    let rising = starts.iter().zip(starts.iter().skip(1)).all(|(one, next)| one < next);
    rising.then_some(starts).ok_or_else(|| property.wrong("must rise from each place to the next"))
}

fn line_end(property: &Property<'_>) -> Result<LineEnd, FieldError> {
    let Some(text) = property.text()? else { return Ok(LineEnd::default()) };
    let ends = [LineEnd::Lf, LineEnd::CrLf, LineEnd::Cr];
    ends.into_iter().find(|end| end.text() == text).ok_or_else(|| property.wrong("must be \\n, \\r\\n or \\r"))
}

fn lines(property: &Property<'_>) -> Result<Vec<u64>, FieldError> {
    let lines: Vec<u64> = property.read("a list of line numbers")?.unwrap_or_default();
    if lines.contains(&0) {
        return Err(property.wrong("counts lines from 1"));
    }
    Ok(lines)
}

fn title_lines(property: &Property<'_>) -> Result<Vec<u64>, FieldError> {
    let named = lines(property)?;
    let named = if property.is_there() { named } else { vec![1] };
    let follow = named.iter().zip(named.iter().skip(1)).all(|(one, next)| one.checked_add(1) == Some(*next));
    let sound = follow && (1..=MOST_TITLE_LINES).contains(&named.len());
    sound.then_some(named).ok_or_else(|| property.wrong("must name one line, or two that follow each other"))
}

fn columns(fields: &Property<'_>, headed: bool) -> Result<Vec<KnownColumn>, FieldError> {
    let items = fields.items()?;
    if !(2..=MOST_CELLS).contains(&items.len()) {
        return Err(fields.wrong(format!("must list the columns, from 2 to {MOST_CELLS}")));
    }
    items.into_iter().map(|item| column(&item.object()?, headed)).collect()
}

fn column(field: &Property<'_>, headed: bool) -> Result<KnownColumn, FieldError> {
    let name = field.get("name").text()?.ok_or_else(|| field.get("name").wrong("is missing"))?;
    let written = field.get("counterfoil:title").text()?.unwrap_or(name);
    let meaning = field.get("counterfoil:meaning");
    let known: Option<Meaning> = meaning.read("a meaning such as transaction, head or gross")?;
    Ok(KnownColumn {
        title: Some(written.trim().to_owned()).filter(|title| headed && !title.is_empty()),
        meaning: known.ok_or_else(|| meaning.wrong("is missing; a column of no use is \"ignored\""))?,
        unit: field.get("counterfoil:unit").read("lb or kg")?,
        cells: cell_type(field)?,
        group_mark: field.get("groupChar").letter()?,
        bare: field.get("bareNumber").read("true or false")?.unwrap_or(true),
    })
}

fn cell_type(field: &Property<'_>) -> Result<CellType, FieldError> {
    let kind = field.get("type");
    let format = || Ok(field.get("format").text()?.unwrap_or_else(|| "default".to_owned()));
    Ok(match kind.text()?.as_deref() {
        None | Some("string" | "any") => CellType::Text,
        Some("integer") => CellType::Whole,
        Some("number") => CellType::Figure,
        Some("date") => CellType::Date(format()?),
        Some("time") => CellType::Time(format()?),
        Some("datetime") => CellType::Datetime(format()?),
        Some(other) => {
            let what = format!("is \"{other}\"; it must be string, integer, number, date, time or datetime");
            return Err(kind.wrong(what));
        }
    })
}

/// One mark holds for the whole export: the same in every field of figures.
fn decimal_mark(fields: &Property<'_>) -> Result<char, FieldError> {
    let mut mark = None;
    for field in fields.items()? {
        let property = field.get("decimalChar");
        if field.get("type").text()?.as_deref() != Some("number") {
            continue;
        }
        let own = property.letter()?.unwrap_or('.');
        if !matches!(own, '.' | ',') {
            return Err(property.wrong("must be . or ,"));
        }
        if mark.is_some_and(|mark| mark != own) {
            return Err(property.wrong("differs from that of a field before it; one mark holds for the whole export"));
        }
        mark = Some(own);
    }
    Ok(mark.unwrap_or('.'))
}

/// A pattern of dates names their order; what stands beside it may not say otherwise.
fn date_order(
    own: &Property<'_>,
    columns: &[KnownColumn],
    fields: &Property<'_>,
) -> Result<Option<DateOrder>, FieldError> {
    let stated = own.read::<DateOrder>("mdy, dmy or ymd")?;
    let dates = columns.iter().zip(fields.items()?).filter_map(|(column, field)| match &column.cells {
        CellType::Date(format) | CellType::Datetime(format) => Some((pattern::order_in(format)?, field.get("format"))),
        _ => None,
    });
    let mut order = stated;
    for (named, property) in dates {
        if order.is_some_and(|order| order != named) {
            return Err(property.wrong("names another order of day, month and year than stands elsewhere in the file"));
        }
        order = Some(named);
    }
    Ok(order)
}

fn missing(property: &Property<'_>) -> Result<Vec<String>, FieldError> {
    Ok(property.read("a list of texts")?.unwrap_or_else(|| vec![String::new()]))
}

/// The columns an export is nothing without, and no meaning twice.
fn complete(known: &KnownLayout, fields: &Property<'_>) -> Result<(), FieldError> {
    for (index, (column, field)) in known.columns.iter().zip(fields.items()?).enumerate() {
        let meaning = column.meaning;
        if meaning != Meaning::Ignored && known.column(meaning) != Some(index) {
            let words = meaning.words();
            return Err(field.get("counterfoil:meaning").wrong(format!("is that of a field before it: {words}")));
        }
    }
    let has = |meaning| known.column(meaning).is_some();
    let lacks = |what: &str| Err(fields.wrong(format!("has no field whose counterfoil:meaning is {what}")));
    if !has(Meaning::Transaction) {
        return lacks("transaction");
    }
    if !has(Meaning::Gross) && !has(Meaning::Net) {
        return lacks("gross or net");
    }
    if !has(Meaning::Head) && !has(Meaning::Date) && !has(Meaning::Datetime) {
        return lacks("head, date or datetime");
    }
    Ok(())
}
