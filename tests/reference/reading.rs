//! Reading grade: the formula from published counts, and the counter against counts that other programs made.

use pitwright::survey::{Counts, counts};

/// (words, sentences, syllables, grade) as textstat 0.7.13 prints them, which looks syllables up in the CMU Pronouncing Dictionary; the
/// first is the published example of the formula (grade 11.3), the second the Gettysburg Address (Bliss copy), the third
/// 29 CFR 1910.147(d) as prose.
const PUBLISHED: [(usize, usize, usize, f64); 4] = [
    (13, 1, 24, 11.2646),
    (271, 10, 369, 11.0462),
    (94, 4, 169, 14.7899),
    (19, 3, 19, -1.32),
];

#[test]
fn the_formula_gives_the_published_grades() {
    for (words, sentences, syllables, grade) in PUBLISHED {
        let found = Counts {
            words,
            sentences,
            syllables,
        }
        .grade()
        .expect("there is something to read");
        assert!((found - grade).abs() < 1e-4, "{words} words: {found}, not {grade}");
    }
}

/// A rule of thumb for syllables may miss by three in a hundred; words and sentences it counts exactly.
#[test]
fn words_sentences_and_syllables_of_known_texts() {
    let texts = [
        ("gettysburg.txt", PUBLISHED[1]),
        ("osha_1910_147_d.txt", PUBLISHED[2]),
        ("cat.txt", PUBLISHED[3]),
    ];
    for (name, (words, sentences, syllables, _)) in texts {
        let path = crate::ground::root().join("tests/references/reading").join(name);
        let found = counts(&std::fs::read_to_string(path).expect("the text is there"));
        println!("{name}: {found:?}");
        assert!(
            found.words.abs_diff(words) <= words / 40,
            "{name}: {} words, not {words}",
            found.words
        );
        assert_eq!(found.sentences, sentences, "{name}");
        let off = found.syllables.abs_diff(syllables) as f64 / syllables as f64;
        assert!(off <= 0.03, "{name}: {} syllables, not {syllables}", found.syllables);
    }
}
