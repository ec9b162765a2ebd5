//! An address as a QR code (ISO/IEC 18004), drawn as one path, so that a page carries it without a picture of its own.

use super::Press;
use fast_qr::{ECL, QRBuilder};
use serde_json::{Value, json};

/// Light modules that the standard asks for on all four sides.
const QUIET: usize = 4;

impl<'a> Press<'a> {
    /// Where the course stands on the web, if its outline says so.
    pub fn web_address(&self) -> Option<&'a str> {
        let outline = self.checked.course().outline.as_ref()?;
        Some(outline.value.address.as_ref()?.value.as_str())
    }

    /// The code that leads to a page; null where the course has no address.
    pub fn code(&self, path: &str, hundredths: usize) -> Value {
        let whole = self.web_address().map(|address| format!("{address}{path}"));
        whole.and_then(|whole| code(&whole, hundredths)).unwrap_or_default()
    }
}

/// A code for an address, each module `hundredths` of a millimetre wide on paper; none where the address is longer than the
/// largest code holds. A quarter of it may be lost (level Q): labels hang among oil and dust.
fn code(address: &str, hundredths: usize) -> Option<Value> {
    let code = QRBuilder::new(address).ecl(ECL::Q).build().ok()?;
    let dark = |row: usize, column: usize| code.data[row * code.size + column].value();
    let mut path = String::new();
    for row in 0..code.size {
        let mut column = 0;
        while column < code.size {
            let run = (column..code.size).take_while(|at| dark(row, *at)).count();
            if run > 0 {
                path.push_str(&format!("M{} {}h{run}v1h-{run}z", column + QUIET, row + QUIET));
            }
            column += run.max(1);
        }
    }
    let side = code.size + 2 * QUIET;
    let paper = side * hundredths;
    let size = format!("{}.{:02}mm", paper / 100, paper % 100);
    Some(json!({ "side": side, "size": size, "path": path, "address": address }))
}
