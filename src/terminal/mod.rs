//! What people see on the screen. The only file that prints.
#![expect(clippy::print_stderr, reason = "this is the one place that prints")]

mod bounds;
mod excerpt;
mod layout;
mod medium;
mod summary;
mod texts;

use std::io::{IsTerminal, Write};

pub use excerpt::{Painter, visible};
pub use layout::laid_out;
pub use medium::bytes as size;
pub use summary::{Screen, examined, saleday};
pub use texts::{explained, list_written};

/// Columns of a screen whose width is not known, such as a pipe.
const USUAL_WIDTH: usize = 80;

/// The width to write for.
pub fn width() -> usize {
    let seen = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    seen.filter(|_| std::io::stdout().is_terminal()).unwrap_or(USUAL_WIDTH).clamp(40, 120)
}

/// The screen as it is.
pub fn screen() -> Screen {
    Screen { width: width(), colour: colour() }
}

/// Whether colour may be used: on a screen, unless NO_COLOR is set.
pub fn colour() -> bool {
    std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// Prints text for people, or the one JSON document. A reader that has gone away is no fault.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let _gone = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Says something beside the result.
pub fn say(text: &str) {
    eprintln!("{}", wrapped(&bounds::shown(text), width(), ""));
}

/// Text folded to a width, later lines set in by `indent`.
pub fn wrapped(text: &str, width: usize, indent: &str) -> String {
    folded(text, width, "", indent)
}

/// The same with something before the first line. Options, codes and paths stay whole: they are typed as they stand.
fn folded(text: &str, width: usize, first: &str, later: &str) -> String {
    let options = textwrap::Options::new(width).initial_indent(first).subsequent_indent(later);
    let options = options.word_separator(textwrap::WordSeparator::AsciiSpace);
    textwrap::fill(text, options.word_splitter(textwrap::WordSplitter::NoHyphenation))
}
