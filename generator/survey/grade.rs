//! How hard a text is to read: the grade of Kincaid, Fishburne, Rogers and Chissom, "Derivation of new readability formulas",
//! Navy Research Branch Report 8-75, 1975, from words, sentences and syllables.

use crate::check::wording::Sentence;
use std::ops::AddAssign;

/// What the grade is worked out from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    pub words: usize,
    pub sentences: usize,
    pub syllables: usize,
}

impl AddAssign for Counts {
    fn add_assign(&mut self, other: Self) {
        self.words += other.words;
        self.sentences += other.sentences;
        self.syllables += other.syllables;
    }
}

impl Counts {
    /// The grade of a school in the United States whose pupils can read the text: 0.39 words a sentence + 11.8 syllables a word − 15.59.
    /// It can be below 0. `None` where there is nothing to read.
    pub fn grade(self) -> Option<f64> {
        if self.words == 0 || self.sentences == 0 {
            return None;
        }
        let (words, sentences, syllables) = (self.words as f64, self.sentences as f64, self.syllables as f64);
        Some(0.39 * words / sentences + 11.8 * syllables / words - 15.59)
    }

    /// Counts sentences; words for which `apart` holds are left out. What ends with a colon goes on in the next one.
    pub fn of(sentences: &[Sentence], apart: impl Fn(&str) -> bool) -> Self {
        let mut counts = Self::default();
        for sentence in sentences {
            for word in sentence.words.iter().filter(|word| !apart(&word.text)) {
                counts.words += 1;
                counts.syllables += syllables(&word.text);
            }
            counts.sentences += usize::from(sentence.end != Some(':'));
        }
        counts
    }
}

/// The syllables of an English word in lower case, at least 1: its groups of vowels, without those that are written and not spoken.
/// A rule of thumb; it is checked against counts out of a dictionary of pronunciations, and may be off by one on a word.
pub fn syllables(word: &str) -> usize {
    word.split('-').map(of_part).sum::<usize>().max(1)
}

fn of_part(part: &str) -> usize {
    let letters: Vec<char> = part
        .trim_end_matches("'s")
        .chars()
        .filter(|letter| letter.is_alphabetic())
        .collect();
    let vowel = |at: usize| letters.get(at).is_some_and(|letter| "aeiouy".contains(*letter));
    let mut groups = 0;
    for at in 0..letters.len() {
        if vowel(at) && (at == 0 || !vowel(at - 1)) {
            groups += 1;
        }
        // Two vowels side by side that are spoken apart: "lion", "area", "fluid", "doing", but not "nation", "special", "million".
        if at > 0 && vowel(at) && vowel(at - 1) {
            let before = at.checked_sub(2).map(|at| letters[at]);
            let soft = before.is_some_and(|letter| "tcsgxln".contains(letter));
            let last = at + 1 == letters.len();
            groups += usize::from(match (letters[at - 1], letters[at]) {
                ('i', 'a' | 'o') => !soft,
                ('e', 'a') => last && letters.len() > 3,
                ('y', 'a' | 'e' | 'o') => at > 1 && vowel(at - 2),
                ('o' | 'y' | 'u' | 'e', 'i') if letters[at..] == ['i', 'n', 'g'] => true,
                ('u', 'i') => !before.is_some_and(|letter| "qgbrjf".contains(letter)),
                ('u', 'a') => !before.is_some_and(|letter| "qg".contains(letter)),
                _ => false,
            });
        }
    }
    let ends = |ending: &str| part.trim_end_matches("'s").ends_with(ending);
    let before = |back: usize| letters.len().checked_sub(back).map(|at| letters[at]);
    let silent = if ends("e") {
        let consonant_le = before(2) == Some('l') && before(3).is_some_and(|letter| !"aeiouy".contains(letter));
        !consonant_le && before(2).is_some_and(|letter| !"aeiouy".contains(letter))
    } else if ends("ed") {
        before(3).is_some_and(|letter| !"aeiouytd".contains(letter))
    } else if ends("es") {
        let le = before(3) == Some('l') && before(4).is_some_and(|letter| !"aeiouy".contains(letter));
        let hissing = before(3).is_some_and(|letter| "sxzcg".contains(letter)) || ends("ches") || ends("shes");
        !le && !hissing && before(3).is_some_and(|letter| !"aeiouy".contains(letter))
    } else {
        false
    };
    let spoken = if silent && groups > 1 { groups - 1 } else { groups };
    spoken.max(usize::from(!part.is_empty()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::wording::sentences;

    /// From memory of how they are spoken.
    #[test]
    fn syllables_of_words() {
        let mut wrong = Vec::new();
        for (word, count) in [
            ("pin", 1),
            ("table", 2),
            ("machine", 2),
            ("locked", 1),
            ("lifted", 2),
            ("cycles", 2),
            ("switches", 2),
            ("shapes", 1),
            ("area", 3),
            ("energy", 3),
            ("procedure", 3),
            ("elevator", 4),
            ("isolate", 3),
            ("the", 1),
            ("try-out", 2),
            ("trainer's", 2),
            ("being", 2),
            ("station", 2),
            ("material", 4),
            ("guard", 1),
            ("10", 1),
            ("employee", 3),
        ] {
            wrong.extend((syllables(word) != count).then(|| format!("{word}: {}", syllables(word))));
        }
        assert_eq!(wrong, Vec::<String>::new());
    }

    /// The published example of the grade: 13 words, 24 syllables, grade 11.3.
    #[test]
    fn the_published_example() {
        let text = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.";
        let counts = Counts::of(&sentences(text), |_| false);
        assert_eq!((counts.words, counts.sentences, counts.syllables), (13, 1, 24));
        assert!((counts.grade().unwrap_or_default() - 11.2646).abs() < 1e-3);
    }

    #[test]
    fn words_set_apart_and_nothing_to_read() {
        let text = "Look at the elevator: it stands.";
        let counts = Counts::of(&sentences(text), |word| word == "elevator");
        assert_eq!((counts.words, counts.sentences, counts.syllables), (5, 1, 5));
        assert_eq!(Counts::default().grade(), None);
    }
}
