//! Dates and times as FAT stores them: FAT05 "Date and Time Encoding".

use chrono::{NaiveDate, NaiveDateTime};

/// A stored date and time: local, to two seconds, without a zone. `None` where the fields name no such time.
#[must_use]
pub fn dos_date_time(date: u16, time: u16) -> Option<NaiveDateTime> {
    let year = 1980 + i32::from(date >> 9);
    let day = NaiveDate::from_ymd_opt(year, u32::from(date >> 5 & 0x0F), u32::from(date & 0x1F))?;
    day.and_hms_opt(u32::from(time >> 11), u32::from(time >> 5 & 0x3F), u32::from(time & 0x1F) * 2)
}
