//! A table for the terminal: columns as wide as what stands in them, colours only around words.

use std::fmt;

/// Rows of cells; a cell is text and the number of its colour (SGR, ECMA-48), or nothing.
pub(super) struct Table {
    rows: Vec<Vec<(String, &'static str)>>,
}

impl Table {
    pub(super) fn new() -> Self {
        Self { rows: Vec::new() }
    }

    pub(super) fn heading(&mut self, cells: Vec<String>) {
        self.rows.push(cells.into_iter().map(|cell| (cell, "1")).collect());
    }

    pub(super) fn row(&mut self, cells: Vec<(String, &'static str)>) {
        self.rows.push(cells);
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let widths: Vec<usize> = (0..columns)
            .map(|column| {
                let cells = self.rows.iter().filter_map(|row| row.get(column));
                cells.map(|(text, _)| text.chars().count()).max().unwrap_or(0)
            })
            .collect();
        for (index, row) in self.rows.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            for (column, (text, colour)) in row.iter().enumerate() {
                f.write_str("  ")?;
                if colour.is_empty() {
                    f.write_str(text)?;
                } else {
                    write!(f, "\x1b[{colour}m{text}\x1b[0m")?;
                }
                if column + 1 < row.len() {
                    write!(f, "{:1$}", "", widths[column] - text.chars().count())?;
                }
            }
        }
        Ok(())
    }
}
