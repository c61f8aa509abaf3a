//! How far long work is: a bar on a terminal, a line for every tenth elsewhere.

use std::{
    io::{self, IsTerminal, Write},
    time::Duration,
};

use indicatif::{HumanBytes, ProgressBar, ProgressStyle};

/// Lines that tell of work from its beginning to its end.
const LINES: u64 = 10;

/// How often what waits moves on a terminal.
const TICK: Duration = Duration::from_millis(120);

/// Work of somebody else's, who does not say how far it is: something that moves on a terminal until this
/// is dropped, a line elsewhere.
pub(super) struct Waiting(ProgressBar);

impl Waiting {
    /// Begins to wait for what a sentence says.
    pub(super) fn begin(sentence: &'static str) -> Self {
        let style = ProgressStyle::with_template("{spinner} {msg}, {elapsed} so far");
        let style = style.unwrap_or_else(|_| ProgressStyle::default_spinner());
        let bar = ProgressBar::new_spinner().with_message(sentence).with_style(style);
        if io::stderr().is_terminal() {
            bar.enable_steady_tick(TICK);
        } else {
            say(sentence);
        }
        Self(bar)
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}

/// Work whose whole is known, in bytes or in pieces.
pub(super) struct Progress {
    what: &'static str,
    whole: u64,
    done: u64,
    told: u64,
    said: fn(u64) -> String,
    bar: Option<ProgressBar>,
}

impl Progress {
    /// Work on so many bytes.
    pub(super) fn of_bytes(what: &'static str, whole: u64) -> Self {
        let style = "{msg} {bar:30} {bytes} of {total_bytes}, {eta} left";
        Self::of((what, whole), style, |bytes| HumanBytes(bytes).to_string())
    }

    /// Work on so many frames of the journal.
    pub(super) fn of_frames(what: &'static str, whole: u64) -> Self {
        let style = "{msg} {bar:30} {human_pos} of {human_len} frames, {eta} left";
        Self::of((what, whole), style, |frames| format!("{frames} frames"))
    }

    fn of((what, whole): (&'static str, u64), style: &str, said: fn(u64) -> String) -> Self {
        let bar = io::stderr().is_terminal().then(|| {
            let style = ProgressStyle::with_template(style);
            let bar = ProgressBar::new(whole).with_message(what);
            bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
        });
        Self { what, whole, done: 0, told: 0, said, bar }
    }

    /// So much more is done.
    pub(super) fn advance(&mut self, by: u64) {
        self.reach(self.done + by);
    }

    /// So much is done by now.
    pub(super) fn reach(&mut self, done: u64) {
        self.done = done;
        match &self.bar {
            Some(bar) => bar.set_position(self.done),
            None => self.tell(),
        }
    }

    /// Nothing more is done.
    pub(super) fn end(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }

    fn tell(&mut self) {
        let tenths = (self.done.saturating_mul(LINES)).checked_div(self.whole).unwrap_or(LINES);
        if tenths > self.told {
            self.told = tenths;
            let (done, whole) = ((self.said)(self.done), (self.said)(self.whole));
            say(&format!("{}: {done} of {whole}", self.what));
        }
    }
}

fn say(line: &str) {
    // A reader that is gone needs no words.
    drop(writeln!(io::stderr(), "{line}"));
}
