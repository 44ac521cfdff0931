//! Rounding with a stated step and a stated rule for ties.

use rust_decimal::{Decimal, RoundingStrategy};

/// What happens to a figure that lies exactly between two steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TieRule {
    /// Away from zero: ISO 80000-1:2009 Annex B, rule B. The usual rule for pay weight and money.
    HalfAwayFromZero,
    /// To the even step: ISO 80000-1:2009 Annex B, rule A.
    HalfEven,
}

/// A rounding: in one go, to a whole number of steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rounding {
    /// The smallest difference kept, greater than zero.
    pub step: Decimal,
    /// What happens half-way.
    pub tie: TieRule,
}

impl Rounding {
    /// To 0.01, half away from zero: pay weight and money unless told otherwise.
    pub const HUNDREDTH: Self = Self { step: Decimal::from_parts(1, 0, 0, false, 2), tie: TieRule::HalfAwayFromZero };

    /// Rounds once. A figure too large for its step is returned as it is.
    #[must_use]
    pub fn apply(self, exact: Decimal) -> Decimal {
        let strategy = match self.tie {
            TieRule::HalfAwayFromZero => RoundingStrategy::MidpointAwayFromZero,
            TieRule::HalfEven => RoundingStrategy::MidpointNearestEven,
        };
        exact
            .checked_div(self.step)
            .and_then(|steps| steps.round_dp_with_strategy(0, strategy).checked_mul(self.step))
            .map_or(exact, |rounded| rounded.normalize())
    }
}
