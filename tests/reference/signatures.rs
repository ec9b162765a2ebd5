//! Ed25519 and eddsa-jcs-2022 against their published vectors; each names its source in a SOURCE.md beside it.

use crate::ground::root;
use pitwright::marking::canonical;
use pitwright::proof::{NotAKey, PublicKey, SecretKey, Unproven, sign, verify};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::fs;

fn text(path: &str) -> String {
    let place = root().join("tests/references").join(path);
    fs::read_to_string(&place).unwrap_or_else(|why| panic!("{}: {why}", place.display()))
}

fn value(path: &str) -> Value {
    serde_json::from_str(&text(path)).expect("the vectors are JSON")
}

fn bytes(hex: &str) -> Vec<u8> {
    assert_eq!(hex.len() % 2, 0, "whole bytes");
    (0..hex.len() / 2)
        .map(|byte| u8::from_str_radix(&hex[2 * byte..2 * byte + 2], 16).expect("hexadecimal"))
        .collect()
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// RFC 8032, section 7.1.
#[test]
fn ed25519_gives_the_published_keys_and_signatures() {
    let vectors = value("ed25519/rfc8032.json");
    let vectors = vectors.as_array().expect("a list");
    assert_eq!(vectors.len(), 4);
    for vector in vectors {
        let field = |name: &str| bytes(vector[name].as_str().expect("a field of the vector"));
        let secret: [u8; 32] = field("secret").try_into().expect("32 bytes");
        let key = SecretKey::from_seed(&secret);
        assert_eq!(hex(&key.public().bytes()), vector["public"].as_str().expect("text"));
        let (message, signature) = (field("message"), field("signature"));
        assert_eq!(hex(&key.sign(&message)), hex(&signature), "line {}", vector["line"]);
        let signature: [u8; 64] = signature.try_into().expect("64 bytes");
        assert!(key.public().signed(&message, &signature));
        // A single bit, in the signature, in the message, in the key.
        for bit in 0..512 {
            let mut flipped = signature;
            flipped[bit / 8] ^= 1 << (bit % 8);
            assert!(!key.public().signed(&message, &flipped), "bit {bit} of the signature");
        }
        for bit in 0..message.len() * 8 {
            let mut flipped = message.clone();
            flipped[bit / 8] ^= 1 << (bit % 8);
            assert!(!key.public().signed(&flipped, &signature), "bit {bit} of the message");
        }
        for bit in 0..256 {
            let mut flipped = key.public().bytes();
            flipped[bit / 8] ^= 1 << (bit % 8);
            let other = PublicKey::from_bytes(&flipped);
            assert!(
                other.map_or(true, |other| !other.signed(&message, &signature)),
                "bit {bit} of the key"
            );
        }
    }
}

/// The secret key of the published pair: two bytes of prefix (0x8026), then the seed.
fn published_key() -> SecretKey {
    let pair = value("eddsa-jcs-2022/keyPair.json");
    let secret = pair["privateKeyMultibase"].as_str().expect("text");
    let secret = bs58::decode(&secret[1..]).into_vec().expect("base58");
    assert_eq!(secret[..2], [0x80, 0x26]);
    let key = SecretKey::from_seed(&secret[2..].try_into().expect("32 bytes"));
    assert_eq!(
        key.public().multikey(),
        pair["publicKeyMultibase"].as_str().expect("text")
    );
    key
}

/// W3C vc-di-eddsa, TestVectors.
#[test]
fn the_published_document_is_signed_as_published() {
    let folder = |name: &str| format!("eddsa-jcs-2022/{name}");
    let document = value(&folder("unsigned.json"));
    let form = |value: &Value| String::from_utf8(canonical(value).expect("canonical")).expect("text");
    assert_eq!(form(&document), text(&folder("canonDocJCS.txt")));
    let config = value(&folder("proofConfigJCS.json"));
    assert_eq!(form(&config), text(&folder("proofCanonJCS.txt")));
    let hash = |text: &str| hex(&Sha256::digest(text.as_bytes()));
    let (proof_hash, document_hash) = (hash(&form(&config)), hash(&form(&document)));
    assert_eq!(proof_hash, text(&folder("proofHashJCS.txt")));
    assert_eq!(document_hash, text(&folder("docHashJCS.txt")));
    let both = format!("{proof_hash}{document_hash}");
    assert_eq!(both, text(&folder("combinedHashJCS.txt")));
    let key = published_key();
    assert_eq!(hex(&key.sign(&bytes(&both))), text(&folder("sigHexJCS.txt")));

    let published = value(&folder("signedJCS.json"))["proof"].clone();
    assert_eq!(published["proofValue"], json!(text(&folder("sigBTC58JCS.txt"))));
    let created = published["created"].as_str().expect("text").parse().expect("a time");
    assert_eq!(sign(&document, &key, created).expect("canonical"), published);
    let signed = verify(&document, &published).expect("the published proof holds");
    assert_eq!((signed.by, signed.created), (key.public(), created));
}

#[test]
fn a_proof_holds_for_nothing_else() {
    let document = value("eddsa-jcs-2022/unsigned.json");
    let proof = value("eddsa-jcs-2022/signedJCS.json")["proof"].clone();
    for (path, other) in [
        ("/name", json!("Alumni credential")),
        ("/validFrom", json!("2023-01-01T00:00:01Z")),
        ("/credentialSubject/id", json!("did:example:abcdefgi")),
        ("/type/1", json!("Alumni")),
    ] {
        let mut altered = document.clone();
        *altered.pointer_mut(path).expect("it has this") = other;
        assert_eq!(verify(&altered, &proof), Err(Unproven::Changed), "{path}");
    }
    let another = SecretKey::from_seed(&[7; 32]).public();
    for (field, other, why) in [
        ("created", json!("2023-02-24T23:36:39Z"), Unproven::Changed),
        ("created", json!("soon"), Unproven::Field("created")),
        ("type", json!("Proof"), Unproven::Field("type")),
        ("cryptosuite", json!("eddsa-rdfc-2022"), Unproven::Field("cryptosuite")),
        ("proofPurpose", json!("authentication"), Unproven::Field("proofPurpose")),
        ("proofValue", json!("z"), Unproven::Field("proofValue")),
        ("proofValue", Value::Null, Unproven::Field("proofValue")),
        ("verificationMethod", json!(another.method()), Unproven::Changed),
        (
            "verificationMethod",
            json!("did:key:zz#zz"),
            Unproven::Key(NotAKey::OtherKind),
        ),
        (
            "verificationMethod",
            json!(format!("did:key:{}#1", another.multikey())),
            Unproven::Field("verificationMethod"),
        ),
        (
            "expires",
            json!("2030-01-01T00:00:00Z"),
            Unproven::Unknown("expires".to_owned()),
        ),
    ] {
        let mut altered = proof.clone();
        altered[field] = other;
        assert_eq!(verify(&document, &altered), Err(why), "{field}");
    }
    // A context that was added behind what was signed is left out, one before it is not.
    let mut longer = document.clone();
    longer["@context"]
        .as_array_mut()
        .expect("a list")
        .push(json!("urn:more"));
    assert!(verify(&longer, &proof).is_ok());
    longer["@context"].as_array_mut().expect("a list").swap(0, 1);
    assert_eq!(verify(&longer, &proof), Err(Unproven::Field("@context")));
}

/// The form is that of W3C Controlled Identifiers 1.0 (Multikey); the key is that of the published pair.
#[test]
fn what_is_no_multikey_of_ed25519_is_refused() {
    let good = published_key().public().multikey();
    assert_eq!(PublicKey::from_multikey(&good).expect("it is one").multikey(), good);
    let with = |prefix: [u8; 2], rest: &[u8]| format!("z{}", bs58::encode([&prefix, rest].concat()).into_string());
    let point = published_key().public().bytes();
    for (text, why) in [
        ("", NotAKey::NotMultibase),
        ("MkrJVnaZke", NotAKey::NotMultibase),
        ("z6Mk0", NotAKey::NotBase58),
        ("z6Mk ", NotAKey::NotBase58),
        ("z", NotAKey::OtherKind),
        ("z3u2en7t5LR2WtQH5PfFqMqwVHBeXouLzo6haApm8XHqvjxq", NotAKey::OtherKind),
        // 0xec01 is X25519: from memory.
        (&with([0xec, 0x01], &point), NotAKey::OtherKind),
        (&with([0xed, 0x01], &point[..31]), NotAKey::Length),
        (&with([0xed, 0x01], &[&point[..], &[0]].concat()), NotAKey::Length),
        // The neutral element signs anything.
        (&with([0xed, 0x01], &[&[1][..], &[0; 31]].concat()), NotAKey::NoPoint),
    ] {
        assert_eq!(PublicKey::from_multikey(text), Err(why), "{text}");
    }
}
