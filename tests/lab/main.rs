//! The lab: what the verdicts promise, measured. Players whose truth is known hit balls by the
//! thousand; the project's own rooms judge them, and what they said is held against the truth.
//!
//! `just lab` plays all of it and writes `results/`, a file an experiment; `--only NAME` plays one. Runs
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
mod screening;
mod setting;

use std::{fs, process::ExitCode};

use lab::Lab;
use options::Options;
use report::Findings;

/// An experiment.
type Play = fn(&Lab) -> Findings;

/// All of them by name.
const EXPERIMENTS: [(&str, Play); 9] = [
    ("peeking", peeking::play),
    ("cost", cost::play),
    ("family", family::play),
    ("outlook", outlook::play),
    ("forecast", forecast::play),
    ("drift", drifting::play),
    ("intervals", intervals::play),
    ("screening", screening::play),
    ("betting", betting::play),
];

const RESULTS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/lab/results");

fn main() -> ExitCode {
    let options = match Options::asked() {
        Ok(options) => options,
        Err(fault) => {
            println!("{fault}");
            return ExitCode::from(2);
        }
    };
    let lab = Lab::new(options);
    let only = &lab.options.only;
    let chosen: Vec<_> =
        EXPERIMENTS.iter().filter(|(name, _)| only.as_ref().is_none_or(|o| o == name)).collect();
    if chosen.is_empty() {
        println!("there is no experiment of that name");
        return ExitCode::from(2);
    }
    let mut sound = true;
    for (name, play) in chosen {
        let findings = play(&lab);
        println!("{findings}({name}: {:.0} s since the start)\n", lab.elapsed().as_secs_f64());
        if lab.options.small {
            findings.rough.iter().for_each(|bar| println!("{bar}"));
            sound &= findings.rough.iter().all(|bar| bar.held);
        } else if lab.options.runs >= Options::FULL.runs {
            keep(&lab.options, name, &findings);
        }
    }
    if sound { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Writes an experiment's findings; fewer runs than usual are only shown.
fn keep(options: &Options, name: &str, findings: &Findings) {
    let Options { runs, seed, .. } = options;
    let text = format!(
        "{findings}Written by `just lab --only {name}`: {runs} runs a cell unless said otherwise, \
         seed {seed}. In brackets 95 % intervals (Wilson 1927).\n"
    );
    fs::create_dir_all(RESULTS).unwrap();
    fs::write(format!("{RESULTS}/{name}.md"), text).unwrap();
}
