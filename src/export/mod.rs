//! Finds exports among files and reads them, row by row.
//!
//! The way of a file: `find` (is it one?) → `text` (bytes to lines) → `dialect` (delimiter and header) → `settle` (what
//! holds for the whole file, in `sections` where there are several headers) → `rows` (each line) → `findings`.

mod alphabets;
mod cells;
mod date_order;
mod dates;
mod dialect;
mod encoding;
mod find;
pub mod findings;
mod guise;
mod infer;
mod known;
mod layout;
mod meaning;
mod model;
mod profile;
mod read;
mod reading;
mod relations;
mod rows;
mod sections;
mod settle;
mod shape;
mod table;
mod text;
mod vocabulary;
mod why;
mod words;

pub use date_order::{DateHints, DateReading};
pub use dates::{DateParts, time};
pub use dialect::{Table, find_headed_table, find_table};
pub use find::{SAMPLE_BYTES, effective_state, export_table, is_named_like_export, is_system_file, zeros_at_head};
pub use guise::looks_like;
pub use known::{
    CellType, DescribedFile, Descriptor, FieldError, KnownColumn, KnownLayout, LineEnd, RowSample, UnitStated,
    describe, known_layout, observe,
};
pub use layout::{Clock, Column, DateOrder, Layout};
pub use meaning::Meaning;
pub use model::{Export, Fields, Row, RowContent, RowCounts, Unread};
pub use read::{Content, FileContent, fits, read_content, read_damaged, read_known};
pub use reading::{CellFault, CellReader, Reading};
pub use settle::{Settled, settle};
pub use shape::Shape;
pub use table::{Cells, Splitter, cell_span};
pub use text::{Text, TextLine};
pub use why::{Reason, column_reason, reasons};
pub use words::{header_word, normalised};
