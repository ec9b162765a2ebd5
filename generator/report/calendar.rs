//! What falls due, as a calendar (RFC 5545; its paragraphs are named from memory).

use super::{Due, Press};
use jiff::tz::TimeZone;

/// The most octets of a content line before its end (3.1).
const OCTETS: usize = 75;

/// The calendar's bytes. It names people by their codes only: calendars are passed on and kept where the register is not.
pub(super) fn calendar(due: &[Due], press: &Press) -> Vec<u8> {
    let stamp = press
        .ground
        .taken
        .to_zoned_datetime(TimeZone::UTC)
        .strftime("%Y%m%dT%H%M%SZ")
        .to_string();
    let mut out = String::new();
    let mut line = |text: String| {
        out.push_str(&fold(&text));
        out.push_str("\r\n");
    };
    line("BEGIN:VCALENDAR".to_owned());
    line("VERSION:2.0".to_owned());
    line("PRODID:-//Pitwright//What falls due//EN".to_owned());
    line("CALSCALE:GREGORIAN".to_owned());
    for (one, date) in due.iter().filter_map(|one| Some((one, one.date?))) {
        let summary = press.fill(
            &format!("report_due_{}", one.kind.word()),
            &[("code", one.person.as_deref().unwrap_or_default()), ("what", &one.what)],
        );
        let mark = if press.marking.demo {
            press.word("report_demo_short")
        } else {
            ""
        };
        line("BEGIN:VEVENT".to_owned());
        line(format!(
            "UID:{}",
            text(&format!("{}@{}", one.key, host(&press.marking.home)))
        ));
        line(format!("DTSTAMP:{stamp}"));
        line(format!("DTSTART;VALUE=DATE:{}", date.strftime("%Y%m%d")));
        line(format!("SUMMARY:{}", text(format!("{mark} {summary}").trim())));
        let day = press.fill("report_as_of", &[("date", &press.ground.day.date.to_string())]);
        let description = format!("{}\n{day}", one.state);
        line(format!("DESCRIPTION:{}", text(&description)));
        // An all-day reminder takes nobody's time.
        line("TRANSP:TRANSPARENT".to_owned());
        line("END:VEVENT".to_owned());
    }
    line("END:VCALENDAR".to_owned());
    out.into_bytes()
}

/// A value of type TEXT: backslash, semicolon, comma and the end of a line escaped (3.3.11).
fn text(value: &str) -> String {
    let mut out = String::new();
    for letter in value.chars() {
        match letter {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(letter);
            }
            '\n' => out.push_str("\\n"),
            // Other control characters have no place in a line.
            letter if letter.is_control() => {}
            letter => out.push(letter),
        }
    }
    out
}

/// A content line in pieces of at most 75 octets, each but the first after CRLF and a space (3.1). No character is
/// split, though the standard would allow it.
pub fn fold(line: &str) -> String {
    let mut out = String::new();
    let mut octets = 0;
    for letter in line.chars() {
        if octets + letter.len_utf8() > OCTETS {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(letter);
        octets += letter.len_utf8();
    }
    out
}

/// The host of an address.
fn host(home: &str) -> &str {
    let rest = home.split_once("://").map_or(home, |(_, rest)| rest);
    rest.split('/').next().unwrap_or(rest)
}
