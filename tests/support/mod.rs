//! What several tests share.

pub mod counted;
pub mod day;
pub mod document;
pub mod fat_image;
pub mod findings;
pub mod judges;
pub mod large_fat32;
pub mod memory;
pub mod mutation;
pub mod program;
pub mod sale_days;
pub mod schema;
pub mod texts;
pub mod yard;
