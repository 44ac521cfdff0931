//! What a file that is no export looks like, in words, so that whoever named it sees why.

use super::dialect::find_table;
use super::find::export_table;
use super::meaning::Meaning;
use super::text::Text;

/// How files of other kinds begin (magic numbers as in the file formats themselves; from memory).
const BEGINNINGS: [(&[u8], &str); 6] = [
    (b"PK\x03\x04", "an archive, as workbooks (.xlsx) and zip files are"),
    (b"\xD0\xCF\x11\xE0", "an office document of the older kind (.xls, .doc)"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xFF\xD8\xFF", "a picture (JPEG)"),
    (b"Rar!", "a packed file (RAR)"),
];

/// So many titles are quoted.
const MOST_TITLES: usize = 12;

/// What the beginning of a file looks like, in words that follow "it looks like"; `None` where it is an export's.
#[must_use]
pub fn looks_like(sample: &[u8]) -> Option<String> {
    if let Some((_, words)) = BEGINNINGS.iter().find(|(beginning, _)| sample.starts_with(beginning)) {
        return Some((*words).to_owned());
    }
    let text = Text::decode(sample);
    if export_table(&text).is_some() {
        return None;
    }
    if sample.iter().all(|byte| *byte == 0) {
        return Some("nothing but zero bytes".to_owned());
    }
    let odd = text.lines().flat_map(|line| line.text.chars());
    let odd = odd.filter(|letter| letter.is_control() && *letter != '\t' || *letter == '\u{fffd}').count();
    if odd * 50 > sample.len() {
        return Some("bytes that are no text".to_owned());
    }
    Some(as_text(&text))
}

fn as_text(text: &Text) -> String {
    let found = find_table(text).filter(|table| !table.header_lines.is_empty());
    let Some(table) = found else {
        let lines = text.len() - text.blank();
        return match lines {
            1 => "one line of text, without titles that are known".to_owned(),
            _ => "lines of text, without titles that are known and without rows that show what they are".to_owned(),
        };
    };
    let titles: Vec<&str> = table.header.filled().take(MOST_TITLES).map(|(_, title)| title).collect();
    let lacks = [
        (table.has(Meaning::Transaction), "a transaction number"),
        (table.has(Meaning::Gross) || table.has(Meaning::Net), "a weight"),
        (
            table.has(Meaning::Head) || table.has(Meaning::Date) || table.has(Meaning::Datetime),
            "a count of head or a date",
        ),
    ];
    let lacks: Vec<&str> = lacks.into_iter().filter(|(has, _)| !has).map(|(_, what)| what).collect();
    let tickets = table.has(Meaning::Ticket) && !table.has(Meaning::Transaction);
    let kind = if tickets { "a list of tickets" } else { "a table" };
    let lacks =
        if lacks.is_empty() { "written by this program".to_owned() } else { format!("without {}", listed(&lacks)) };
    format!("{kind} {lacks}; its titles are {}", titles.join(", "))
}

/// `a`, `a or b`, `a, b or c`.
fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [others @ .., last] => format!("{} or {last}", others.join(", ")),
    }
}
