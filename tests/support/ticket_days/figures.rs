//! Head and weight in whole numbers: weights are hundredths of the unit, so that nothing is ever rounded unseen.

use std::ops::{Add, Neg, Sub};

/// Head and weight, or a difference of both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Figures {
    pub head: i64,
    /// Hundredths of a pound or kilogram.
    pub gross: i64,
}

impl Figures {
    pub const fn new(head: i64, gross: i64) -> Self {
        Self { head, gross }
    }

    pub fn is_zero(self) -> bool {
        self == Self::default()
    }
}

impl Add for Figures {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self::new(self.head + other.head, self.gross + other.gross)
    }
}

impl Sub for Figures {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self::new(self.head - other.head, self.gross - other.gross)
    }
}

impl Neg for Figures {
    type Output = Self;

    fn neg(self) -> Self {
        Self::new(-self.head, -self.gross)
    }
}

impl std::iter::Sum for Figures {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::default(), Add::add)
    }
}

/// A weight as one types it: 14355, 6543.5, 143.55.
pub fn typed(hundredths: i64) -> String {
    let (whole, part) = (hundredths.abs() / 100, hundredths.abs() % 100);
    let sign = if hundredths < 0 { "-" } else { "" };
    match (part, part % 10) {
        (0, _) => format!("{sign}{whole}"),
        (_, 0) => format!("{sign}{whole}.{}", part / 10),
        _ => format!("{sign}{whole}.{part:02}"),
    }
}

/// The hundredths of a written weight; `None` for what is none or has more places.
pub fn hundredths(text: &str) -> Option<i64> {
    let (sign, text) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let part = part.trim_end_matches('0');
    if part.len() > 2 || !part.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let part: i64 = format!("{part:0<2}").parse().ok()?;
    Some(sign * (whole.parse::<i64>().ok()? * 100 + part))
}

/// A quotient rounded half away from zero to a step; everything is positive.
pub fn divided(value: i128, by: i128, step: i64) -> i64 {
    let step = i128::from(step);
    let steps = (2 * value + by * step) / (2 * by * step);
    i64::try_from(steps * step).unwrap()
}

/// How far a typed weight can be from what it was rounded from: it shows whole units, tenths or hundredths.
pub const fn step_of(hundredths: i64) -> i64 {
    if hundredths % 100 == 0 {
        100
    } else if hundredths % 10 == 0 {
        10
    } else {
        1
    }
}

/// A weight less a percentage, which is in hundredths of a percent.
pub fn shrunk(gross: i64, percent: i64, step: i64) -> i64 {
    divided(i128::from(gross) * i128::from(10_000 - percent), 10_000, step)
}

/// Pounds to kilograms, and back; 1 lb = 0.45359237 kg exactly (UCUM).
pub fn in_other_unit(gross: i64, to_kilograms: bool, step: i64) -> i64 {
    let (pound, whole) = (45_359_237, 100_000_000);
    let gross = i128::from(gross);
    if to_kilograms { divided(gross * pound, whole, step) } else { divided(gross * whole, pound, step) }
}
