//! What the words at the head of a column mean. The words themselves stand in `column-words.tsv`.

use std::collections::HashMap;
use std::sync::LazyLock;

use unicode_normalization::UnicodeNormalization;

use super::cells;
use super::meaning::Meaning;
use super::table::Cells;
use crate::units::{Confidence, Unit};

const WORDS: &str = include_str!("column-words.tsv");

static MEANINGS: LazyLock<HashMap<&'static str, Meaning>> = LazyLock::new(|| {
    let lines = WORDS.lines().filter(|line| !line.starts_with('#'));
    lines
        .filter_map(|line| line.split_once('\t'))
        .filter_map(|(name, words)| Some((named(name)?, words)))
        .flat_map(|(meaning, words)| words.split('\t').map(move |word| (word, meaning)))
        .collect()
});

/// What a header cell says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeaderWord {
    /// What the column means.
    pub meaning: Meaning,
    /// The unit stated in the header.
    pub unit: Option<Unit>,
    /// How sure the wording makes it.
    pub confidence: Confidence,
}

/// Reads a header cell; `None` where its words are not known.
#[must_use]
pub fn header_word(cell: &str) -> Option<HeaderWord> {
    let words = normalised(cell);
    let found = |words: &str, unit, hundredths| {
        let meaning = *MEANINGS.get(words)?;
        Some(HeaderWord { meaning, unit, confidence: Confidence::percent(hundredths) })
    };
    found(&words, None, 99).or_else(|| {
        let (words, unit) = without_unit(&words)?;
        found(&words, Some(unit), 97)
    })
}

/// What a unit alone says as a title: "lbs" heads weights, "kg/hd" weights per head. It is no word to find a header by, for
/// a row of units under one says the same.
#[must_use]
pub fn unit_title(cell: &str) -> Option<HeaderWord> {
    let words = normalised(cell);
    let (first, rest) = words.split_once(' ').unwrap_or((&words, ""));
    let unit = cells::unit(first)?;
    let per_head = |rest: &str| MEANINGS.get(rest.strip_prefix("per ").unwrap_or(rest)) == Some(&Meaning::Head);
    let meaning = match rest {
        "" => Meaning::Gross,
        rest if per_head(rest) => Meaning::Average,
        _ => return None,
    };
    Some(HeaderWord { meaning, unit: Some(unit), confidence: Confidence::percent(80) })
}

/// What a title probably says, by the known words within it: the longest of them, if all that are as long mean the same.
/// `None` where nothing is known of it, or two meanings are.
#[must_use]
pub fn likely_word(cell: &str) -> Option<HeaderWord> {
    let words = normalised(cell);
    let (words, unit) = without_unit(&words).map_or((words, None), |(words, unit)| (words, Some(unit)));
    let tokens: Vec<&str> = words.split(' ').filter(|token| token.len() > 1).collect();
    let within = |length: usize| {
        let phrases = tokens.windows(length).map(|phrase| phrase.join(" "));
        let mut found = phrases.filter_map(|phrase| MEANINGS.get(phrase.as_str()).copied());
        let first = found.next()?;
        Some(found.all(|other| other == first).then_some(first))
    };
    let meaning = (1..tokens.len()).rev().find_map(within)??;
    Some(HeaderWord { meaning, unit, confidence: Confidence::percent(70) })
}

/// Lower case, accents and punctuation off, words one blank apart; `#` reads as "no" and `%` as "percent".
#[must_use]
pub fn normalised(cell: &str) -> String {
    let mut out = String::with_capacity(cell.len());
    for letter in cell.chars() {
        match letter {
            '#' => out.push_str(" no "),
            '%' => out.push_str(" percent "),
            '.' | '\'' => {}
            'º' | '°' => {}
            _ if letter.is_alphanumeric() => letter.to_lowercase().for_each(|small| push_plain(small, &mut out)),
            _ => out.push(' '),
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A small letter without its accent; `ß` is two letters.
fn push_plain(letter: char, out: &mut String) {
    match letter {
        'ß' => out.push_str("ss"),
        'æ' => out.push_str("ae"),
        'œ' => out.push_str("oe"),
        'ø' => out.push('o'),
        'ł' => out.push('l'),
        // The letter comes first, its accents after it.
        _ => out.extend(letter.nfd().next()),
    }
}

/// The words without a unit that stands last, and that unit.
fn without_unit(words: &str) -> Option<(String, Unit)> {
    let (rest, last) = words.rsplit_once(' ')?;
    let unit = cells::unit(last)?;
    Some((rest.to_owned(), unit))
}

/// Words that stand in a row of units beside units of weight, and patterns of dates and times.
const BESIDE_UNITS: [&str; 24] = [
    "hd",
    "head",
    "no",
    "percent",
    "text",
    "date",
    "time",
    "each",
    "ea",
    "mm dd yyyy",
    "mm dd yy",
    "dd mm yyyy",
    "dd mm yy",
    "yyyy mm dd",
    "hh mm",
    "hh mm ss",
    "hh mm am pm",
    "hh mm ss am pm",
    "am pm",
    "12h",
    "24h",
    "count",
    "id",
    "code",
];

/// The unit of each column, where a row is one of units: at least one of its cells is a unit of weight, and every other
/// one is empty or belongs beside such.
#[must_use]
pub fn unit_in_row(cells: &Cells) -> Option<Vec<Option<Unit>>> {
    let bare = |cell: &str| cell.trim_matches(['(', ')', '[', ']']).trim().to_owned();
    // "lb per head" and "kg/hd" are weights too.
    let unit = |cell: &str| cells::unit(bare(cell).split(['/', ' ']).next().unwrap_or_default());
    let beside = |cell: &str| {
        let words = normalised(&bare(cell));
        BESIDE_UNITS.contains(&words.as_str()) || words.is_empty()
    };
    let all = cells.filled().all(|(_, cell)| unit(cell).is_some() || beside(cell));
    let units: Vec<Option<Unit>> = (0..cells.count()).map(|index| cells.get(index).and_then(unit)).collect();
    (all && units.iter().any(Option::is_some)).then_some(units)
}

/// The meaning a line of the word list begins with.
fn named(name: &str) -> Option<Meaning> {
    Some(match name {
        "transaction" => Meaning::Transaction,
        "date" => Meaning::Date,
        "time" => Meaning::Time,
        "datetime" => Meaning::Datetime,
        "lot" => Meaning::Lot,
        "ticket" => Meaning::Ticket,
        "head" => Meaning::Head,
        "gross" => Meaning::Gross,
        "tare" => Meaning::Tare,
        "net" => Meaning::Net,
        "unit" => Meaning::Unit,
        "average" => Meaning::Average,
        "shrink_percent" => Meaning::ShrinkPercent,
        "pay_weight" => Meaning::PayWeight,
        "consignor" => Meaning::Consignor,
        "buyer" => Meaning::Buyer,
        "kind" => Meaning::Kind,
        "weigher" => Meaning::Weigher,
        "scale" => Meaning::Scale,
        "status" => Meaning::Status,
        "level" => Meaning::Level,
        "remark" => Meaning::Remark,
        "row_kind" => Meaning::RowKind,
        "line_number" => Meaning::LineNumber,
        "running_total" => Meaning::RunningTotal,
        "price" => Meaning::Price,
        "price_per" => Meaning::PricePer,
        "value" => Meaning::Value,
        "first_transaction" => Meaning::FirstTransaction,
        "last_transaction" => Meaning::LastTransaction,
        "replaces" => Meaning::Replaces,
        _ => return None,
    })
}

/// Words that say of a row that it adds up others.
const TOTAL_WORDS: [&str; 24] = [
    "total",
    "totals",
    "subtotal",
    "subtotals",
    "sum",
    "sums",
    "totales",
    "subtotales",
    "suma",
    "totaux",
    "somme",
    "summe",
    "summen",
    "gesamt",
    "gesamtsumme",
    "zwischensumme",
    "totais",
    "subtotais",
    "soma",
    "tot",
    "ttl",
    "gesamtsummen",
    "sous",
    "tagessumme",
];

/// Words that may stand beside them without making a name of it, such as "Total Cattle Co".
const BESIDE_TOTAL: [&str; 53] = [
    "grand",
    "ticket",
    "tickets",
    "tkt",
    "lot",
    "lots",
    "draft",
    "drafts",
    "session",
    "day",
    "sale",
    "for",
    "of",
    "no",
    "the",
    "sub",
    "head",
    "weight",
    "all",
    "running",
    "report",
    "general",
    "del",
    "de",
    "du",
    "da",
    "do",
    "dia",
    "jour",
    "lote",
    "boleta",
    "tiquete",
    "bon",
    "schein",
    "wiegeschein",
    "bilhete",
    "tag",
    "tages",
    "los",
    "partie",
    "nr",
    "num",
    "dft",
    "hd",
    "tickets",
    "session",
    "seance",
    "sesion",
    "sessao",
    "sitzung",
    "lots",
    "lotes",
    "overall",
];

/// Whether a cell says that its row adds up others.
#[must_use]
pub fn says_total(cell: &str) -> bool {
    cell.len() >= 3 && normalised(cell).split(' ').any(|word| TOTAL_WORDS.contains(&word))
}

/// Whether a cell says so and nothing else, so that it cannot be a name.
#[must_use]
pub fn says_only_total(cell: &str) -> bool {
    let harmless = |word: &str| {
        TOTAL_WORDS.contains(&word) || BESIDE_TOTAL.contains(&word) || word.bytes().any(|byte| byte.is_ascii_digit())
    };
    says_total(cell) && normalised(cell).split(' ').all(harmless)
}

/// Whether a cell of the column that tells rows apart says that its row is one weighing.
#[must_use]
pub fn says_draft(cell: &str) -> bool {
    matches!(
        normalised(cell).as_str(),
        "draft" | "weighing" | "weigh" | "transaction" | "detail" | "data" | "item" | "d" | "w"
    )
}
