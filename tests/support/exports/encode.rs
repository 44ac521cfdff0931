//! Text to bytes and back, in every encoding the exports come in.

use encoding_rs::{Encoding, ISO_8859_2, ISO_8859_15, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1250, WINDOWS_1252};
use oem_cp::code_table::{DECODING_TABLE_CP437, DECODING_TABLE_CP850, DECODING_TABLE_CP852};
use oem_cp::code_table::{ENCODING_TABLE_CP437, ENCODING_TABLE_CP850, ENCODING_TABLE_CP852};

use super::names::{CENTRAL, IBERIAN, LATIN_9, WESTERN};

/// How the text of an export became bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Coded {
    /// As the document names it.
    pub name: &'static str,
    /// Whether the mark of its byte order stands in front.
    pub marked: bool,
}

pub const PLAIN_UTF_8: Coded = Coded { name: "utf-8", marked: false };

/// The names that need an encoding.
pub fn letters_of(encoding: &str) -> Vec<&'static str> {
    match encoding {
        "windows-1250" | "cp852" | "iso-8859-2" => CENTRAL.to_vec(),
        "iso-8859-15" => [LATIN_9.as_slice(), IBERIAN.as_slice()].concat(),
        "cp437" => WESTERN.to_vec(),
        "utf-8" | "utf-16le" | "utf-16be" => [CENTRAL.as_slice(), WESTERN.as_slice()].concat(),
        _ => [WESTERN.as_slice(), IBERIAN.as_slice()].concat(),
    }
}

/// The text in an encoding; nothing where it cannot write a letter.
pub fn encode(text: &str, coded: Coded) -> Option<Vec<u8>> {
    let mark = if coded.marked { "\u{FEFF}" } else { "" };
    let text = format!("{mark}{text}");
    match coded.name {
        "utf-8" => Some(text.into_bytes()),
        "utf-16le" => Some(text.encode_utf16().flat_map(u16::to_le_bytes).collect()),
        "utf-16be" => Some(text.encode_utf16().flat_map(u16::to_be_bytes).collect()),
        "cp437" => oem_cp::encode_string_checked(text.as_str(), &ENCODING_TABLE_CP437),
        "cp850" => oem_cp::encode_string_checked(text.as_str(), &ENCODING_TABLE_CP850),
        "cp852" => oem_cp::encode_string_checked(text.as_str(), &ENCODING_TABLE_CP852),
        other => {
            let (bytes, _, lost) = page(other)?.encode(&text);
            (!lost).then(|| bytes.into_owned())
        }
    }
}

/// Bytes as text by an encoding's name, without the mark; nothing where the name is unknown.
pub fn decode(bytes: &[u8], name: &str) -> Option<String> {
    let text = match name.to_lowercase().as_str() {
        "cp437" => oem_cp::decode_string_complete_table(bytes, &DECODING_TABLE_CP437),
        "cp850" => oem_cp::decode_string_complete_table(bytes, &DECODING_TABLE_CP850),
        "cp852" => oem_cp::decode_string_complete_table(bytes, &DECODING_TABLE_CP852),
        other => page(other)?.decode_without_bom_handling(bytes).0.into_owned(),
    };
    Some(text.trim_start_matches('\u{FEFF}').to_owned())
}

fn page(name: &str) -> Option<&'static Encoding> {
    match name {
        "utf-8" => Some(UTF_8),
        "utf-16le" => Some(UTF_16LE),
        "utf-16be" => Some(UTF_16BE),
        "windows-1252" => Some(WINDOWS_1252),
        "windows-1250" => Some(WINDOWS_1250),
        "iso-8859-2" => Some(ISO_8859_2),
        "iso-8859-15" => Some(ISO_8859_15),
        other => Encoding::for_label(other.as_bytes()),
    }
}
