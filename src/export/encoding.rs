//! In which encoding a text was written: by its mark, by its zero bytes, as UTF-8, else by how its letters stand.

use encoding_rs::{Encoding as Whatwg, ISO_8859_2, ISO_8859_15, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1250, WINDOWS_1252};

use super::alphabets;

/// So many bytes from the start decide; the rest of an export is written by the same hand.
const SAMPLE: usize = 256 << 10;

/// An encoding of text.
#[derive(Debug, Clone, Copy)]
pub enum Encoding {
    /// One of the WHATWG Encoding Standard.
    Standard(&'static Whatwg),
    /// A page of DOS, with its letters above ASCII.
    Dos(&'static str, &'static [char; 128]),
}

impl PartialEq for Encoding {
    fn eq(&self, other: &Self) -> bool {
        self.name() == other.name()
    }
}

/// What was decided on the encoding of a text.
#[derive(Debug, Clone)]
pub struct Decided {
    /// The encoding.
    pub encoding: Encoding,
    /// The length of the byte order mark, in bytes.
    pub mark_bytes: usize,
    /// Others that give the same text.
    pub same: Vec<&'static str>,
    /// One that would do as well and gives another text.
    pub doubt: Option<&'static str>,
}

/// The pages for one byte a letter, the commonest first: where several do equally well, the first holds.
static PAGES: [Encoding; 7] = [
    Encoding::Standard(WINDOWS_1252),
    Encoding::Standard(ISO_8859_15),
    Encoding::Standard(WINDOWS_1250),
    Encoding::Standard(ISO_8859_2),
    Encoding::Dos("cp850", &oem_cp::code_table::DECODING_TABLE_CP850),
    Encoding::Dos("cp437", &oem_cp::code_table::DECODING_TABLE_CP437),
    Encoding::Dos("cp852", &oem_cp::code_table::DECODING_TABLE_CP852),
];

impl Encoding {
    /// The encoding of a name, in any case: a label of the WHATWG Encoding Standard, or `cp` with the number of a DOS page.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let dos = PAGES.into_iter().find(|page| page.name().eq_ignore_ascii_case(name));
        dos.or_else(|| Whatwg::for_label(name.as_bytes()).map(Self::Standard))
    }

    /// Whether every byte of a text is one letter in it, whatever the byte.
    #[must_use]
    pub fn is_page(self) -> bool {
        match self {
            Self::Dos(..) => true,
            Self::Standard(standard) => standard.is_single_byte(),
        }
    }

    /// Its name: of the WHATWG Encoding Standard in lower case, or `cp` with the number of a DOS page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Dos(name, _) => name,
            Self::Standard(standard) => lower_case(standard.name()),
        }
    }

    /// How many bytes a letter of ASCII takes.
    #[must_use]
    pub fn width(self) -> usize {
        if self.is_little_endian() || self.is_big_endian() { 2 } else { 1 }
    }

    /// Whether letters take two bytes, the lower one first.
    #[must_use]
    pub fn is_little_endian(self) -> bool {
        matches!(self, Self::Standard(standard) if standard == UTF_16LE)
    }

    /// Whether letters take two bytes, the higher one first.
    #[must_use]
    pub fn is_big_endian(self) -> bool {
        matches!(self, Self::Standard(standard) if standard == UTF_16BE)
    }

    /// The text of some bytes; what the encoding does not know becomes U+FFFD.
    #[must_use]
    pub fn decode(self, bytes: &[u8]) -> std::borrow::Cow<'_, str> {
        match self {
            Self::Standard(standard) => standard.decode_without_bom_handling(bytes).0,
            Self::Dos(_, table) => bytes.iter().map(|byte| dos_letter(*byte, table)).collect::<String>().into(),
        }
    }
}

fn dos_letter(byte: u8, table: &[char; 128]) -> char {
    byte.checked_sub(0x80).and_then(|index| table.get(usize::from(index))).copied().unwrap_or(char::from(byte))
}

/// The names of the standard are in mixed case; these are the ones a text can be told to be in.
fn lower_case(name: &'static str) -> &'static str {
    const NAMES: &[&str] = &[
        "utf-8",
        "utf-16le",
        "utf-16be",
        "windows-1252",
        "windows-1250",
        "windows-1251",
        "windows-1253",
        "windows-1254",
        "windows-1255",
        "windows-1256",
        "windows-1257",
        "windows-1258",
        "windows-874",
        "iso-8859-2",
        "iso-8859-4",
        "iso-8859-5",
        "iso-8859-6",
        "iso-8859-7",
        "iso-8859-8",
        "iso-8859-8-i",
        "iso-8859-13",
        "iso-8859-15",
        "koi8-u",
        "ibm866",
        "shift_jis",
        "euc-jp",
        "euc-kr",
        "big5",
        "gbk",
    ];
    NAMES.iter().copied().find(|known| known.eq_ignore_ascii_case(name)).unwrap_or(name)
}

impl Decided {
    const fn sure(encoding: &'static Whatwg, mark_bytes: usize) -> Self {
        Self { encoding: Encoding::Standard(encoding), mark_bytes, same: Vec::new(), doubt: None }
    }
}

/// Decides on the encoding of a whole file.
#[must_use]
pub fn decide(bytes: &[u8]) -> Decided {
    if let Some((encoding, length)) = Whatwg::for_bom(bytes) {
        return Decided::sure(encoding, length);
    }
    let sample = bytes.get(..SAMPLE).unwrap_or(bytes);
    if let Some(encoding) = two_bytes_a_letter(sample) {
        return Decided::sure(encoding, 0);
    }
    if is_utf8(bytes) { Decided::sure(UTF_8, 0) } else { by_letters(bytes) }
}

/// UTF-16 without its mark: of the pairs of bytes that are not both zero, nearly all have a zero in the same half.
fn two_bytes_a_letter(bytes: &[u8]) -> Option<&'static Whatwg> {
    // The beginning alone must show it too: zero bytes among the rows of a damaged file are no letters.
    let shown = |pairs: usize| halves(bytes, pairs);
    shown(32).filter(|encoding| shown(4_096) == Some(encoding))
}

fn halves(bytes: &[u8], pairs: usize) -> Option<&'static Whatwg> {
    let (mut low_first, mut high_first, mut others) = (0_usize, 0_usize, 0_usize);
    for pair in bytes.chunks_exact(2).take(pairs) {
        match pair {
            [0, 0] => {}
            [_, 0] => low_first += 1,
            [0, _] => high_first += 1,
            _ => others += 1,
        }
    }
    let all = low_first + high_first + others;
    let most = |count: usize| all >= 4 && count * 10 >= all * 8;
    if most(low_first) {
        Some(UTF_16LE)
    } else if most(high_first) {
        Some(UTF_16BE)
    } else {
        None
    }
}

/// Whether it is UTF-8: a letter cut off at the end does not speak against it, nor do a few spoiled bytes among many
/// letters of several bytes.
fn is_utf8(bytes: &[u8]) -> bool {
    let (mut wrong, mut long) = (0_usize, 0_usize);
    for chunk in bytes.utf8_chunks() {
        long += chunk.valid().chars().filter(|letter| !letter.is_ascii()).count();
        wrong += usize::from(!chunk.invalid().is_empty());
    }
    let cut_at_end = || std::str::from_utf8(bytes).is_err_and(|error| error.error_len().is_none());
    wrong == 0 || wrong == 1 && cut_at_end() || long >= 4 * wrong
}

/// One byte a letter: the page under which letters stand among letters, and are letters of one language.
fn by_letters(bytes: &[u8]) -> Decided {
    let words = alphabets::words_outside_ascii(bytes);
    let scored = PAGES.map(|page| {
        let texts: Vec<String> = words.iter().map(|word| page.decode(word).into_owned()).collect();
        (page, alphabets::score(&texts), texts)
    });
    let best = scored.iter().map(|(_, score, _)| *score).max().unwrap_or(0);
    let mut top = scored.iter().filter(|(_, score, _)| *score == best);
    let Some((page, _, texts)) = top.next() else { return Decided::sure(WINDOWS_1252, 0) };
    if best < alphabets::LEAST
        && let Some(other) = beyond_the_west(bytes)
    {
        return Decided::sure(other, 0);
    }
    let same = scored.iter().filter(|(other, _, theirs)| other != page && theirs == texts);
    let doubt = top.find(|(_, _, theirs)| theirs != texts).map(|(other, _, _)| other.name());
    Decided { encoding: *page, mark_bytes: 0, same: same.map(|(other, _, _)| other.name()).collect(), doubt }
}

/// What the detector makes of it where no page of the West does: Cyrillic, Greek and others.
fn beyond_the_west(bytes: &[u8]) -> Option<&'static Whatwg> {
    let mut detector = chardetng::EncodingDetector::new();
    detector.feed(bytes.get(..SAMPLE).unwrap_or(bytes), true);
    let guess = detector.guess(None, false);
    let western = PAGES.contains(&Encoding::Standard(guess));
    (!western).then_some(guess)
}
