//! Reading a hand-in file: a JSON list of statements, taken one by one, so that a file that was cut off still gives
//! every statement that is whole.

use super::statement::{Misread, Statement};
use serde_json::Value;
use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// A place in a file, both counted from 1; columns in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    pub line: usize,
    pub column: usize,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.line, self.column)
    }
}

/// What a hand-in file holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct HandIn {
    /// Every whole element with the place where it begins.
    pub statements: Vec<(Place, Result<Statement, Misread>)>,
    /// What is wrong with the file itself; what follows that place was not read.
    pub faults: Vec<FileFault>,
}

/// What is wrong with a file as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FileFault {
    /// Larger than the limit, in bytes.
    TooLarge {
        limit: u64,
    },
    Empty,
    /// It begins with something that no list of statements begins with.
    NotARecord {
        place: Place,
    },
    /// It ends in mid-list.
    CutOff {
        place: Place,
    },
    NotJson {
        place: Place,
        why: String,
    },
    /// Something stands after the list's end.
    Trailing {
        place: Place,
    },
}

impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge { limit } => write!(
                f,
                "the file is larger than {} MB, so it was not read; a record is far smaller. If it is one, raise the limit with --largest",
                limit / MEGABYTE
            ),
            Self::Empty => f.write_str("the file is empty; hand the record in again from the course's record page"),
            Self::NotARecord { place } => {
                write!(
                    f,
                    "at {place}: this is not a record; a record is a JSON list of statements"
                )
            }
            Self::CutOff { place } => write!(
                f,
                "at {place}: the file is cut off here; whole statements before it were looked at, the rest must be handed in again"
            ),
            Self::NotJson { place, why } => write!(
                f,
                "at {place}: this is not JSON ({why}); whole statements before it were looked at, nothing after it was"
            ),
            Self::Trailing { place } => {
                write!(f, "at {place}: something follows the end of the list; it was not read")
            }
        }
    }
}

impl std::error::Error for FileFault {}

/// Bytes in a megabyte, as limits count it.
pub const MEGABYTE: u64 = 1_000_000;

/// The largest hand-in file that is read unless told otherwise, in megabytes: some 50,000 statements.
pub const LARGEST: u64 = 64;

/// How many bytes are looked at before the rest is read.
const HEAD: usize = 4096;

/// Reads a hand-in file of at most `limit` bytes. A file that cannot be a record is given up at its first byte.
///
/// # Errors
/// If the file cannot be opened or read. What is wrong *in* it stands in [`HandIn::faults`].
pub fn read_file(path: &Path, limit: u64) -> io::Result<HandIn> {
    let mut file = File::open(path)?;
    let only = |fault| HandIn {
        statements: Vec::new(),
        faults: vec![fault],
    };
    let mut bytes = vec![0; HEAD];
    let mut read = 0;
    while read < bytes.len() {
        match file.read(&mut bytes[read..])? {
            0 => break,
            more => read += more,
        }
    }
    bytes.truncate(read);
    match opening(&bytes) {
        // Nothing but spaces so far: what follows decides.
        Err(FileFault::Empty) if bytes.len() == HEAD => {}
        Err(fault) => return Ok(only(fault)),
        Ok(_) => {}
    }
    if file.metadata()?.len() > limit {
        return Ok(only(FileFault::TooLarge { limit }));
    }
    file.take((limit + 1).saturating_sub(read as u64))
        .read_to_end(&mut bytes)?;
    if bytes.len() as u64 > limit {
        return Ok(only(FileFault::TooLarge { limit }));
    }
    Ok(read_bytes(&bytes))
}

/// The offset of the byte that opens the list or the only statement.
fn opening(bytes: &[u8]) -> Result<usize, FileFault> {
    let start = if bytes.starts_with(b"\xEF\xBB\xBF") { 3 } else { 0 };
    match past_spaces(bytes, start) {
        at if at == bytes.len() => Err(FileFault::Empty),
        at if matches!(bytes[at], b'[' | b'{') => Ok(at),
        at => Err(FileFault::NotARecord {
            place: place(bytes, at),
        }),
    }
}

fn past_spaces(bytes: &[u8], from: usize) -> usize {
    let space = |byte: &u8| matches!(byte, b' ' | b'\t' | b'\r' | b'\n');
    from + bytes[from..].iter().take_while(|byte| space(byte)).count()
}

fn place(bytes: &[u8], at: usize) -> Place {
    let before = &bytes[..at.min(bytes.len())];
    let line_start = before
        .iter()
        .rposition(|byte| *byte == b'\n')
        .map_or(0, |index| index + 1);
    Place {
        line: before.iter().filter(|byte| **byte == b'\n').count() + 1,
        column: before.len() - line_start + 1,
    }
}

/// Reads a hand-in file's bytes.
pub fn read_bytes(bytes: &[u8]) -> HandIn {
    let mut hand_in = HandIn::default();
    if let Err(fault) = elements(bytes, &mut hand_in.statements) {
        hand_in.faults.push(fault);
    }
    hand_in
}

type Elements = Vec<(Place, Result<Statement, Misread>)>;

fn elements(bytes: &[u8], into: &mut Elements) -> Result<(), FileFault> {
    let mut lines = Lines::default();
    let mut at = opening(bytes)?;
    if bytes[at] == b'{' {
        at = element(bytes, at, &mut lines, into)?;
        return nothing_after(bytes, at);
    }
    at = past_spaces(bytes, at + 1);
    if bytes.get(at) == Some(&b']') {
        return nothing_after(bytes, at + 1);
    }
    loop {
        at = past_spaces(bytes, element(bytes, at, &mut lines, into)?);
        match bytes.get(at) {
            Some(b',') => at = past_spaces(bytes, at + 1),
            Some(b']') => return nothing_after(bytes, at + 1),
            Some(_) => {
                return Err(FileFault::NotJson {
                    place: place(bytes, at),
                    why: "a comma or the end of the list is due".to_owned(),
                });
            }
            None => {
                return Err(FileFault::CutOff {
                    place: place(bytes, at),
                });
            }
        }
    }
}

fn nothing_after(bytes: &[u8], at: usize) -> Result<(), FileFault> {
    match past_spaces(bytes, at) {
        end if end == bytes.len() => Ok(()),
        more => Err(FileFault::Trailing {
            place: place(bytes, more),
        }),
    }
}

/// Reads one element and gives the offset after it.
fn element(bytes: &[u8], at: usize, lines: &mut Lines, into: &mut Elements) -> Result<usize, FileFault> {
    let mut stream = serde_json::Deserializer::from_slice(&bytes[at..]).into_iter::<Value>();
    match stream.next() {
        Some(Ok(value)) => {
            into.push((lines.place(bytes, at), Statement::read(&value)));
            Ok(at + stream.byte_offset())
        }
        None => Err(FileFault::CutOff {
            place: place(bytes, bytes.len()),
        }),
        Some(Err(error)) if error.is_eof() => Err(FileFault::CutOff {
            place: place(bytes, bytes.len()),
        }),
        Some(Err(error)) => {
            // The parser counts lines from where it began.
            let begin = place(bytes, at);
            let column = error.column().max(1);
            let place = Place {
                line: begin.line + error.line().saturating_sub(1),
                column: if error.line() <= 1 {
                    begin.column + column - 1
                } else {
                    column
                },
            };
            let words = error.to_string();
            let why = words.split(" at line ").next().unwrap_or_default().to_owned();
            Err(FileFault::NotJson { place, why })
        }
    }
}

/// Counts lines along the file, so that naming many places costs one pass.
#[derive(Default)]
struct Lines {
    at: usize,
    line: usize,
    line_start: usize,
}

impl Lines {
    fn place(&mut self, bytes: &[u8], at: usize) -> Place {
        for (offset, byte) in bytes[self.at..at].iter().enumerate() {
            if *byte == b'\n' {
                self.line += 1;
                self.line_start = self.at + offset + 1;
            }
        }
        self.at = at;
        Place {
            line: self.line + 1,
            column: at - self.line_start + 1,
        }
    }
}
