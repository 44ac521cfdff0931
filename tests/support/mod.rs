//! What several tests share.

pub mod texts;
