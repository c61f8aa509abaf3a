//! A plain table: the first column to the left, the others to the right, as wide as they must be.

/// A table that is filled row by row.
pub(super) struct Table {
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with these headings.
    pub(super) fn of(headings: &[&str]) -> Self {
        Self { rows: vec![headings.iter().map(|heading| (*heading).to_owned()).collect()] }
    }

    /// Adds a row of as many cells.
    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// Whether it has headings alone.
    pub(super) fn is_empty(&self) -> bool {
        self.rows.len() == 1
    }

    /// As text, indented by two blanks.
    pub(super) fn text(&self) -> String {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or_default();
        let width = |column: usize| {
            let cells = self.rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| cell.chars().count()).max().unwrap_or_default()
        };
        let widths: Vec<usize> = (0..columns).map(width).collect();
        let mut text = String::new();
        for row in &self.rows {
            let cells = row.iter().zip(&widths).enumerate();
            let cells = cells.map(|(column, (cell, width))| match column {
                0 => format!("  {cell:<width$}"),
                _ => format!("  {cell:>width$}"),
            });
            text.push_str(cells.collect::<String>().trim_end());
            text.push('\n');
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_as_wide_as_they_must_be() {
        let mut table = Table::of(&["club", "carry"]);
        assert!(table.is_empty());
        table.row([String::from("5-hybrid"), String::from("−3.2")]);
        table.row([String::from("7i"), String::new()]);
        assert_eq!(table.text(), "  club      carry\n  5-hybrid   −3.2\n  7i\n");
    }
}
