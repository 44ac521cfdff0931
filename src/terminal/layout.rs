//! How an export is laid out, for people: what was decided, why, and the first rows as read.

use counterfoil::day::LaidOut;
use counterfoil::export::{Clock, Column, DateOrder, Export, Fields, Meaning, Reason, UnitStated, column_reason};
use counterfoil::finding::words::count_of;
use counterfoil::report::first_rows;
use counterfoil::units::{LineNo, Weight};

use super::bounds::{MOST, listed, shown};
use super::summary::{Screen, findings, labelled, not_checked};
use super::{Painter, wrapped};

/// Where all findings are, when there are too many for a screen.
const ALL_FINDINGS: &str = "With --json all of them are in one document.";

/// What `layout` tells of a file; `saved` is where the layout was kept.
pub fn laid_out(laid_out: &LaidOut, path: &str, saved: Option<&str>, screen: Screen) -> String {
    let day = &laid_out.day;
    let mut out = format!("{}\n\n", wrapped(&headline(laid_out, path), screen.width, ""));
    let painter = Painter::new(day, None, screen.width, screen.colour).with_evidence();
    out.push_str(&findings(day, &painter, ALL_FINDINGS, screen));
    if let Some(export) = day.exports.first() {
        let stated = laid_out.known.as_ref().map(|known| known.unit_stated);
        out.push_str(&decided(export, stated, screen));
        out.push_str(&columns(export, screen));
        out.push_str(&why(&laid_out.why, screen));
        out.push_str(&rows(export, screen));
    }
    if day.exports.is_empty() {
        out.push_str(&not_checked(day, screen));
    }
    let saved = saved.map(|saved| {
        let text = format!("Saved as {}. Give it back with --layout; look it over first.", shown(saved));
        format!("{}\n", wrapped(&text, screen.width, ""))
    });
    out + &saved.unwrap_or_default()
}

fn headline(laid_out: &LaidOut, path: &str) -> String {
    let path = shown(path);
    let Some(export) = laid_out.day.exports.first() else {
        let looks_like = laid_out.looks_like.as_deref().map(|words| format!(" It looks like {}.", shown(words)));
        return format!("{path} is no export.{}", looks_like.unwrap_or_default());
    };
    let columns = count_of(export.layout.columns.len() as u64, "column", "columns");
    let drafts = count_of(export.counts.drafts, "draft", "drafts");
    format!("{path} is an export: {columns}, cells {}, {drafts}.", export.layout.shape.in_words())
}

fn decided(export: &Export, stated: Option<UnitStated>, screen: Screen) -> String {
    let layout = &export.layout;
    let order = match (layout.date_order, export.date_order_open()) {
        (Some(DateOrder::Mdy), _) => "month, day, year",
        (Some(DateOrder::Dmy), _) => "day, month, year",
        (Some(DateOrder::Ymd), _) => "year, month, day",
        (None, true) => "open; read as month, day, year",
        (None, false) if layout.column(Meaning::Date).or(layout.column(Meaning::Datetime)).is_some() => {
            "the same days in every order"
        }
        (None, false) => "no dates",
    };
    let clock = match layout.clock {
        Some(Clock::Twelve) => "12 hours, with a mark for morning and afternoon",
        Some(Clock::TwentyFour) => "24 hours",
        None => "no times of day",
    };
    let header = count_of(u64::from(layout.header_lines), "line", "lines");
    let mark = if layout.decimal_mark == ',' { "comma" } else { "point" };
    let unit = match (layout.unit, stated) {
        (Some(unit), _) => unit.to_string(),
        (None, Some(UnitStated::Cells)) => "beside each figure".to_owned(),
        (None, Some(UnitStated::Column)) => "more than one, stated on each row".to_owned(),
        (None, _) => "not stated".to_owned(),
    };
    let lines = [
        ("Encoding", layout.encoding),
        ("Cells", layout.shape.in_words()),
        ("Header", if layout.header_lines == 0 { "none" } else { &header }),
        ("Decimals", mark),
        ("Dates", order),
        ("Clock", clock),
        ("Unit", &unit),
    ];
    let lines: String = lines.iter().map(|(what, value)| labelled(what, value, screen)).collect();
    format!("HOW IT IS LAID OUT\n\n{lines}\n")
}

fn columns(export: &Export, screen: Screen) -> String {
    let line = |column: &Column| {
        let title = column.title.as_deref().map(|title| format!("\"{}\": ", shown(title))).unwrap_or_default();
        let meaning = column.meaning.words();
        let (sure, reason) = (column.confidence, column_reason(column));
        let text = format!("{:>3}  {title}{meaning} ({sure} sure: {reason})", column.index + 1);
        format!("{}\n", wrapped(&text, screen.width, "     "))
    };
    format!("COLUMNS\n\n{}\n", listed(&export.layout.columns, MOST, |_, column| line(column)))
}

fn why(reasons: &[Reason], screen: Screen) -> String {
    let line = |reason: &Reason| format!("{}\n", wrapped(&format!("- {}", shown(&reason.text)), screen.width, "  "));
    format!("WHY IT WAS READ SO\n\n{}\n", listed(reasons, MOST, |_, reason| line(reason)))
}

fn rows(export: &Export, screen: Screen) -> String {
    let counts = &export.counts;
    let sorts = [
        (counts.drafts, "draft", "drafts"),
        (counts.totals, "total", "totals"),
        (counts.headers, "line of a header", "lines of headers"),
        (counts.banners, "line of words", "lines of words"),
        (counts.blank, "blank line", "blank lines"),
        (counts.unreadable, "unreadable line", "unreadable lines"),
    ];
    let sorts = sorts.into_iter().filter(|(count, ..)| *count > 0).map(|(count, one, many)| count_of(count, one, many));
    let lines = labelled("Lines", &sorts.collect::<Vec<_>>().join(", "), screen);
    let rows = first_rows(export).map(|(line, fields)| row(line, fields, screen));
    format!("FIRST ROWS AS READ\n\n{}{lines}\n", rows.collect::<String>())
}

fn row(line: LineNo, fields: &Fields, screen: Screen) -> String {
    let weight = |what: &str, weight: Option<Weight>| weight.map(|weight| format!("{weight} {what}"));
    let parts = [
        fields.transaction.map(|number| format!("number {number}")),
        fields.at.map(|at| at.to_string()),
        fields.lot.as_ref().map(|lot| format!("lot {lot}")),
        fields.ticket.as_ref().map(|ticket| format!("ticket {ticket}")),
        fields.head.map(|head| format!("{} head", head.0)),
        weight("gross", fields.gross),
        weight("tare", fields.tare),
        weight("net", fields.net),
        weight("average", fields.average),
        weight("pay weight", fields.pay_weight),
        fields.consignor.as_ref().map(|name| format!("from {name}")),
        fields.buyer.as_ref().map(|name| format!("to {name}")),
    ];
    labelled(&format!("Line {line}"), &parts.into_iter().flatten().collect::<Vec<_>>().join(", "), screen)
}
