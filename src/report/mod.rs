//! What a run comes to, told twice: a JSON document for programs and a page for people.

mod answer;
mod catalogue;
mod document;
mod layout;
mod letters;
mod page;
mod words;

pub use answer::{Answer, answer, unread};
pub use catalogue::catalogue;
pub use document::{ReportDocument, document};
pub use layout::{first_rows, layout_json, resource};
pub use letters::{explain_json, tickets_json};
pub use page::page;
pub use words::{event_sentence, period as period_words, place_words};
