//! Whole numbers as these media store them: lowest byte first.

/// The 16-bit number at byte `at`; what lies beyond the end counts as zero.
pub(super) fn u16_at(bytes: &[u8], at: usize) -> u16 {
    u16::from_le_bytes(array_at(bytes, at))
}

/// The 32-bit number at byte `at`; what lies beyond the end counts as zero.
pub(super) fn u32_at(bytes: &[u8], at: usize) -> u32 {
    u32::from_le_bytes(array_at(bytes, at))
}

/// The 64-bit number at byte `at`; what lies beyond the end counts as zero.
pub(super) fn u64_at(bytes: &[u8], at: usize) -> u64 {
    u64::from_le_bytes(array_at(bytes, at))
}

/// The byte at `at`; what lies beyond the end counts as zero.
pub(super) fn u8_at(bytes: &[u8], at: usize) -> u8 {
    bytes.get(at).copied().unwrap_or_default()
}

/// A text of one byte a letter that ends with its first zero.
pub(super) fn text_at(bytes: &[u8], at: usize, length: usize) -> String {
    let place = bytes.get(at..).unwrap_or_default();
    let text: Vec<u8> = place.iter().take(length).copied().take_while(|byte| *byte != 0).collect();
    String::from_utf8_lossy(&text).into_owned()
}

/// A text of two bytes a letter, so many letters at most, that ends with its first zero.
pub(super) fn wide_text_at(bytes: &[u8], at: usize, letters: usize) -> String {
    let letters = (0..letters).map(|number| u16_at(bytes, at + 2 * number)).take_while(|letter| *letter != 0);
    char::decode_utf16(letters).map(|letter| letter.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
}

fn array_at<const N: usize>(bytes: &[u8], at: usize) -> [u8; N] {
    let mut out = [0; N];
    for (target, source) in out.iter_mut().zip(bytes.get(at..).unwrap_or_default()) {
        *target = *source;
    }
    out
}
