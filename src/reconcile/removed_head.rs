//! Animals taken out between weighing and sale.

use super::in_words::figures_per_head;
use super::model::{ExplanationKind, HeadAndGross};
use super::seen::{Seen, View};
use super::story::{Paper, Story};

/// More head than this are not taken out without a new weighing (common practice, no source).
const MOST_REMOVED: i64 = 2;

/// One or two head fewer on the paper, with what they could weigh. `change` is what the paper states beyond what was found.
#[must_use]
pub fn story(view: &View<'_>, seen: &Seen<'_>, change: HeadAndGross) -> Option<Story> {
    let part = -change;
    let few = seen.stated.head.is_some() && part.head <= MOST_REMOVED;
    (few && !seen.on.counted.is_empty() && view.plausible(seen, part)).then(|| {
        let story = Story::new(ExplanationKind::HeadRemoved, String::new(), Paper::AsTyped).of_figures(seen, part);
        let figures = figures_per_head(story.head, story.gross);
        Story { text: format!("{figures} were taken out after weighing"), ..story }
    })
}
