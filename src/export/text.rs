//! Text.

/// Text.
#[derive(Debug, Clone)]
pub struct Text;
