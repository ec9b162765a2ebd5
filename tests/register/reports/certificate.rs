//! A certificate says what 29 CFR 1910.147(c)(7)(iv) asks, and its check code tells a true copy from another.

use super::house::{DAY, House, text};

fn code_of(page: &str) -> String {
    let rest = page
        .split("class=\"check-code\">")
        .nth(1)
        .expect("the page has a check code");
    rest.split('<').next().unwrap_or_default().to_owned()
}

#[test]
fn it_names_the_employee_the_dates_of_training_the_signer_and_the_end() {
    let house = House::full();
    let pages = house.pages(DAY);
    let page = text(&pages, "certificate-T-07.html");
    for due in [
        "Ada Brückner-Ōyama",
        "T-07",
        "2026-03-01",
        "2026-03-03",
        "2026-03-10",
        "MG-1, A manager",
        "2027-03-03",
        "2027-03-10",
        "29 CFR 1910.147(c)(7)(iv)",
        "no certification of a person under ISO/IEC 17024",
    ] {
        assert!(page.contains(due), "{due} is missing");
    }
    // Only what holds is certified, and only of who is here and may do something alone.
    assert!(!page.contains("ball held"));
    for code in ["T-09", "T-12", "T-13", "T-14", "T-15"] {
        assert!(!pages.contains_key(&format!("certificate-{code}.html")), "{code}");
    }
}

#[test]
fn a_true_copy_is_genuine_for_its_day_and_for_no_other() {
    let house = House::full();
    let code = code_of(&text(&house.pages(DAY), "certificate-T-07.html"));
    let check = |who: &str, on: &str, code: &str| house.run(&["standing", who, "--on", on, "--check", code]);
    let (exit, said) = check("T-07", DAY, &code);
    assert!(
        exit == 0 && said.starts_with("Genuine") && said.contains("Ada Brückner-Ōyama"),
        "{said}"
    );
    // As somebody types it off.
    let typed = code
        .to_lowercase()
        .replace('-', " ")
        .replace('0', "o")
        .replace('1', "l");
    assert_eq!(check("T-07", DAY, &typed).0, 0, "{typed}");
    for (who, on) in [("T-07", "2026-11-24"), ("T-08", DAY), ("T-09", DAY)] {
        let (exit, said) = check(who, on, &code);
        assert!(exit == 1 && said.starts_with("Not genuine"), "{who} {on}: {said}");
    }
}

#[test]
fn every_altered_code_is_refused() {
    let house = House::full();
    let code = code_of(&text(&house.pages(DAY), "certificate-T-07.html"));
    for (at, letter) in code.char_indices().filter(|(_, letter)| *letter != '-').step_by(7) {
        let other = if letter == '7' { '8' } else { '7' };
        let mut altered = code.clone();
        altered.replace_range(at..=at, &other.to_string());
        assert_eq!(
            house.run(&["standing", "T-07", "--on", DAY, "--check", &altered]).0,
            1,
            "{altered}"
        );
    }
    assert_eq!(house.run(&["standing", "T-07", "--on", DAY, "--check", ""]).0, 1);
    assert_eq!(
        house.run(&["standing", "T-07", "--on", DAY, "--check", &code[..17]]).0,
        1,
        "a shorter code"
    );
}

/// Two registers with the same people, days and words: the signatures are others, and so are the codes. Who does not hold the
/// register cannot work a code out from the paper.
#[test]
fn a_code_cannot_be_made_from_what_is_printed() {
    let (one, other) = (House::full(), House::full());
    let pages = [one.pages(DAY), other.pages(DAY)].map(|pages| text(&pages, "certificate-T-07.html"));
    let codes = [code_of(&pages[0]), code_of(&pages[1])];
    assert_ne!(codes[0], codes[1]);
    let without = |page: &str, code: &str| {
        let page = page.replace(code, "");
        page.split("class=\"report-foot\"").next().map(str::to_owned)
    };
    assert_eq!(
        without(&pages[0], &codes[0]),
        without(&pages[1], &codes[1]),
        "else they are the same"
    );
    assert_eq!(
        one.run(&["standing", "T-07", "--on", DAY, "--check", &codes[1]]).0,
        1,
        "a forged certificate"
    );
}

#[test]
fn what_is_entered_later_and_dated_earlier_shows() {
    let house = House::full();
    let code = code_of(&text(&house.pages(DAY), "certificate-T-07.html"));
    house.must(&[
        "withdraw",
        "T-07",
        "read-the-cycle",
        "--by",
        "MG-1",
        "--on",
        "2026-11-20",
        "--note",
        "never there",
    ]);
    let (exit, said) = house.run(&["standing", "T-07", "--on", DAY, "--check", &code]);
    assert!(exit == 1 && said.contains("dated by 2026-11-25"), "{said}");
}
