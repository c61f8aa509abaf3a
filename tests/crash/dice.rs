//! What a seed decides: what is sent, and when the service is killed.

use std::hash::{BuildHasher, RandomState};

/// The variable that names a seed, to run a failure again.
const SEED: &str = "CRASH_SEED";

/// A stream of numbers from a seed: `SplitMix64` (Steele, Lea and Flood, "Fast splittable
/// pseudorandom number generators", 2014).
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    /// The seed that the environment names, or another one every time. It is printed, so that a
    /// failed test shows it.
    pub(crate) fn of_this_run() -> Self {
        let named = std::env::var(SEED).ok();
        let seed = match named {
            Some(text) => text.parse().expect("CRASH_SEED is a number"),
            None => RandomState::new().hash_one(0_u64),
        };
        eprintln!("{SEED}={seed}");
        Self(seed)
    }

    /// A stream of its own.
    pub(crate) fn split(&mut self) -> Self {
        Self(self.next())
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `bound`.
    pub(crate) fn below(&mut self, bound: u64) -> u64 {
        self.next() % bound
    }

    /// A place in a list of this length.
    pub(crate) fn place(&mut self, length: usize) -> usize {
        usize::try_from(self.below(length as u64)).unwrap()
    }

    /// True once in `times`.
    pub(crate) fn once_in(&mut self, times: u64) -> bool {
        self.below(times) == 0
    }

    /// One of a list.
    pub(crate) fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.place(of.len())]
    }

    /// Puts a list into any order.
    pub(crate) fn shuffle<T>(&mut self, list: &mut [T]) {
        for end in (1..list.len()).rev() {
            list.swap(end, self.place(end + 1));
        }
    }

    /// Hundredths from `low` to `high`, as a JSON number in one of its spellings.
    pub(crate) fn number(&mut self, low: u32, high: u32) -> String {
        let hundredths = u64::from(low) * 100 + self.below(u64::from(high - low) * 100);
        let (whole, part) = (hundredths / 100, hundredths % 100);
        match self.below(4) {
            0 => format!("{whole}.{part:02}00"),
            1 => format!("{hundredths}e-2"),
            _ => format!("{whole}.{part:02}"),
        }
    }
}
