//! The generator behind every form against another implementation of it, and SHA-256 against the standard's examples.

use pitwright::marking::{Xoshiro128, sha256_hex};
use proptest::prelude::*;
use rand_xoshiro::Xoshiro128StarStar;
use rand_xoshiro::rand_core::{RngCore, SeedableRng};

/// The crate `rand_xoshiro` reads its seed as little-endian words.
fn reference(words: [u32; 4]) -> Xoshiro128StarStar {
    let mut seed = [0; 16];
    for (place, word) in seed.chunks_exact_mut(4).zip(words) {
        place.copy_from_slice(&word.to_le_bytes());
    }
    Xoshiro128StarStar::from_seed(seed)
}

fn ours(words: [u32; 4]) -> Xoshiro128 {
    let seed = words.iter().map(|word| format!("{word:08x}")).collect::<String>();
    Xoshiro128::from_hex(&seed).expect("32 digits, not all zero")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn words_are_those_of_another_implementation(words in any::<[u32; 4]>().prop_filter("all zero is no seed", |words| *words != [0; 4])) {
        let (mut ours, mut reference) = (ours(words), reference(words));
        for _ in 0..200 {
            prop_assert_eq!(ours.next_word(), reference.next_u32());
        }
    }

    /// Every number below the bound has the same count of words that lead to it: those below the last whole multiple.
    #[test]
    fn numbers_below_a_bound_come_from_whole_multiples(words in any::<[u32; 4]>().prop_filter("all zero is no seed", |words| *words != [0; 4]), bound in 1..=u32::MAX) {
        let (mut ours, mut reference) = (ours(words), reference(words));
        let bound = u64::from(bound);
        for _ in 0..50 {
            let kept = loop {
                let word = u64::from(reference.next_u32());
                // The word's block of `bound` words must lie wholly below 2^32.
                if (word / bound + 1) * bound <= 1 << 32 {
                    break word;
                }
            };
            prop_assert_eq!(u64::from(ours.below(u32::try_from(bound).expect("it was one"))), kept % bound);
        }
    }
}

/// A state whose first word is the one wanted. The word is rotl(5·s1, 7)·9, and odd factors have an inverse modulo 2^32.
fn state_that_gives(word: u32) -> [u32; 4] {
    const INVERSE_OF_5: u32 = 0xcccc_cccd;
    const INVERSE_OF_9: u32 = 0x38e3_8e39;
    let s1 = word
        .wrapping_mul(INVERSE_OF_9)
        .rotate_right(7)
        .wrapping_mul(INVERSE_OF_5);
    [0x1234_5678, s1, 0x9abc_def0, 0x0fed_cba9]
}

#[test]
fn the_last_whole_multiple_is_the_edge() {
    for bound in [3, 5, 7, 10, 2520, 0x5555_5556, 0x8000_0001, 0xc000_0000, u32::MAX] {
        let whole = (1u64 << 32) - (1u64 << 32) % u64::from(bound);
        let edge = u32::try_from(whole).expect("no bound here divides 2^32");
        let mut inside = ours(state_that_gives(edge - 1));
        assert_eq!(inside.below(bound), bound - 1, "the last word kept, bound {bound}");
        let mut outside = ours(state_that_gives(edge));
        let mut words = ours(state_that_gives(edge));
        assert_eq!(words.next_word(), edge);
        let kept = std::iter::repeat_with(|| words.next_word())
            .find(|word| *word < edge)
            .expect("the stream does not end");
        assert_eq!(
            outside.below(bound),
            kept % bound,
            "the first word thrown away, bound {bound}"
        );
        assert_eq!(outside, words, "no word more is drawn");
    }
}

#[test]
fn a_bound_that_divides_2_to_the_32_throws_nothing_away() {
    let mut ours = ours(state_that_gives(u32::MAX));
    assert_eq!(ours.below(1 << 16), 0xffff);
}

/// FIPS 180-4's examples: the empty message, one block, two blocks, a million letters a.
#[test]
fn sha_256_of_the_standards_examples() {
    let two_blocks = b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    let million = vec![b'a'; 1_000_000];
    let examples: [(&[u8], &str); 4] = [
        (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        (
            b"abc",
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        ),
        (
            two_blocks,
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
        (
            &million,
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
        ),
    ];
    for (message, hash) in examples {
        assert_eq!(sha256_hex(message), hash);
    }
}
