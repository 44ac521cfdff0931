//! Checksums against the published one.

use counterfoil::stick::{FileBytes, checksum};
use counterfoil::units::{Checksum, hex, sha256};

/// FIPS 180-4, example "abc" (NIST, SHA-256 example values).
const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

#[test]
fn the_published_example_comes_out_whole_and_in_pieces() {
    assert_eq!(sha256(b"abc"), ABC);
    let mut pieces = Checksum::default();
    pieces.add(b"a");
    pieces.add(b"bc");
    assert_eq!(pieces.finish(), ABC);
}

#[test]
fn every_byte_gives_two_digits() {
    assert_eq!(hex(&[0x00, 0x0f, 0xa0, 0xff]), "000fa0ff");
}

#[test]
fn a_source_larger_than_one_piece_is_summed_whole() {
    let bytes: Vec<u8> = (0..200_000_u32).map(|n| n.to_le_bytes()[0]).collect();
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), &bytes).unwrap();
    assert_eq!(checksum(&FileBytes::open(file.path()).unwrap()).unwrap(), sha256(&bytes));
}
