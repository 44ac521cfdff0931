//! How sure a statement is.

use std::fmt;

use serde::{Serialize, Serializer};

/// How sure a statement is, in hundredths, from 0 to 100.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Confidence(u8);

impl Confidence {
    /// As sure as the data can make one.
    pub const CERTAIN: Self = Self(100);

    /// So many hundredths; more than 100 is held at 100.
    #[must_use]
    pub const fn percent(hundredths: u8) -> Self {
        if hundredths > 100 { Self::CERTAIN } else { Self(hundredths) }
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0)
    }
}

impl Serialize for Confidence {
    /// A number from 0 to 1.
    #[expect(clippy::float_arithmetic, reason = "JSON has no hundredths; this is no weight and no money")]
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(f64::from(self.0) / 100.0)
    }
}
