//! Invented names and words, by what a code page can write and by language.

/// People, yards and buyers in plain letters.
pub const PLAIN: [&str; 12] = [
    "Dunnock Hollow Farm",
    "Marla Teague",
    "Orrin Vasse",
    "Whinfold Brothers",
    "Saltgrass Place",
    "Cade Ollerby",
    "Tarn Elver Feeders",
    "Pell and Quince",
    "Hesper Lowe",
    "Gannet Row Meats",
    "Vasse, Orrin",
    "Bar K-7 Ranch",
];

/// With the letters of western Europe that CP437 has too.
pub const WESTERN: [&str; 9] = [
    "Müllenhof Söhne",
    "Peñalver y Ibáñez",
    "Jörg Aßling",
    "Élevage Brévenne",
    "Gonçalves Ródano",
    "Großwiesen Gut",
    "Señorita Ñandú",
    "Käthe Übersee",
    "Chèvrerie Fôret-Noël",
];

/// With letters that CP850 and the Latin pages have, CP437 has not.
pub const IBERIAN: [&str; 4] = ["João Cordão", "Irmãos Leitões", "Fazenda Verão", "Sebastião Ínsua"];

/// With the letters of central Europe.
pub const CENTRAL: [&str; 8] = [
    "Řehoř Dvořáček",
    "Žofie Králíčková",
    "Gospodarstwo Łąkowe",
    "Szőlős Gyűrűs",
    "Świętożar Źrebak",
    "Šárka Houžvová",
    "Ludvík Pěnička",
    "Zdeňka Ťapová",
];

/// With letters that tell ISO 8859-15 from 8859-1.
pub const LATIN_9: [&str; 4] = ["Œuvre des Prés", "Bœufs du Cœur", "Žižka Étable", "Šimoun Pâturage"];

/// Kinds of animals by language.
pub const KINDS: [(&str, [&str; 5]); 5] = [
    ("en", ["Feeder steers", "Feeder heifers", "Fed steers", "Lambs", "Market hogs"]),
    ("es", ["Novillos", "Vaquillas", "Novillos gordos", "Corderos", "Cerdos"]),
    ("fr", ["Broutards", "Génisses", "Boeufs gras", "Agneaux", "Porcs"]),
    ("de", ["Fresser", "Färsen", "Mastbullen", "Lämmer", "Mastschweine"]),
    ("pt", ["Garrotes", "Novilhas", "Bois gordos", "Cordeiros", "Porcos"]),
];

/// Pounds per head by kind, from and to (from memory of extension articles; heifers from common practice, no source).
pub const POUNDS_PER_HEAD: [(i64, i64); 5] = [(400, 950), (300, 850), (1200, 1560), (60, 140), (240, 300)];

/// What a weigher notes. A weight keyed by hand is marked so (Handbook 44, 2.20, S.1.12; from memory).
pub const REMARKS: [&str; 7] = ["", "", "", "sorted", "one lame", "Manual Wt", "gate 3"];

pub const WEIGHERS: [&str; 4] = ["TQ", "HL", "MB", "JV"];

/// The word for a sum, for the sum of a ticket or lot, for the end of a list, and for a session, by language.
pub fn words(language: &str) -> [&'static str; 4] {
    match language {
        "es" => ["Total", "Subtotal", "Fin del informe", "Sesión"],
        "fr" => ["Total", "Sous-total", "Fin du rapport", "Session"],
        "de" => ["Summe", "Zwischensumme", "Ende der Liste", "Sitzung"],
        "pt" => ["Total", "Subtotal", "Fim do relatório", "Sessão"],
        _ => ["Total", "Subtotal", "End of report", "Session"],
    }
}

pub fn kinds(language: &str) -> [&'static str; 5] {
    KINDS.iter().find(|(own, _)| *own == language).unwrap_or(&KINDS[0]).1
}
