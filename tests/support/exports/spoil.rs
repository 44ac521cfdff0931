//! Pollutions of the table itself: its cells, titles, and the lines between its rows.

use super::super::memory::Numbers;
use super::layout::Between;
use super::names::words;
use super::pollution::Pollution as P;
use super::print::{self, Place};
use super::sheet::{Content, Kind, Line, Sheet, Shown, header};

/// Lets a pollution befall a sheet; those of text and bytes leave it as it is.
pub fn spoil(sheet: &mut Sheet, pollution: P, numbers: &mut Numbers) {
    match pollution {
        P::PlusSigns => plus_signs(sheet),
        P::NegativeWeight => negative_weight(sheet, numbers),
        P::LoneQuote => lone_quote(sheet, numbers),
        P::DuplicateTitle => duplicate_title(sheet, numbers),
        P::EmptyTitle => empty_title(sheet, numbers),
        P::TrailingDelimiter => sheet.trailing = true,
        P::Padding => sheet.padded = true,
        P::Subtotals => subtotals(sheet, numbers),
        P::GrandTotal => grand_total(sheet),
        P::SecondTable => second_table(sheet, numbers),
        P::Ragged => ragged(sheet, numbers),
        P::RepeatedHeader => repeated_header(sheet, numbers),
        P::Banners => banners(sheet, numbers),
        P::BlankLines => blank_lines(sheet, numbers),
        P::ForeignTable => foreign_table(sheet),
        P::FooterText => footer_text(sheet, numbers),
        P::Preamble => preamble(sheet, numbers),
        P::Sep => {
            let sign = sheet.layout.delimiter();
            sheet.lines.insert(0, Line::text(Kind::Text, format!("sep={sign}")));
        }
        _ => {}
    }
}

fn any_draft(sheet: &Sheet, numbers: &mut Numbers) -> usize {
    let drafts = sheet.drafts();
    drafts[numbers.below(drafts.len())]
}

fn plus_signs(sheet: &mut Sheet) {
    let weights: Vec<_> =
        (0..sheet.columns.len()).filter(|index| matches!(sheet.columns[*index].meaning, "gross" | "net")).collect();
    for line in sheet.drafts() {
        if let Content::Cells(cells) = &mut sheet.lines[line].content {
            for index in &weights {
                cells[*index].insert(0, '+');
            }
        }
    }
}

/// An empty deck that drifted below zero.
fn negative_weight(sheet: &mut Sheet, numbers: &mut Numbers) {
    let line = any_draft(sheet, numbers);
    let Kind::Draft(index) = sheet.lines[line].kind else { return };
    let weighing = &mut sheet.sale[index];
    weighing.head = 0;
    weighing.tare = 0;
    weighing.gross = -sheet.layout.division * (1 + numbers.below(9) as i64);
    let cells = print::row(&sheet.layout, weighing, Place { line: index + 1, running: 0 });
    sheet.lines[line] = Line::cells(Kind::Draft(index), cells);
}

fn lone_quote(sheet: &mut Sheet, numbers: &mut Numbers) {
    let line = any_draft(sheet, numbers);
    let sign = sheet.layout.delimiter();
    let texts: Vec<_> =
        ["remark", "consignor", "buyer"].iter().filter_map(|text| sheet.layout.position(text)).collect();
    let column = texts[numbers.below(texts.len())];
    let Content::Cells(cells) = &mut sheet.lines[line].content else { return };
    if cells[column].contains(sign) {
        return;
    }
    let at = if numbers.below(2) == 0 { 0 } else { cells[column].len() };
    cells[column].insert(at, '"');
    sheet.lines[line].bare = Some(column);
    sheet.lone_quote = true;
}

/// One more column under a title that is there: empty, or the same figures once more.
fn duplicate_title(sheet: &mut Sheet, numbers: &mut Numbers) {
    let choices: Vec<_> =
        ["ticket", "head", "gross", "date"].iter().filter_map(|meaning| sheet.layout.position(meaning)).collect();
    let column = choices[numbers.below(choices.len())];
    let empty = numbers.below(2) == 0;
    for line in &mut sheet.lines {
        if let Content::Cells(cells) = &mut line.content {
            let copied = line.kind == Kind::Header || !empty;
            cells.push(if copied { cells[column].clone() } else { String::new() });
        }
    }
    sheet.columns.push(Shown { meaning: "", titled: false });
}

fn empty_title(sheet: &mut Sheet, numbers: &mut Numbers) {
    let numbered = sheet.layout.has("line_number");
    let may_lose = |meaning: &str| match meaning {
        "transaction" => !numbered,
        "date" | "time" | "datetime" | "average" | "remark" | "weigher" | "kind" | "status" | "scale" => true,
        _ => false,
    };
    let choices: Vec<_> = (0..sheet.columns.len()).filter(|index| may_lose(sheet.columns[*index].meaning)).collect();
    let column = choices[numbers.below(choices.len())];
    sheet.columns[column].titled = false;
    for line in sheet.of_kind(|kind| kind == Kind::Header) {
        if let Content::Cells(cells) = &mut sheet.lines[line].content {
            cells[column].clear();
        }
    }
}

/// A line of sums over the weighings of these lines: in columns, or in words where blanks part the columns.
fn sum_line(sheet: &Sheet, drafts: &[usize], word: &str, of_ticket: bool) -> Line {
    let index = |line: &usize| match sheet.lines[*line].kind {
        Kind::Draft(index) => Some(&sheet.sale[index]),
        _ => None,
    };
    let rows: Vec<_> = drafts.iter().filter_map(index).collect();
    if sheet.layout.between == Between::Blanks {
        let (head, gross) = (rows.iter().map(|row| row.head).sum::<i64>(), rows.iter().map(|row| row.gross).sum());
        let gross = print::weight(&sheet.layout, gross, sheet.layout.decimals);
        return Line::text(Kind::FreeTotal, format!("{word} {head} {gross}"));
    }
    let place = sheet.layout.position("transaction").unwrap_or(0);
    let mut cells = print::sums(&sheet.layout, word, &rows, of_ticket, place);
    cells.resize(sheet.columns.len(), String::new());
    Line::cells(Kind::Total, cells)
}

/// A sum behind the last draft of each ticket, or of each lot where no ticket is printed.
fn subtotals(sheet: &mut Sheet, numbers: &mut Numbers) {
    let [total, subtotal, ..] = words(sheet.layout.language);
    let word = [total, subtotal][numbers.below(2)];
    let key = |sheet: &Sheet, line: usize| match sheet.lines[line].kind {
        Kind::Draft(index) => (sheet.sale[index].ticket, sheet.sale[index].lot),
        _ => (0, 0),
    };
    let drafts = sheet.drafts();
    let groups: Vec<Vec<usize>> =
        drafts.chunk_by(|one, two| key(sheet, *one) == key(sheet, *two)).map(<[usize]>::to_vec).collect();
    for group in groups.iter().rev() {
        let line = sum_line(sheet, group, word, true);
        sheet.lines.insert(group[group.len() - 1] + 1, line);
    }
}

fn grand_total(sheet: &mut Sheet) {
    let [total, ..] = words(sheet.layout.language);
    let line = sum_line(sheet, &sheet.drafts(), total, false);
    sheet.lines.push(line);
}

/// From the middle on another header, two columns exchanged.
fn second_table(sheet: &mut Sheet, numbers: &mut Numbers) {
    let drafts = sheet.drafts();
    let from = drafts[drafts.len() / 2];
    let count = sheet.columns.len();
    let (one, two) = (numbers.below(count), numbers.below(count));
    let mut order: Vec<_> = (0..count).collect();
    order.swap(one, if one == two { (two + 1) % count } else { two });
    let mut titles = header(&sheet.layout);
    for (line, shown) in titles.iter_mut().zip(sheet.of_kind(|kind| kind == Kind::Header)) {
        line.content = sheet.lines[shown].content.clone();
    }
    titles.insert(0, Line::text(Kind::Blank, ""));
    let rest = sheet.lines.split_off(from);
    sheet.lines.extend(titles.into_iter().chain(rest).map(|line| reordered(line, &order)));
}

fn reordered(mut line: Line, order: &[usize]) -> Line {
    if let Content::Cells(cells) = &mut line.content {
        *cells = order.iter().map(|index| cells[*index].clone()).collect();
        line.bare = line.bare.and_then(|bare| order.iter().position(|index| *index == bare));
        line.order = Some(order.to_vec());
    }
    line
}

/// One row with a cell less, where its last is empty, or with an empty cell more.
fn ragged(sheet: &mut Sheet, numbers: &mut Numbers) {
    let line = any_draft(sheet, numbers);
    if let Content::Cells(cells) = &mut sheet.lines[line].content {
        match cells.last() {
            Some(last) if last.is_empty() => drop(cells.pop()),
            _ => cells.push(String::new()),
        }
    }
}

fn repeated_header(sheet: &mut Sheet, numbers: &mut Numbers) {
    let before = any_draft(sheet, numbers);
    // The header that holds there: of a second table, its own.
    let height = sheet.layout.header_lines();
    let last = sheet.lines[..before].iter().rposition(|line| line.kind == Kind::Header).unwrap();
    let again = sheet.lines[last + 1 - height..=last].to_vec();
    sheet.lines.splice(before..before, again);
}

/// A day as the layout writes it, with a blank in front.
fn day_of(sheet: &Sheet, line: usize) -> String {
    match sheet.lines[line].kind {
        Kind::Draft(index) => {
            format!(" {}", print::stamp(&sheet.layout, sheet.layout.date_pattern(), sheet.sale[index].at))
        }
        _ => String::new(),
    }
}

fn banners(sheet: &mut Sheet, numbers: &mut Numbers) {
    let [.., session] = words(sheet.layout.language);
    for number in (1..=1 + numbers.below(3)).rev() {
        let before = any_draft(sheet, numbers);
        let text = format!("*** {session} {number}{} ***", day_of(sheet, before));
        sheet.lines.insert(before, Line::text(Kind::Text, text));
    }
}

fn blank_lines(sheet: &mut Sheet, numbers: &mut Numbers) {
    for _ in 0..=numbers.below(4) {
        let before = any_draft(sheet, numbers);
        let text = match (numbers.below(3), sheet.layout.between) {
            (0, Between::Sign(sign)) => sign.to_string().repeat(sheet.columns.len() - 1),
            (1, _) => "   ".to_owned(),
            _ => String::new(),
        };
        sheet.lines.insert(before, Line::text(Kind::Blank, text));
    }
}

/// Who weighed, in a table of its own.
fn foreign_table(sheet: &mut Sheet) {
    let between = match sheet.layout.between {
        Between::Sign(sign) => sign.to_string(),
        _ => "    ".to_owned(),
    };
    sheet.lines.push(Line::text(Kind::Blank, ""));
    for row in [["Initials", "Person", "Shift"], ["TQ", "Tamsin Quoyle", "Day"], ["HL", "Hesper Lowe", "Night"]] {
        sheet.lines.push(Line::text(Kind::Text, row.join(&between)));
    }
}

fn footer_text(sheet: &mut Sheet, numbers: &mut Numbers) {
    let [_, _, end, _] = words(sheet.layout.language);
    if numbers.below(2) == 0 {
        sheet.lines.push(Line::text(Kind::Blank, ""));
    }
    if numbers.below(3) == 0 {
        let count = sheet.drafts().len();
        sheet.lines.push(Line::text(Kind::FreeTotal, format!("Drafts: {count}")));
    }
    sheet.lines.push(Line::text(Kind::Text, end));
}

fn preamble(sheet: &mut Sheet, numbers: &mut Numbers) {
    let first = sheet.drafts()[0];
    let printed = format!("Printed:{}", day_of(sheet, first));
    let mut texts = vec!["Saltmere Livestock Yard", "Scale 1"];
    if sheet.layout.date_pattern().is_some() {
        texts.push(&printed);
    }
    texts.truncate(1 + numbers.below(texts.len()));
    let mut lines: Vec<_> = texts.into_iter().map(|text| Line::text(Kind::Text, text)).collect();
    if numbers.below(2) == 0 {
        lines.push(Line::text(Kind::Blank, ""));
    }
    sheet.lines.splice(0..0, lines);
}
