//! Text from outside as it may stand on the page.

use maud::{Escaper, Render};
use std::fmt::Write;

/// A text from outside. Besides being escaped it cannot turn the reading direction of its neighbours round, and
/// control characters are made visible.
pub(super) struct Shown<'a>(pub(super) &'a str);

/// What stands for a character that cannot be shown.
const UNSEEN: char = '\u{FFFD}';

impl Render for Shown<'_> {
    fn render_to(&self, buffer: &mut String) {
        let visible = |character: char| {
            let turns =
                matches!(character, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}');
            let control = character.is_control() && !matches!(character, '\n' | '\t');
            if turns || control { UNSEEN } else { character }
        };
        let text: String = self.0.chars().map(visible).collect();
        // Writing into a String does not fail.
        let _ = Escaper::new(buffer).write_str(&text);
    }
}

/// A text from outside that may be missing.
pub(super) fn maybe(text: Option<&str>) -> Shown<'_> {
    Shown(text.unwrap_or_default())
}

/// A value that may be missing: nothing is shown for it.
pub(super) fn value(value: Option<impl ToString>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}
