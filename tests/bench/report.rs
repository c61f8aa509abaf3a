//! What a bench says: medians with their extremes, and the ratio to a baseline of the same run.

#![allow(dead_code, reason = "each bench uses its part")]

use std::{
    fmt, fs,
    time::{Duration, Instant},
};

/// How much a bench does: all of it under `cargo bench`, a little with `--small` or as a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Size {
    Full,
    Small,
}

impl Size {
    pub(crate) fn asked() -> Self {
        let asked: Vec<String> = std::env::args().skip(1).collect();
        let has = |word: &str| asked.iter().any(|argument| argument == word);
        if has("--bench") && !has("--small") { Self::Full } else { Self::Small }
    }

    pub(crate) const fn of(self, full: usize, small: usize) -> usize {
        match self {
            Self::Full => full,
            Self::Small => small,
        }
    }
}

/// One figure, measured in several rounds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Figure(Vec<f64>);

impl Figure {
    pub(crate) fn add(&mut self, value: f64) {
        self.0.push(value);
    }

    fn sorted(&self) -> Vec<f64> {
        let mut sorted = self.0.clone();
        sorted.sort_by(f64::total_cmp);
        sorted
    }

    /// The value that a share of all lies at or below, by the nearest rank.
    pub(crate) fn quantile(&self, share: f64) -> f64 {
        let sorted = self.sorted();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank")]
        let rank = (share * sorted.len() as f64).ceil() as usize;
        sorted[rank.clamp(1, sorted.len()) - 1]
    }

    pub(crate) fn median(&self) -> f64 {
        let sorted = self.sorted();
        let (low, high) = (sorted[(sorted.len() - 1) / 2], sorted[sorted.len() / 2]);
        f64::midpoint(low, high)
    }

    pub(crate) fn most(&self) -> f64 {
        self.0.iter().copied().fold(f64::MIN, f64::max)
    }

    fn least(&self) -> f64 {
        self.0.iter().copied().fold(f64::MAX, f64::min)
    }

    /// Round by round, as a part of the baseline.
    pub(crate) fn over(&self, baseline: &Self) -> Self {
        Self(self.0.iter().zip(&baseline.0).map(|(ours, theirs)| ours / theirs).collect())
    }
}

impl fmt::Display for Figure {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [median, least, most] = [self.median(), self.least(), self.most()].map(readable);
        write!(out, "{median:>10}  ({least} to {most}, {} rounds)", self.0.len())
    }
}

/// Three significant digits or whole thousands.
pub(crate) fn readable(value: f64) -> String {
    match value {
        _ if !value.is_finite() => "-".to_owned(),
        _ if value >= 1000.0 => {
            let whole = format!("{value:.0}");
            let (head, tail) = whole.split_at(whole.len() - 3);
            if head.len() > 3 {
                let (millions, thousands) = head.split_at(head.len() - 3);
                return format!("{millions},{thousands},{tail}");
            }
            format!("{head},{tail}")
        }
        _ if value >= 100.0 => format!("{value:.0}"),
        _ if value >= 10.0 => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}

pub(crate) fn title(text: &str) {
    println!("\n{text}\n  load average before: {}", load());
}

pub(crate) fn line(name: &str, figure: &Figure, unit: &str) {
    println!("  {name:<44} {figure} {unit}");
}

/// A ratio beside the least that it should be.
pub(crate) fn ratio(name: &str, ratio: &Figure, floor: f64) {
    let word = if ratio.median() >= floor { "held" } else { "missed" };
    println!("  {name:<44} {ratio} x; floor {floor}: {word}");
}

/// What else ran on the machine.
pub(crate) fn load() -> String {
    let load = fs::read_to_string("/proc/loadavg").unwrap_or_default();
    load.split(' ').take(3).collect::<Vec<_>>().join(" ")
}

/// Times one piece of work.
pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let from = Instant::now();
    let made = work();
    (from.elapsed(), made)
}
