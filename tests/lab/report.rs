//! What the lab writes: a table an experiment, and what was promised beside what came out.

use std::fmt;

/// A promise and whether it held.
pub(crate) struct Bar {
    pub(crate) promise: String,
    pub(crate) came_out: String,
    pub(crate) held: bool,
}

/// One experiment's findings.
pub(crate) struct Findings {
    pub(crate) title: &'static str,
    /// What was done, for who reads the table.
    pub(crate) about: String,
    pub(crate) tables: Vec<Table>,
    pub(crate) bars: Vec<Bar>,
    /// What even a few runs have to show.
    pub(crate) rough: Vec<Bar>,
}

/// A table in Markdown.
pub(crate) struct Table {
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn new(head: &[&str]) -> Self {
        Self { head: head.iter().map(ToString::to_string).collect(), rows: Vec::new() }
    }

    pub(crate) fn row(&mut self, cells: Vec<String>) {
        assert_eq!(cells.len(), self.head.len(), "a row has a cell for each column");
        self.rows.push(cells);
    }
}

impl fmt::Display for Table {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(out, "| {} |", self.head.join(" | "))?;
        writeln!(out, "|{}", " --- |".repeat(self.head.len()))?;
        self.rows.iter().try_for_each(|row| writeln!(out, "| {} |", row.join(" | ")))
    }
}

impl fmt::Display for Bar {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = if self.held { "held" } else { "**missed**" };
        write!(out, "- {}: {}, {word}.", self.promise, self.came_out)
    }
}

impl fmt::Display for Findings {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(out, "# {}\n\n{}\n", self.title, self.about)?;
        self.tables.iter().try_for_each(|table| writeln!(out, "{table}"))?;
        self.bars.iter().try_for_each(|bar| writeln!(out, "{bar}"))?;
        writeln!(out)
    }
}
