//! Prices and money.

use std::fmt;

use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

use super::weight::{grouped_decimal, with_hundredths};
use super::{Head, Rounding, Unit, Weight};

/// An amount of money in the currency of the sale, exact, shown to the cent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(pub Decimal);

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&grouped_decimal(with_hundredths(self.0)))
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&with_hundredths(self.0))
    }
}

/// What a price is for. A cwt here is always 100 lb (UCUM `[scwt_av]`).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub enum PriceBasis {
    /// Per 100 lb.
    #[serde(rename = "cwt")]
    Cwt,
    /// Per pound.
    #[serde(rename = "lb")]
    Pound,
    /// Per kilogram.
    #[serde(rename = "kg")]
    Kilogram,
    /// Per 100 kg.
    #[serde(rename = "100kg")]
    HundredKilograms,
    /// Per animal.
    #[serde(rename = "head")]
    Head,
}

/// A price and what it is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    /// Money per one of the basis.
    pub amount: Decimal,
    /// What one pays that amount for.
    pub basis: PriceBasis,
}

impl Price {
    /// What head and pay weight cost, to the cent, half away from zero, rounded once.
    ///
    /// `None` when the price is for a unit the weight is not stated in: weights are never converted unasked.
    #[must_use]
    pub fn value(self, head: Head, pay_weight: Weight) -> Option<Money> {
        let in_unit = |unit: Unit, per: Decimal| {
            (pay_weight.unit() == Some(unit)).then(|| pay_weight.amount().checked_div(per)).flatten()
        };
        let quantity = match self.basis {
            PriceBasis::Head => Some(Decimal::from(head.0)),
            PriceBasis::Pound => in_unit(Unit::Pound, Decimal::ONE),
            PriceBasis::Cwt => in_unit(Unit::Pound, Decimal::ONE_HUNDRED),
            PriceBasis::Kilogram => in_unit(Unit::Kilogram, Decimal::ONE),
            PriceBasis::HundredKilograms => in_unit(Unit::Kilogram, Decimal::ONE_HUNDRED),
        }?;
        Some(Money(Rounding::HUNDREDTH.apply(quantity.checked_mul(self.amount)?)))
    }
}
