//! Finds exports among files and reads them, row by row.

mod layout;
mod meaning;
mod model;
mod text;

pub use layout::{Clock, Column, DateOrder, Layout};
pub use meaning::Meaning;
pub use model::{Export, Fields, Row, RowContent, RowCounts};
