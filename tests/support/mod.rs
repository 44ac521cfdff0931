//! What several tests share.

pub mod fat_image;
pub mod findings;
pub mod judges;
pub mod memory;
