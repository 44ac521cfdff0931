//! What several tests share.

pub mod asked;
pub mod block;
pub mod counted;
pub mod day;
pub mod disks;
pub mod document;
pub mod exports;
pub mod fat_image;
pub mod fat_recipes;
pub mod findings;
pub mod formatted;
pub mod judges;
pub mod large_fat32;
pub mod memory;
pub mod mutation;
pub mod program;
pub mod sale_days;
pub mod schema;
pub mod texts;
pub mod ticket_days;
pub mod yard;
