//! Canonical JSON against its author's published vectors, and hashes against the standard's.

use crate::ground::root;
use pitwright::marking::{canonical, sha256_hex};
use pitwright::record::seal;
use serde_json::{Value, json};
use std::fs;

/// Source: the test data of github.com/cyberphone/json-canonicalization, revision 19d51d7, by the author of RFC 8785.
#[test]
fn canonical_json_is_what_its_author_published() {
    let folder = root().join("tests/references/jcs");
    for name in ["arrays", "french", "structures", "unicode", "values", "weird"] {
        let input = fs::read(folder.join(format!("input/{name}.json"))).expect("the vector is there");
        let due = fs::read(folder.join(format!("output/{name}.json"))).expect("the vector is there");
        let value: Value = serde_json::from_slice(&input).expect("the vector is JSON");
        let given = canonical(&value).expect("the vector has a canonical form");
        assert_eq!(String::from_utf8_lossy(&given), String::from_utf8_lossy(&due), "{name}");
        let hex = fs::read_to_string(folder.join(format!("outhex/{name}.txt"))).expect("the vector is there");
        let bytes: Vec<u8> = hex
            .split_whitespace()
            .map(|byte| u8::from_str_radix(byte, 16).expect("two digits"))
            .collect();
        assert_eq!(given, bytes, "{name}");
    }
}

/// Source: RFC 8785, appendix B, by IEEE 754 bits.
#[test]
fn numbers_are_written_as_published() {
    for (bits, due) in [
        (0x4340_0000_0000_0001_u64, "9007199254740994"),
        (0x444b_1ae4_d6e2_ef50, "1e+21"),
        (0x3eb0_c6f7_a0b5_ed8d, "0.000001"),
        (0x3eb0_c6f7_a0b5_ed8c, "9.999999999999997e-7"),
        (0x8000_0000_0000_0000, "0"),
    ] {
        let given = canonical(&f64::from_bits(bits)).expect("a finite number has a canonical form");
        assert_eq!(String::from_utf8_lossy(&given), due);
    }
}

#[test]
fn whole_numbers_that_would_change_in_silence_are_refused() {
    assert!(canonical(&json!({"n": 9_007_199_254_740_991_u64})).is_ok());
    for large in [
        json!(9_007_199_254_740_993_u64),
        json!([{"deep": -9_007_199_254_740_993_i64}]),
    ] {
        let why = canonical(&large).expect_err("a double cannot hold it").to_string();
        assert!(why.contains("9007199254740993"), "{why}");
    }
}

/// Source: FIPS 180-4 with its published examples, NIST.
#[test]
fn hashes_are_sha_256() {
    assert_eq!(
        sha256_hex(b""),
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    );
    assert_eq!(
        sha256_hex(b"abc"),
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
}

#[test]
fn a_seal_is_the_hash_of_the_canonical_list() {
    let list = json!([{"b": 1, "a": "é"}, {"c": [0.5]}]);
    let whole = canonical(&list).expect("it is canonical");
    let bodies: Vec<String> = list
        .as_array()
        .expect("it is a list")
        .iter()
        .map(|value| String::from_utf8(canonical(value).expect("it is canonical")).expect("JSON is text"))
        .collect();
    assert_eq!(seal(bodies.iter().map(String::as_str)), sha256_hex(&whole));
}
