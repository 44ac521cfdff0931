//! How likely decoded words are words: letters among letters, and all of them of one language's alphabet.

use std::collections::BTreeSet;

/// So many different words decide.
const MOST_WORDS: usize = 400;

/// No word is taken with more bytes than this.
const LONGEST: usize = 60;

/// Below this a page makes no sense of the words.
pub const LEAST: i64 = 0;

/// The letters outside ASCII that languages write, in small letters (Unicode CLDR, main exemplar characters, from memory).
const ALPHABETS: [&str; 12] = [
    // German, French, Spanish with Catalan's point, Portuguese, Italian.
    "äöüß",
    "àâæçéèêëîïôœùûüÿ",
    "áéíñóúüçàèòï",
    "áàâãçéêíóôõúü",
    "àèéìòù",
    // Nordic, with Icelandic.
    "åäöæøéðþáíóúý",
    // Polish, Czech and Slovak, Hungarian, Romanian, Slovene and Croatian.
    "ąćęłńóśźż",
    "áčďéěíňóřšťúůýžäĺľôŕ",
    "áéíóöőúüű",
    "ăâîșțşţ",
    "čšžćđ",
    // Dutch, with what names from elsewhere bring.
    "ëïéèöü",
];

/// The words with a byte outside ASCII, each once.
pub fn words_outside_ascii(bytes: &[u8]) -> Vec<&[u8]> {
    let is_word = |byte: &u8| byte.is_ascii_alphabetic() || !byte.is_ascii() || *byte == b'\'';
    let words = bytes.split(|byte| !is_word(byte)).filter(|word| word.iter().any(|byte| !byte.is_ascii()));
    let different: BTreeSet<&[u8]> = words.filter(|word| word.len() <= LONGEST).take(16 * MOST_WORDS).collect();
    different.into_iter().take(MOST_WORDS).collect()
}

/// How well the words read: of each, the language that explains most of its letters counts, for names come from several;
/// whatever stands in a word and is no letter speaks against the page.
///
/// That one language explains many words whole speaks for a page too.
pub fn score(words: &[String]) -> i64 {
    let whole = |alphabet: &&str| {
        let explained = |word: &&String| word.chars().all(|letter| letter.is_ascii() || belongs(letter, alphabet));
        words.iter().filter(explained).count()
    };
    let together = ALPHABETS.iter().map(whole).max().unwrap_or(0);
    words.iter().map(|word| score_of_word(word)).sum::<i64>() + i64::try_from(together).unwrap_or(0)
}

fn score_of_word(word: &str) -> i64 {
    let outside: Vec<char> = word.chars().filter(|letter| !letter.is_ascii()).collect();
    let known = |alphabet: &&str| outside.iter().filter(|letter| belongs(**letter, alphabet)).count();
    let best = ALPHABETS.iter().map(known).max().unwrap_or(0);
    let best = i64::try_from(best).unwrap_or(i64::MAX);
    let all = i64::try_from(outside.len()).unwrap_or(i64::MAX);
    // A letter of the language is worth more than one that is only a letter.
    4 * best - 2 * (all - best) + shape(word)
}

fn belongs(letter: char, alphabet: &str) -> bool {
    letter.to_lowercase().all(|small| alphabet.contains(small))
}

/// Letters beside letters, small after small or after a capital; no signs inside words, no capital after a small one.
fn shape(word: &str) -> i64 {
    let letters: Vec<char> = word.chars().collect();
    let mut looks = 0;
    for (at, letter) in letters.iter().enumerate().filter(|(_, letter)| !letter.is_ascii()) {
        let before = at.checked_sub(1).and_then(|at| letters.get(at));
        looks += match letter {
            // Signs people write: money, degrees, ordinals, dashes and apostrophes.
            '€' | '£' | '°' | '–' | '—' | '’' | '½' | '·' => 0,
            _ if !letter.is_alphabetic() => -6,
            _ if letters.len() == 1 => -1,
            _ if letter.is_uppercase() && before.is_some_and(|before| before.is_lowercase()) => -3,
            _ if letter.is_lowercase() && is_capitals(&letters, at) => -3,
            _ => 1,
        };
    }
    looks
}

/// Whether the rest of a word is in capitals.
fn is_capitals(letters: &[char], at: usize) -> bool {
    let others = letters.iter().enumerate().filter(|(place, _)| *place != at).map(|(_, letter)| letter);
    letters.len() > 2 && others.filter(|letter| letter.is_alphabetic()).all(|letter| letter.is_uppercase())
}
