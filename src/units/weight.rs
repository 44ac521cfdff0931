//! Exact weights with their unit, and percentages.

use std::fmt;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize, Serializer};

use super::counts::grouped;
use super::rounding::Rounding;

/// A unit of weight an indicator can show.
///
/// 1 lb = 0.45359237 kg exactly (UCUM `[lb_av]`).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Avoirdupois pound.
    #[serde(rename = "lb")]
    Pound,
    /// Kilogram.
    #[serde(rename = "kg")]
    Kilogram,
}

impl Unit {
    /// The symbol as printed.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Pound => "lb",
            Self::Kilogram => "kg",
        }
    }

    /// One of this unit in kilograms, exactly.
    #[must_use]
    pub const fn in_kilograms(self) -> Decimal {
        match self {
            Self::Pound => Decimal::from_parts(45_359_237, 0, 0, false, 8),
            Self::Kilogram => Decimal::ONE,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// An exact weight and the unit it was stated in; `None` where the unit is stated nowhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Weight {
    amount: Decimal,
    unit: Option<Unit>,
}

impl Weight {
    /// A weight as stated; trailing zeros are dropped, so that 10.50 and 10.5 are the same weight.
    #[must_use]
    pub fn new(amount: Decimal, unit: Option<Unit>) -> Self {
        Self { amount: amount.normalize(), unit }
    }

    /// No weight at all, in the given unit.
    #[must_use]
    pub const fn zero(unit: Option<Unit>) -> Self {
        Self { amount: Decimal::ZERO, unit }
    }

    /// The figure without its unit.
    #[must_use]
    pub const fn amount(self) -> Decimal {
        self.amount
    }

    /// The unit, where one is stated.
    #[must_use]
    pub const fn unit(self) -> Option<Unit> {
        self.unit
    }

    /// The same figure, with a unit where none was stated.
    #[must_use]
    pub fn or_unit(self, unit: Option<Unit>) -> Self {
        Self { unit: self.unit.or(unit), ..self }
    }

    /// The sum; `None` when the units differ, because such weights are never added.
    #[must_use]
    pub fn plus(self, other: Self) -> Option<Self> {
        (self.unit == other.unit).then_some(())?;
        Some(Self::new(self.amount.checked_add(other.amount)?, self.unit))
    }

    /// The difference; `None` when the units differ.
    #[must_use]
    pub fn minus(self, other: Self) -> Option<Self> {
        self.plus(Self { amount: -other.amount, ..other })
    }

    /// What is left to be paid for after shrink: weight × (1 − shrink/100), rounded once.
    ///
    /// `None` when the figures are too large to multiply exactly.
    #[must_use]
    pub fn after_shrink(self, shrink: Percent, rounding: Rounding) -> Option<Self> {
        let kept = Decimal::ONE_HUNDRED.checked_sub(shrink.0)?;
        let exact = self.amount.checked_mul(kept)?.checked_div(Decimal::ONE_HUNDRED)?;
        Some(Self::new(rounding.apply(exact), self.unit))
    }

    /// The weight per head, to 0.01; `None` without head.
    #[must_use]
    pub fn per_head(self, head: super::Head) -> Option<Self> {
        let each = self.amount.checked_div(Decimal::from(head.0))?;
        Some(Self::new(Rounding::HUNDREDTH.apply(each), self.unit))
    }
}

impl Weight {
    /// For people, with at least two decimals, as weights to be paid for are settled: `30,409.40 lb`.
    #[must_use]
    pub fn in_hundredths(self) -> String {
        let amount = grouped_decimal(with_hundredths(self.amount));
        self.unit.map_or_else(|| amount.clone(), |unit| format!("{amount} {unit}"))
    }
}

impl fmt::Display for Weight {
    /// For people: `12,480 lb`, or the figure alone where no unit is stated.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&grouped_decimal(self.amount))?;
        self.unit.map_or(Ok(()), |unit| write!(f, " {unit}"))
    }
}

impl Serialize for Weight {
    /// The plain figure as a string of exact decimals, without unit or grouping.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.amount)
    }
}

/// A percentage, exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Percent(pub Decimal);

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0.normalize())
    }
}

impl Serialize for Percent {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0.normalize())
    }
}

/// The same figure with at least two decimals.
pub(super) fn with_hundredths(amount: Decimal) -> Decimal {
    let mut shown = amount.normalize();
    if shown.scale() < 2 {
        shown.rescale(2);
    }
    shown
}

/// A decimal with a comma between thousands of its whole part.
pub(super) fn grouped_decimal(amount: Decimal) -> String {
    let plain = amount.abs().to_string();
    let (whole, fraction) = plain.split_once('.').map_or((plain.as_str(), None), |(w, f)| (w, Some(f)));
    let whole = whole.parse().map_or_else(|_| whole.to_owned(), grouped);
    let sign = if amount.is_sign_negative() && !amount.is_zero() { "-" } else { "" };
    fraction.map_or_else(|| format!("{sign}{whole}"), |f| format!("{sign}{whole}.{f}"))
}
