//! What can befall an export: each pollution, where it applies, and which go together.

use super::super::memory::Numbers;
use super::encode::Coded;
use super::layout::{Between, Layout};

/// A pollution. They are applied in this order, whatever order they were chosen in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pollution {
    PlusSigns,
    NegativeWeight,
    LoneQuote,
    DuplicateTitle,
    EmptyTitle,
    TrailingDelimiter,
    Padding,
    Subtotals,
    GrandTotal,
    SecondTable,
    Ragged,
    RepeatedHeader,
    Banners,
    BlankLines,
    ForeignTable,
    FooterText,
    Preamble,
    Sep,
    NulInside,
    TornInside,
    CutLastRow,
    MixedEnds,
    LoneCr,
    NulTail,
    Bom,
    Utf16Le,
    Utf16Be,
    Utf16LeBare,
    Utf16BeBare,
    Windows1252,
    Windows1250,
    Cp850,
    Cp437,
    Cp852,
    Latin2,
    Latin9,
}

use Pollution as P;

/// Every pollution with its name.
pub const ALL: [(Pollution, &str); 36] = [
    (P::PlusSigns, "plus signs"),
    (P::NegativeWeight, "negative weight"),
    (P::LoneQuote, "lone quote"),
    (P::DuplicateTitle, "title twice"),
    (P::EmptyTitle, "empty title"),
    (P::TrailingDelimiter, "trailing delimiter"),
    (P::Padding, "padding"),
    (P::Subtotals, "subtotals"),
    (P::GrandTotal, "grand total"),
    (P::SecondTable, "second table, other order"),
    (P::Ragged, "ragged row"),
    (P::RepeatedHeader, "header again"),
    (P::Banners, "session banners"),
    (P::BlankLines, "blank lines"),
    (P::ForeignTable, "table of something else"),
    (P::FooterText, "footer text"),
    (P::Preamble, "preamble"),
    (P::Sep, "sep= line"),
    (P::NulInside, "zeros inside"),
    (P::TornInside, "torn row inside"),
    (P::CutLastRow, "last row cut"),
    (P::MixedEnds, "mixed line ends"),
    (P::LoneCr, "lone CR"),
    (P::NulTail, "zero tail"),
    (P::Bom, "byte order mark"),
    (P::Utf16Le, "UTF-16LE, marked"),
    (P::Utf16Be, "UTF-16BE, marked"),
    (P::Utf16LeBare, "UTF-16LE, bare"),
    (P::Utf16BeBare, "UTF-16BE, bare"),
    (P::Windows1252, "windows-1252"),
    (P::Windows1250, "windows-1250"),
    (P::Cp850, "CP850"),
    (P::Cp437, "CP437"),
    (P::Cp852, "CP852"),
    (P::Latin2, "ISO 8859-2"),
    (P::Latin9, "ISO 8859-15"),
];

impl Pollution {
    pub fn name(self) -> &'static str {
        ALL.iter().find(|(own, _)| *own == self).map_or("", |(_, name)| name)
    }

    /// The encoding it brings.
    pub const fn coded(self) -> Option<Coded> {
        let (name, marked) = match self {
            P::Bom => ("utf-8", true),
            P::Utf16Le => ("utf-16le", true),
            P::Utf16Be => ("utf-16be", true),
            P::Utf16LeBare => ("utf-16le", false),
            P::Utf16BeBare => ("utf-16be", false),
            P::Windows1252 => ("windows-1252", false),
            P::Windows1250 => ("windows-1250", false),
            P::Cp850 => ("cp850", false),
            P::Cp437 => ("cp437", false),
            P::Cp852 => ("cp852", false),
            P::Latin2 => ("iso-8859-2", false),
            P::Latin9 => ("iso-8859-15", false),
            _ => return None,
        };
        Some(Coded { name, marked })
    }

    /// Whether it is a code page, which only letters outside ASCII can tell.
    fn is_page(self) -> bool {
        self >= P::Windows1252
    }

    pub fn applies(self, layout: &Layout) -> bool {
        let delimited = layout.delimited();
        let titled = layout.header_lines() > 0;
        let names = ["consignor", "buyer"].iter().any(|name| layout.has(name));
        let noted = names || layout.has("remark");
        match self {
            P::LoneQuote => delimited && noted && !layout.quote_all && !layout.quote_text,
            P::DuplicateTitle | P::SecondTable | P::EmptyTitle => delimited && titled,
            P::TrailingDelimiter | P::Padding | P::Ragged | P::Sep => delimited,
            P::NegativeWeight => {
                layout.between != Between::Blanks && !layout.has("running_total") && !layout.has("shrink_percent")
            }
            P::Subtotals => layout.has("ticket") || layout.has("lot"),
            P::RepeatedHeader => titled,
            page if page.is_page() => names,
            _ => true,
        }
    }

    /// Whether both can befall one file.
    fn goes_with(self, other: Self) -> bool {
        let group = |of: Self| match of {
            P::MixedEnds | P::LoneCr => 1,
            P::PlusSigns | P::NegativeWeight => 2,
            of if of.coded().is_some() => 3,
            _ => 0,
        };
        let both = |one: Self, two: Self| (self, other) == (one, two) || (other, self) == (one, two);
        let same_group = group(self) != 0 && group(self) == group(other);
        // What follows the last row is cut away with its end.
        let cut = [P::GrandTotal, P::FooterText, P::ForeignTable].iter().any(|end| both(P::CutLastRow, *end));
        // Two tables and two damaged places in one small file leave too little to tell them apart by.
        let crowded = both(P::SecondTable, P::DuplicateTitle) || both(P::NulInside, P::TornInside);
        self != other && !same_group && !cut && !crowded
    }
}

/// So many pollutions that apply to this layout and go together.
pub fn choose(layout: &Layout, count: usize, numbers: &mut Numbers) -> Vec<Pollution> {
    let mut chosen: Vec<Pollution> = Vec::new();
    while chosen.len() < count {
        let next = ALL[numbers.below(ALL.len())].0;
        // Every layout can be in UTF-16; the pages, which few can be in, would be rare beside its four kinds.
        let too_common = next >= P::Utf16Le && !next.is_page() && numbers.below(2) == 0;
        if !too_common && next.applies(layout) && chosen.iter().all(|own| own.goes_with(next)) {
            chosen.push(next);
        }
    }
    chosen.sort_unstable();
    chosen
}
