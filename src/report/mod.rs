//! What a run comes to, told twice: a JSON document for programs and a page for people.

mod answer;
mod document;
mod page;
mod words;

pub use answer::{Answer, answer};
pub use document::{ReportDocument, document};
pub use page::page;
pub use words::{event_sentence, place_words};
