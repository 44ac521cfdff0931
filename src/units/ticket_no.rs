//! Ticket numbers, which are texts: leading zeros and letters belong to them.

/// What two writings of one ticket number have in common: no outer blanks, no leading zeros, no case.
///
/// Where this makes two numbers of one list equal, the list's numbers must be compared as written instead.
#[must_use]
pub fn ticket_key(written: &str) -> String {
    let trimmed = written.trim();
    let shortened = trimmed.trim_start_matches('0');
    let kept = if shortened.is_empty() && !trimmed.is_empty() { "0" } else { shortened };
    kept.to_lowercase()
}

/// The figures at the end of a ticket number and what stands before them, for telling which follows which.
#[must_use]
pub fn ticket_serial(written: &str) -> Option<(String, u64)> {
    let key = ticket_key(written);
    let digits = key.bytes().rev().take_while(u8::is_ascii_digit).count();
    let (series, figures) = key.split_at_checked(key.len() - digits)?;
    Some((series.to_owned(), figures.parse().ok()?))
}

/// The ticket numbers of one list, and how to compare others with them.
#[derive(Debug, Clone, Default)]
pub struct TicketNumbers {
    /// Keys that more than one writing of the list shares: these are compared as written.
    shared: std::collections::BTreeSet<String>,
}

impl TicketNumbers {
    /// The numbers of a list, as written.
    #[must_use]
    pub fn of<'n>(numbers: impl Iterator<Item = &'n str>) -> Self {
        let mut writings: std::collections::BTreeMap<String, &str> = std::collections::BTreeMap::new();
        let mut shared = std::collections::BTreeSet::new();
        for number in numbers.map(str::trim) {
            let key = ticket_key(number);
            if *writings.entry(key.clone()).or_insert(number) != number {
                shared.insert(key);
            }
        }
        Self { shared }
    }

    /// What a number is compared by.
    #[must_use]
    pub fn key(&self, written: &str) -> String {
        let key = ticket_key(written);
        if self.shared.contains(&key) { written.trim().to_owned() } else { key }
    }
}
