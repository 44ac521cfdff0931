//! An outside judge: DuckDB's sniffer on the same files. It is told which column means what, its cells are read leniently, and of
//! two readings, with types and without, the better counts; what is left to it is to find the table, its columns and its rows.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::super::judges;
use super::Case;
use super::print::is_weight;
use super::truth::Row;

/// What is asked of it.
const SCRIPT: &str = include_str!("duck.py");

/// Whether each of these exports is read exactly, row by row; nothing where the judge is missing.
pub fn duckdb(cases: &[Case]) -> Option<Vec<bool>> {
    if !judges::present("python3") || !judges::ask("python3", &["-c", "import duckdb"], b"")?.status.success() {
        eprintln!("not judged: duckdb");
        return None;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut asked = String::new();
    for (index, case) in cases.iter().enumerate() {
        let path = folder.path().join(format!("{index}.csv"));
        std::fs::write(&path, &case.bytes).unwrap();
        writeln!(asked, "{}", json!({ "path": path, "encoding": case.truth.encoding })).unwrap();
    }
    let output = judges::ask("python3", &["-c", SCRIPT], asked.as_bytes())?;
    let answers = String::from_utf8(output.stdout).unwrap();
    let answers: Vec<Value> = answers.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(answers.len(), cases.len(), "{}", String::from_utf8_lossy(&output.stderr));
    let any = |(case, tables): (&Case, &Value)| tables.as_array().unwrap().iter().any(|table| exact(case, table));
    Some(cases.iter().zip(&answers).map(any).collect())
}

/// Whether a table holds every row of an export with every field that is compared, and no other row.
pub fn exact(case: &Case, answer: &Value) -> bool {
    let rows = answer["rows"].as_array().map(Vec::as_slice).unwrap_or_default();
    let wanted = &case.truth.rows;
    rows.len() == wanted.len() && rows.iter().zip(wanted).all(|(cells, row)| row_right(case, answer, cells, row))
}

fn row_right(case: &Case, answer: &Value, cells: &Value, row: &Row) -> bool {
    let mut columns = case.truth.columns.iter().enumerate();
    columns.all(|(index, column)| {
        let cell = cells[place(case, answer, index)].as_str();
        cell.is_some_and(|cell| cell_right(case, column.meaning, cell.trim(), row))
    })
}

/// Where a column of the export stands in the answer: by its title where that is found once, else in its own place.
fn place(case: &Case, answer: &Value, index: usize) -> usize {
    let named = answer["columns"].as_array().map(Vec::as_slice).unwrap_or_default();
    let title = case.layout.columns.get(index).filter(|column| column.titles.len() == 1).map(|column| column.titles[0]);
    let mut found = (0..named.len()).filter(|place| title.is_some_and(|title| named[*place] == title));
    match (found.next(), found.next()) {
        (Some(only), None) => only,
        _ => index,
    }
}

/// A cell against the field of the true row; columns that are no field of a draft are not compared.
fn cell_right(case: &Case, meaning: &str, cell: &str, row: &Row) -> bool {
    let Some(value) = row.fields.get(meaning) else { return stamp_right(meaning, cell, row) };
    match meaning {
        "unit" => true,
        _ if value.is_null() => cell.is_empty(),
        "head" | "transaction" => number(cell, case) == Some(value.to_string()),
        _ if is_weight(meaning) || meaning == "shrink_percent" => number(cell, case).as_deref() == value.as_str(),
        _ => alike(cell) == alike(value.as_str().unwrap_or_default()),
    }
}

/// Dates and times, whether they were understood or left as text: their digits decide.
fn stamp_right(meaning: &str, cell: &str, row: &Row) -> bool {
    let digits = cell.chars().filter(char::is_ascii_digit).count();
    let stamps = row.readings.iter().map(|(_, at)| at.as_str());
    match meaning {
        "date" | "datetime" if cell.contains('T') || iso_date(cell) => {
            stamps.clone().any(|at| cell.get(..10) == at.get(..10))
        }
        "date" | "datetime" => digits >= 4,
        "time" => digits >= 3,
        _ => true,
    }
}

fn iso_date(cell: &str) -> bool {
    cell.len() >= 10 && cell.as_bytes()[4] == b'-' && cell.as_bytes()[7] == b'-'
}

/// A figure without unit, grouping, plus sign and idle zeros. Figures that were understood stand with a point.
fn number(cell: &str, case: &Case) -> Option<String> {
    let mark = case.truth.decimal_mark.unwrap_or('.');
    let understood = case.layout.group != Some('.') && cell.contains('.') && !cell.contains(',');
    let mark = if understood { '.' } else { mark };
    let figures: String = cell.chars().filter(|sign| sign.is_ascii_digit() || *sign == '-' || *sign == mark).collect();
    let plain = figures.replace(mark, ".");
    let (whole, fraction) = plain.split_once('.').unwrap_or((&plain, ""));
    let fraction = fraction.trim_end_matches('0');
    let digits = whole.trim_start_matches('-').trim_start_matches('0');
    let digits = if digits.is_empty() { "0" } else { digits };
    let sign = if whole.starts_with('-') { "-" } else { "" };
    Some(if fraction.is_empty() { format!("{sign}{digits}") } else { format!("{sign}{digits}.{fraction}") })
}

/// Text without quotes, and an id without leading zeros.
fn alike(text: &str) -> String {
    text.replace('"', "").trim_start_matches('0').to_owned()
}
