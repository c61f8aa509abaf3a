//! What the person sees: lines on standard output, and a bar where there is a terminal.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{self, Write};

/// The bar. Without a terminal indicatif draws none, and the lines alone tell how far the feed is.
const BAR: &str = "{bar:40} {pos} of {len} shots";

/// Lines and a bar that do not overwrite each other.
#[derive(Debug)]
pub(crate) struct Screen {
    bar: ProgressBar,
}

impl Screen {
    /// A screen for so many shots, without its bar.
    #[must_use]
    pub(crate) fn new(shots: usize) -> Self {
        let hidden = ProgressDrawTarget::hidden();
        let bar = ProgressBar::with_draw_target(Some(shots as u64), hidden);
        if let Ok(style) = ProgressStyle::with_template(BAR) {
            bar.set_style(style);
        }
        Self { bar }
    }

    /// Writes one line.
    pub(crate) fn say(&self, line: &str) -> io::Result<()> {
        self.bar.suspend(|| writeln!(io::stdout().lock(), "{line}"))
    }

    /// Shows the bar: the first shot comes.
    pub(crate) fn show_bar(&self) {
        self.bar.set_draw_target(ProgressDrawTarget::stderr());
    }

    /// So many more shots are sent.
    pub(crate) fn sent(&self, shots: usize) {
        self.bar.inc(shots as u64);
    }

    /// Takes the bar away: the last shot is sent.
    pub(crate) fn remove_bar(&self) {
        self.bar.finish_and_clear();
    }
}
