//! A table of words and numbers: as aligned text, or as CSV.

/// A table: heads, and rows of as many cells.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// With heads and no rows yet.
    pub fn new<S: Into<String>>(heads: impl IntoIterator<Item = S>) -> Self {
        Self { heads: heads.into_iter().map(Into::into).collect(), rows: Vec::new() }
    }

    /// Adds a row.
    pub fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }

    /// The same with more columns, which go by each row's first cell.
    pub fn beside<const N: usize>(mut self, heads: [&str; N], of: impl Fn(&str) -> [String; N]) -> Self {
        self.heads.extend(heads.map(str::to_owned));
        for row in &mut self.rows {
            let more = of(row.first().map_or("", String::as_str));
            row.extend(more);
        }
        self
    }

    /// Aligned text: numbers to the right, words to the left.
    pub fn text(&self) -> String {
        let width = |c: usize| self.all().map(|row| row[c].chars().count()).max().unwrap_or(0);
        let numeric = |c: usize| self.rows.iter().all(|row| row[c].is_empty() || row[c].parse::<f64>().is_ok());
        let columns: Vec<(usize, bool)> = (0..self.heads.len()).map(|c| (width(c), numeric(c))).collect();
        let mut text = String::new();
        for row in self.all() {
            let mut line = String::new();
            for (cell, (width, right)) in row.iter().zip(&columns) {
                let pad = " ".repeat(width - cell.chars().count());
                line += &if *right { format!("{pad}{cell}  ") } else { format!("{cell}{pad}  ") };
            }
            text += line.trim_end();
            text.push('\n');
        }
        text
    }

    /// CSV with a head line.
    ///
    /// # Errors
    /// A row has another number of cells than the head.
    pub fn csv(&self) -> Result<String, csv::Error> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        for row in self.all() {
            writer.write_record(row)?;
        }
        let bytes = writer.into_inner().map_err(|e| csv::Error::from(e.into_error()))?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }

    /// The heads, then the rows.
    pub fn all(&self) -> impl Iterator<Item = &Vec<String>> {
        std::iter::once(&self.heads).chain(&self.rows)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_under_one_another_and_words_begin_together() {
        let mut table = Table::new(["part", "gap mm"]);
        table.row(["arm", "-3.5"]);
        table.row(["upper rail", "12.0"]);
        assert_eq!(table.text(), "part        gap mm\narm           -3.5\nupper rail    12.0\n");
    }
}
