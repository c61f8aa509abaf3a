//! The lab: what the verdicts promise, measured. Players whose truth is known hit balls by the
//! thousand; the project's own rooms judge them, and what they said is held against the truth.
//!
//! `just lab` plays all of it and writes `results.md`; `just lab --only NAME` plays one experiment. Runs
//! are seeded: the same seed gives the same table on any machine. The settings and the figures to
//! hold it against are those of the simulations that the method's constants were chosen by. As a
//! test it plays a few runs and asks that they come out as they should, roughly.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, clippy::float_cmp, missing_docs)]

mod betting;
mod cost;
mod desk;
mod drifting;
mod family;
mod forecast;
mod golfer;
mod intervals;
mod lab;
mod naive;
mod options;
mod outlook;
mod peeking;
mod rate;
mod report;
mod setting;

use std::{fmt::Write, fs, process::ExitCode};

use lab::Lab;
use options::Options;
use report::Findings;

/// An experiment.
type Play = fn(&Lab) -> Findings;

/// All of them by name.
const EXPERIMENTS: [(&str, Play); 8] = [
    ("peeking", peeking::play),
    ("cost", cost::play),
    ("family", family::play),
    ("outlook", outlook::play),
    ("forecast", forecast::play),
    ("drift", drifting::play),
    ("intervals", intervals::play),
    ("betting", betting::play),
];

const RESULTS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/lab/results.md");

fn main() -> ExitCode {
    let options = match Options::asked() {
        Ok(options) => options,
        Err(fault) => {
            println!("{fault}");
            return ExitCode::from(2);
        }
    };
    let lab = Lab::new(options);
    let Options { runs, seed, ref only, .. } = lab.options;
    let mut text = format!(
        "# What the lab found\n\nWritten by `just lab`: {runs} runs a cell, seed {seed}. In brackets \
         95 % intervals (Wilson).\n\n"
    );
    let chosen = EXPERIMENTS.iter().filter(|(name, _)| only.as_ref().is_none_or(|o| o == name));
    let mut played = 0;
    let mut sound = true;
    for (name, play) in chosen {
        let findings = play(&lab);
        println!("{findings}({name}: {:.0} s since the start)\n", lab.elapsed().as_secs_f64());
        write!(text, "{findings}").unwrap();
        if lab.options.small {
            findings.rough.iter().for_each(|bar| println!("{bar}"));
            sound &= findings.rough.iter().all(|bar| bar.held);
        }
        played += 1;
    }
    if played == 0 {
        println!("there is no experiment of that name");
        return ExitCode::from(2);
    }
    if !lab.options.small && only.is_none() {
        fs::write(RESULTS, text.trim_end().to_owned() + "\n").unwrap();
    }
    if sound { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
