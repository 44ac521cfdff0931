//! The letters of short names: their bytes outside ASCII hang on the code page of whoever wrote them.

use super::names::ShortName;

/// A code page of short names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum CodePage {
    /// The first one, and what Linux and most small machines write (common practice, no source).
    #[default]
    Cp437,
    /// Western European; what Windows writes there.
    Cp850,
    /// Central European.
    Cp852,
}

/// In the order in which they are tried: where two fit alike, the first holds.
const ALL: [CodePage; 3] = [CodePage::Cp437, CodePage::Cp850, CodePage::Cp852];

impl CodePage {
    /// The letter of a byte; control characters and separators show as `_`.
    pub(super) fn letter(self, byte: u8) -> char {
        let table = match self {
            Self::Cp437 => &oem_cp::code_table::DECODING_TABLE_CP437,
            Self::Cp850 => &oem_cp::code_table::DECODING_TABLE_CP850,
            Self::Cp852 => &oem_cp::code_table::DECODING_TABLE_CP852,
        };
        let above_ascii = byte.checked_sub(0x80).and_then(|index| table.get(usize::from(index)).copied());
        let letter = above_ascii.unwrap_or(char::from(byte));
        if letter.is_control() || matches!(letter, '/' | '\\') { '_' } else { letter }
    }

    /// The code page in which these short names were written: a long name beside a short one tells, for both name the
    /// same thing; a name without one is in capitals.
    pub(super) fn of_names<'a>(names: impl Iterator<Item = (&'a ShortName, Option<&'a str>)> + Clone) -> Self {
        let marks = |page: &Self| names.clone().map(|(short, long)| page.fits(short, long)).sum::<usize>();
        // The last of equals would win, so the order is turned round.
        ALL.into_iter().rev().max_by_key(marks).unwrap_or_default()
    }

    /// How many letters outside ASCII are what they should be.
    fn fits(self, short: &ShortName, long: Option<&str>) -> usize {
        let long = long.map(str::to_uppercase);
        let letters = short.0.iter().filter(|byte| !byte.is_ascii()).map(|byte| self.letter(*byte));
        let fits = |letter: &char| match &long {
            // A pair tells more than the look of a letter alone.
            Some(long) => 4 * usize::from(long.contains(*letter)),
            None => usize::from(letter.is_uppercase()),
        };
        letters.map(|letter| fits(&letter)).sum()
    }
}
