//! Findings on the very lines they are about.
//!
//! Only a few lines are ever handed to the renderer, and nothing in them that a terminal would act upon.

use counterfoil::day::{Day, TicketFile};
use counterfoil::export::{Export, Shape, Text, cell_span};
use counterfoil::finding::Finding;
use counterfoil::units::LineNo;

use super::bounds::shown;
use super::folded;
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode,
    SourceSpan, SpanContents,
};

/// A few lines of a text file, safe to show.
#[derive(Debug)]
struct Excerpt {
    name: String,
    first_line: u64,
    text: String,
}

impl Excerpt {
    fn last_line(&self) -> u64 {
        self.first_line + self.text.matches('\n').count() as u64
    }
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        _before: usize,
        _after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let whole = SourceSpan::from(0..self.text.len());
        let first = usize::try_from(self.first_line.saturating_sub(1)).unwrap_or(usize::MAX);
        let lines = self.text.lines().count();
        if span.offset() > self.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let name = self.name.clone();
        Ok(Box::new(MietteSpanContents::new_named(name, self.text.as_bytes(), whole, first, 0, lines)))
    }
}

/// Some lines with a few words at one place of them, as the renderer wants it.
#[derive(Debug)]
struct Pointed {
    excerpt: Excerpt,
    span: std::ops::Range<usize>,
    words: String,
}

impl std::fmt::Display for Pointed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.words)
    }
}

impl std::error::Error for Pointed {}

impl Diagnostic for Pointed {
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.excerpt)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let label = LabeledSpan::new(Some(self.words.clone()), self.span.start, self.span.len());
        Some(Box::new(std::iter::once(label)))
    }
}

/// Draws findings at one width.
pub struct Painter<'a> {
    handler: GraphicalReportHandler,
    day: &'a Day,
    tickets: Option<(&'a str, Text)>,
    width: usize,
    evidence: bool,
}

/// Everything under the first line of a finding is set in so far.
const INDENT: &str = "    ";

/// How a fact that a finding rests on is set in, and its further lines.
const EVIDENCE: &str = "    - ";
const EVIDENCE_NEXT: &str = "      ";

/// So many of them are shown; the document has all.
const MOST_EVIDENCE: usize = 8;

/// The corner the renderer begins the lines with; what stands above it is its own heading.
const CORNER: char = '\u{256d}';

impl<'a> Painter<'a> {
    /// A painter for a screen `width` columns wide; colour is never the only sign.
    pub fn new(day: &'a Day, tickets: Option<&'a TicketFile>, width: usize, colour: bool) -> Self {
        let theme = if colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
        let handler = GraphicalReportHandler::new_themed(theme).with_width(width).with_links(false);
        Self {
            handler,
            day,
            tickets: tickets.map(|file| (file.name.as_str(), Text::decode(&file.bytes))),
            width,
            evidence: false,
        }
    }

    /// The same, with what each finding rests on: for whoever must say why.
    pub fn with_evidence(self) -> Self {
        Self { evidence: true, ..self }
    }

    /// The n-th finding as text: what, why, the very lines, what to do next.
    pub fn paint(&self, n: usize, finding: &Finding) -> String {
        let title = format!("{}: {} ({})", finding.severity.word(), finding.title, finding.code);
        let mut out = self.set_in(&format!("{n:>2}. "), &title);
        out.push_str(&self.source(finding).map(|source| self.set_in(INDENT, &source)).unwrap_or_default());
        out.push_str(&self.set_in(INDENT, &finding.detail));
        for evidence in finding.evidence.iter().filter(|_| self.evidence).take(MOST_EVIDENCE) {
            let line = format!("{}: {}", evidence.what, evidence.value);
            out.push_str(&folded(&shown(&line), self.width, EVIDENCE, EVIDENCE_NEXT));
            out.push('\n');
        }
        out.push_str(&self.lines(finding).unwrap_or_default());
        out.push_str(&self.set_in(INDENT, &format!("Next: {}", finding.next_step)));
        if let Some(caution) = &finding.before_you_act {
            out.push_str(&self.set_in(INDENT, &format!("Before you act: {caution}")));
        }
        out
    }

    /// Which stick is meant, where there are several.
    fn source(&self, finding: &Finding) -> Option<String> {
        let id = finding.place.source.as_ref().filter(|_| self.day.sources.len() > 1)?;
        let source = self.day.sources.iter().find(|source| source.id == *id)?;
        Some(format!("On {}", source.path))
    }

    fn set_in(&self, first: &str, text: &str) -> String {
        format!("{}\n", folded(&shown(text), self.width, first, INDENT))
    }

    /// The lines a finding is about, drawn by the renderer, without its own heading.
    fn lines(&self, finding: &Finding) -> Option<String> {
        let (excerpt, span) = self.excerpt(finding)?;
        let usual = if finding.place.column.is_some() { "this cell" } else { "this line" };
        let words = finding.pointer.clone().unwrap_or_else(|| usual.to_owned());
        // The renderer names the first line shown; the line in question is the last.
        let (drawn_place, place) = (format!(":{}:1]", excerpt.first_line), format!(", line {}]", excerpt.last_line()));
        let mut drawn = String::new();
        self.handler.render_report(&mut drawn, &Pointed { excerpt, span, words }).ok()?;
        let drawn = drawn.replacen(&drawn_place, &place, 1);
        let body = drawn.lines().skip_while(|line| !line.contains(CORNER)).map(str::trim_end);
        Some(body.filter(|line| !line.is_empty()).map(|line| format!("{line}\n")).collect())
    }

    fn excerpt(&self, finding: &Finding) -> Option<(Excerpt, std::ops::Range<usize>)> {
        let line = finding.place.line?;
        match &finding.place.export {
            Some(id) => {
                let export: &Export = self.day.exports.iter().find(|export| export.id == *id)?;
                let delimiter = finding.place.column.map(|column| (&export.layout.shape, column));
                self.around(export.name(), &export.text, line, delimiter)
            }
            // A line of the ticket list says little by itself; it is shown where there is something to point at.
            None => {
                finding.pointer.as_ref()?;
                let (name, text) = self.tickets.as_ref()?;
                self.around(name, text, line, None)
            }
        }
    }

    /// A line and the one before it, as much of them as the screen has room for.
    fn around(
        &self,
        name: &str,
        text: &Text,
        line: LineNo,
        cell: Option<(&Shape, usize)>,
    ) -> Option<(Excerpt, std::ops::Range<usize>)> {
        let at = text.line(line)?;
        let before = line.0.checked_sub(1).and_then(|number| text.line(LineNo(number)));
        let before = before.map(|before| visible(before.text)).filter(|before| !before.trim().is_empty());
        let span = cell.and_then(|(shape, index)| cell_span(at.text, shape, index));
        let line_shown = visible(at.text);
        let span = span.map(|span| shown_length(at.text, span.start)..shown_length(at.text, span.end));
        let window = Window::around(
            span.as_ref(),
            &line_shown,
            self.width.saturating_sub(GUTTER + line.to_string().len()).max(20),
        );
        let mut excerpt: String = before.iter().map(|before| format!("{}\n", window.cut(before))).collect();
        let start = excerpt.len();
        excerpt.push_str(&window.cut(&line_shown));
        // The words under a line begin in its middle: only its beginning is underlined, so that they find room.
        let whole = start..excerpt.floor_char_boundary(start + UNDERLINED);
        let span = span.filter(|span| span.start < span.end && window.holds(span));
        let span = span.map_or(whole, |span| start + span.start - window.start..start + span.end - window.start);
        let first_line = if before.is_some() { line.0 - 1 } else { line.0 };
        Some((Excerpt { name: shown(name), first_line, text: excerpt }, span))
    }
}

/// So much of a line is underlined where all of it is meant.
const UNDERLINED: usize = 24;

/// Columns that the renderer takes beside the line's number: blanks and the frame.
const GUTTER: usize = 4;

/// The part of the lines that is shown: as much as the screen has room for, with the cell in question in it.
struct Window {
    /// The byte it begins at.
    start: usize,
    /// The byte it ends at on the line with the cell.
    end: usize,
    /// How many characters of any line it shows.
    room: usize,
}

impl Window {
    fn around(cell: Option<&std::ops::Range<usize>>, line: &str, room: usize) -> Self {
        let first = cell.filter(|cell| cell.end > room).map_or(0, |cell| cell.start.saturating_sub(room / 3));
        let start = line.ceil_char_boundary(first);
        Self { start, end: end_of(line, start, room), room }
    }

    const fn holds(&self, span: &std::ops::Range<usize>) -> bool {
        self.start <= span.start && span.end <= self.end
    }

    /// The same part of another line.
    fn cut(&self, line: &str) -> String {
        let start = line.ceil_char_boundary(self.start);
        line.get(start..end_of(line, start, self.room)).unwrap_or_default().to_owned()
    }
}

/// The byte at which so many characters from `start` on end.
fn end_of(line: &str, start: usize, room: usize) -> usize {
    let after = line.get(start..).and_then(|rest| rest.char_indices().nth(room));
    after.map_or(line.len(), |(at, _)| start + at)
}

/// How long the beginning of a line is once it is made visible, in bytes.
fn shown_length(line: &str, up_to: usize) -> usize {
    line.get(..up_to).map_or(0, |beginning| visible(beginning).len())
}

/// Text from a stick, with everything a terminal would act upon shown as its code: control characters, and marks that
/// turn the direction of writing.
pub fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\t' => out.push_str("  "),
            _ if letter.is_control() || turns_direction(letter) => out.extend(letter.escape_unicode()),
            _ => out.push(letter),
        }
    }
    out
}

/// The bidirectional controls of Unicode (UAX #9) and the invisible marks beside them.
const fn turns_direction(letter: char) -> bool {
    matches!(letter, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}
