//! The lines of an export before they are bytes: each knows what it is and which weighing it holds.

use super::layout::{Between, Layout};
use super::print;
use super::sale::Weighing;

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Header,
    /// The weighing of this index.
    Draft(usize),
    /// Sums in the columns of the table.
    Total,
    /// Sums in words: a reader may take them for a total or for text.
    FreeTotal,
    /// Preamble, banner, footer, a table of something else.
    Text,
    Blank,
    /// What is left of a row that was cut.
    Torn,
}

/// What stands on a line: cells, or text as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Content {
    Cells(Vec<String>),
    Text(String),
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    pub kind: Kind,
    pub content: Content,
    /// A cell that is left unquoted though it holds a quote.
    pub bare: Option<usize>,
    /// The columns in the order of this line, where a second table has them in another.
    pub order: Option<Vec<usize>>,
}

impl Line {
    pub const fn cells(kind: Kind, cells: Vec<String>) -> Self {
        Self { kind, content: Content::Cells(cells), bare: None, order: None }
    }

    pub fn text(kind: Kind, text: impl Into<String>) -> Self {
        Self { kind, content: Content::Text(text.into()), bare: None, order: None }
    }
}

/// A column as the file shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    pub meaning: &'static str,
    /// Whether a title tells the meaning.
    pub titled: bool,
}

/// The lines of an export, and what holds for all of them.
#[derive(Clone, Debug)]
pub struct Sheet {
    pub layout: Layout,
    pub sale: Vec<Weighing>,
    pub columns: Vec<Shown>,
    pub lines: Vec<Line>,
    /// Whether each row ends in one more delimiter.
    pub trailing: bool,
    /// Whether cells are filled up with blanks.
    pub padded: bool,
    /// Whether any text may have gained or lost a quote.
    pub lone_quote: bool,
}

impl Sheet {
    /// The plain export of these weighings.
    pub fn new(layout: Layout, sale: Vec<Weighing>) -> Self {
        let columns = layout
            .columns
            .iter()
            .map(|column| Shown { meaning: column.meaning, titled: !column.titles.is_empty() })
            .collect();
        let mut lines = header(&layout);
        let mut running = 0;
        for (index, weighing) in sale.iter().enumerate() {
            running += weighing.gross;
            let place = print::Place { line: index + 1, running };
            lines.push(Line::cells(Kind::Draft(index), print::row(&layout, weighing, place)));
        }
        Self { layout, sale, columns, lines, trailing: false, padded: false, lone_quote: false }
    }

    pub fn of_kind(&self, wanted: impl Fn(Kind) -> bool) -> Vec<usize> {
        (0..self.lines.len()).filter(|index| wanted(self.lines[*index].kind)).collect()
    }

    pub fn drafts(&self) -> Vec<usize> {
        self.of_kind(|kind| matches!(kind, Kind::Draft(_)))
    }

    /// The lines as text, without line ends.
    pub fn render(&self) -> Vec<(Kind, String)> {
        let widths = self.widths();
        self.lines.iter().map(|line| (line.kind, self.line(line, &widths))).collect()
    }

    fn line(&self, line: &Line, widths: &[usize]) -> String {
        let cells = match &line.content {
            Content::Text(text) => return text.clone(),
            Content::Cells(cells) => cells,
        };
        match self.layout.between {
            Between::Sign(sign) => {
                let written = (0..cells.len()).map(|index| self.delimited(line, cells, index, sign, widths));
                let joined = written.collect::<Vec<_>>().join(&sign.to_string());
                if self.trailing { format!("{joined}{sign}") } else { joined }
            }
            Between::Blanks => cells.join(&" ".repeat(self.layout.gap)),
            Between::FixedWidth => self.in_widths(cells, widths),
        }
    }

    fn delimited(&self, line: &Line, cells: &[String], index: usize, sign: char, widths: &[usize]) -> String {
        let cell = &cells[index];
        let own = line.order.as_ref().and_then(|order| order.get(index).copied()).unwrap_or(index);
        let text_column = self.columns.get(own).is_some_and(|column| print::is_text(column.meaning));
        let asked = self.layout.quote_all || (self.layout.quote_text && (text_column || line.kind == Kind::Header));
        let needed = cell.contains(sign) || cell.contains('"');
        let written = if line.bare == Some(index) || !(asked || needed) {
            cell.clone()
        } else {
            format!("\"{}\"", cell.replace('"', "\"\""))
        };
        match widths.get(index) {
            Some(width) if self.padded => format!("{written:>width$}"),
            _ => written,
        }
    }

    fn in_widths(&self, cells: &[String], widths: &[usize]) -> String {
        let gap = " ".repeat(self.layout.gap);
        let filled = cells.iter().zip(widths).zip(&self.columns).map(|((cell, width), column)| {
            if print::is_figure(column.meaning) { format!("{cell:>width$}") } else { format!("{cell:<width$}") }
        });
        filled.collect::<Vec<_>>().join(&gap).trim_end().to_owned()
    }

    /// The width of each column over all rows.
    fn widths(&self) -> Vec<usize> {
        let mut widths = vec![0; self.columns.len()];
        for line in &self.lines {
            if let Content::Cells(cells) = &line.content {
                for (width, cell) in widths.iter_mut().zip(cells) {
                    *width = (*width).max(cell.chars().count());
                }
            }
        }
        widths
    }
}

/// The header of a layout: none, one or two lines.
pub fn header(layout: &Layout) -> Vec<Line> {
    let titles = |line: usize| layout.columns.iter().map(move |column| column.titles.get(line).copied().unwrap_or(""));
    (0..layout.header_lines())
        .map(|line| Line::cells(Kind::Header, titles(line).map(str::to_owned).collect()))
        .collect()
}
