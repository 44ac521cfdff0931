//! What several tests share.

pub mod day;
pub mod document;
pub mod fat_image;
pub mod findings;
pub mod judges;
pub mod memory;
pub mod program;
pub mod schema;
pub mod texts;
pub mod yard;
