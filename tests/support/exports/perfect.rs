//! The document a perfect reader would give of an export: what the scoring is tested with.

use serde_json::{Map, Value, json};

use super::Case;
use super::print;
use super::truth::{DateTruth, Row};

/// The document, with the parts that are scored.
pub fn perfect(case: &Case) -> Value {
    let truth = &case.truth;
    let order = match truth.dates {
        DateTruth::Decided(order) | DateTruth::Leaning(order) => Some(order.word()),
        DateTruth::NoDate | DateTruth::Undecidable => None,
    };
    let columns = truth.columns.iter().enumerate();
    let columns: Vec<_> = columns.map(|(index, column)| json!({ "index": index, "meaning": column.meaning })).collect();
    let layout = json!({
        "encoding": truth.encoding,
        "delimiter": truth.delimiter.to_string(),
        "decimal_mark": truth.decimal_mark.unwrap_or('.').to_string(),
        "date_order": order,
        "clock": truth.clock,
        "columns": columns,
    });
    let (drafts, totals) = (truth.rows.len(), *truth.totals.start());
    let banners = truth.lines.end() - drafts - totals - truth.torn;
    let rows = json!({
        "drafts": drafts, "totals": totals, "headers": 0, "banners": banners, "blank": 0, "unreadable": truth.torn,
    });
    let drafts: Vec<_> = (0..).zip(&truth.rows).map(draft).collect();
    json!({ "exports": [{ "layout": layout, "rows": rows }], "drafts": drafts })
}

fn draft((byte, row): (usize, &Row)) -> Value {
    let mut draft: Map<String, Value> =
        row.fields.iter().map(|(field, value)| ((*field).to_owned(), value.clone())).collect();
    draft.insert("origin".to_owned(), json!({ "byte": byte }));
    Value::Object(draft)
}

/// What a perfect general tool would give: the rows as they are printed, under the names of their columns.
pub fn perfect_table(case: &Case) -> Value {
    let cell = |row: &Row, meaning: &str| match meaning {
        "date" | "datetime" => row.fields["at"].as_str().unwrap_or_default().to_owned(),
        "time" => row.fields["at"].as_str().unwrap_or_default()[11..].to_owned(),
        _ => match row.fields.get(meaning) {
            Some(Value::String(text)) if print::is_figure(meaning) => text.replace('.', &case.layout.mark.to_string()),
            Some(Value::String(text)) => text.clone(),
            Some(Value::Number(number)) => number.to_string(),
            _ => String::new(),
        },
    };
    let columns = &case.truth.columns;
    let rows: Vec<Vec<String>> =
        case.truth.rows.iter().map(|row| columns.iter().map(|column| cell(row, column.meaning)).collect()).collect();
    json!({ "columns": vec![""; columns.len()], "rows": rows })
}
