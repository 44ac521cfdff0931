//! Times as an indicator states them: local, without a zone.

use std::fmt;

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Serialize, Serializer};

/// How finely a time was stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Precision {
    /// A date alone; the time of day stands at midnight.
    Day,
    /// Hours and minutes; the seconds stand at zero.
    Minute,
    /// Hours, minutes and seconds.
    Second,
}

/// A time on the indicator's own clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LocalTime {
    /// Date and time of day, no zone.
    pub at: NaiveDateTime,
    /// How finely it was stated.
    pub precision: Precision,
}

impl LocalTime {
    /// The day it falls on.
    #[must_use]
    pub const fn date(self) -> NaiveDate {
        self.at.date()
    }
}

impl fmt::Display for LocalTime {
    /// As stated: no seconds where none were given.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let pattern = match self.precision {
            Precision::Day => "%Y-%m-%d",
            Precision::Minute => "%Y-%m-%d %H:%M",
            Precision::Second => "%Y-%m-%d %H:%M:%S",
        };
        self.at.format(pattern).fmt(f)
    }
}

impl Serialize for LocalTime {
    /// `YYYY-MM-DDThh:mm:ss`, without offset.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.at.format("%Y-%m-%dT%H:%M:%S"))
    }
}
