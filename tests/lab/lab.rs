//! The lab itself: how many runs, from which seed, on all cores.

use std::time::{Duration, Instant};

use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use crate::{golfer, options::Options};

/// Plays runs of experiments.
pub(crate) struct Lab {
    pub(crate) options: Options,
    begun: Instant,
}

impl Lab {
    pub(crate) fn new(options: Options) -> Self {
        Self { options, begun: Instant::now() }
    }

    /// Plays the usual number of runs; each has numbers of its own, which follow from the seed, the
    /// cell's name and the run alone.
    pub(crate) fn play<T: Send>(&self, cell: &str, run: impl Fn(ChaCha8Rng) -> T + Sync) -> Vec<T> {
        self.play_runs(self.options.runs, cell, run)
    }

    /// Plays so many.
    pub(crate) fn play_runs<T: Send>(
        &self,
        runs: usize,
        cell: &str,
        run: impl Fn(ChaCha8Rng) -> T + Sync,
    ) -> Vec<T> {
        let seed = self.options.seed ^ seed_of(cell);
        (0..runs).into_par_iter().map(|number| run(golfer::dice(seed, number))).collect()
    }

    /// Shots of each club that a candidate is watched for.
    pub(crate) fn shots(&self) -> u32 {
        self.options.shots
    }

    pub(crate) fn elapsed(&self) -> Duration {
        self.begun.elapsed()
    }
}

/// FNV-1a of a name.
fn seed_of(name: &str) -> u64 {
    name.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}
