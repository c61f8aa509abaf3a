//! Many sequences, as the runs of neighbours that they make up.

use super::names::Sequence;
use serde::{Deserialize, Serialize};

/// Sequences in ascending order, each run as its first and its last.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Runs(Vec<(Sequence, Sequence)>);

impl Runs {
    /// The runs of sequences that come in ascending order.
    #[must_use]
    pub fn of(ascending: impl IntoIterator<Item = Sequence>) -> Self {
        let mut runs: Vec<(Sequence, Sequence)> = Vec::new();
        for sequence in ascending {
            match runs.last_mut() {
                Some((_, last)) if last.get() + 1 == sequence.get() => *last = sequence,
                _ => runs.push((sequence, sequence)),
            }
        }
        Self(runs)
    }

    /// How many runs there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// All sequences up to a last one, ascending. What was read back may name more than there are.
    pub fn upto(&self, end: Sequence) -> impl Iterator<Item = Sequence> + '_ {
        let numbers = |(first, last): &(Sequence, Sequence)| first.get()..=last.get();
        self.0.iter().flat_map(numbers).take_while(move |n| *n <= end.get()).map(Sequence::new)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_are_one_run_and_come_back_as_they_were() {
        let sequences: Vec<_> = [1, 2, 3, 7, 9, 10].map(Sequence::new).to_vec();
        let runs = Runs::of(sequences.clone());
        assert_eq!(runs.count(), 3);
        assert_eq!(runs.upto(Sequence::new(10)).collect::<Vec<_>>(), sequences);
        assert_eq!(runs.upto(Sequence::new(8)).count(), 4);
    }
}
