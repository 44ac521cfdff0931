//! What several tests share.

pub mod day;
pub mod outside;
pub mod program;
pub mod schema;
pub mod texts;
