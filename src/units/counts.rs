//! Whole numbers with a meaning.

use std::fmt;

use serde::Serialize;

/// A count of animals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize)]
pub struct Head(pub u32);

impl Head {
    /// The sum, held at the largest count rather than wrapped.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl fmt::Display for Head {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} head", grouped(u64::from(self.0)))
    }
}

/// The number an indicator gives to one weighing. It counts up by one until a person sets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct TransactionNo(pub u64);

impl TransactionNo {
    /// The number that should follow, or `None` at the largest number a counter can hold.
    #[must_use]
    pub const fn next(self) -> Option<Self> {
        match self.0.checked_add(1) {
            Some(next) => Some(Self(next)),
            None => None,
        }
    }

    /// The number that should have come before, or `None` at zero.
    #[must_use]
    pub const fn previous(self) -> Option<Self> {
        match self.0.checked_sub(1) {
            Some(previous) => Some(Self(previous)),
            None => None,
        }
    }
}

impl fmt::Display for TransactionNo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A line of a text file, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct LineNo(pub u64);

impl fmt::Display for LineNo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// Writes a whole number with a comma between thousands, as people read it on paper.
#[must_use]
pub fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (position, digit) in digits.chars().enumerate() {
        if position > 0 && (digits.len() - position).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}
