//! Shots by their sequences, as runs: what the frame of an act on many keeps.

use super::assignment::ACT_SHOTS_MAX;
use super::names::Sequence;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A set of shots.
///
/// It is kept as runs of sequences, so that the shots of a visit take no more room than two of them.
/// In JSON it is a list of numbers: how many sequences are passed over, how many are in, and so on
/// by turns.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ShotSet {
    /// First and last of each run, ascending, with a gap between any two.
    runs: Vec<(u64, u64)>,
}

impl ShotSet {
    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.runs.is_empty()
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        let long: u64 = self.runs.iter().map(|(first, last)| last - first + 1).sum();
        usize::try_from(long).unwrap_or(usize::MAX)
    }

    /// All of them, ascending.
    pub fn iter(&self) -> impl Iterator<Item = Sequence> + '_ {
        self.runs.iter().flat_map(|(first, last)| *first..=*last).map(Sequence::new)
    }
}

impl FromIterator<Sequence> for ShotSet {
    /// Of sequences in any order, each as often as it may come.
    fn from_iter<I: IntoIterator<Item = Sequence>>(shots: I) -> Self {
        let mut shots: Vec<u64> = shots.into_iter().map(Sequence::get).collect();
        shots.sort_unstable();
        shots.dedup();
        let mut runs: Vec<(u64, u64)> = Vec::new();
        for shot in shots {
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == shot => *last = shot,
                _ => runs.push((shot, shot)),
            }
        }
        Self { runs }
    }
}

impl Serialize for ShotSet {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut next = 0;
        to.collect_seq(self.runs.iter().flat_map(|(first, last)| {
            let (gap, length) = (first - next, last - first + 1);
            next = last + 1;
            [gap, length]
        }))
    }
}

impl<'de> Deserialize<'de> for ShotSet {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let strange = || D::Error::custom("is no list of gaps and lengths");
        let numbers = Vec::<u64>::deserialize(from)?;
        let (pairs, []) = numbers.as_chunks::<2>() else { return Err(strange()) };
        let mut runs = Vec::with_capacity(pairs.len());
        let mut next = 0_u64;
        for [gap, length] in pairs {
            if *length == 0 || (*gap == 0 && !runs.is_empty()) {
                return Err(strange());
            }
            let first = next.checked_add(*gap).ok_or_else(strange)?;
            next = first.checked_add(*length).ok_or_else(strange)?;
            runs.push((first, next - 1));
        }
        let set = Self { runs };
        // What comes from elsewhere must not name more than anybody could look through.
        if set.len() > ACT_SHOTS_MAX {
            Err(D::Error::custom("names too many shots"))
        } else {
            Ok(set)
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    proptest! {
        #[test]
        fn a_set_holds_what_was_put_in_and_reads_back(
            shots in prop::collection::vec(0..60_u64, 0..80),
        ) {
            let set: ShotSet = shots.iter().copied().map(Sequence::new).collect();
            let expected: Vec<u64> = BTreeSet::from_iter(shots).into_iter().collect();
            prop_assert_eq!(set.iter().map(Sequence::get).collect::<Vec<_>>(), &expected[..]);
            prop_assert_eq!((set.len(), set.is_empty()), (expected.len(), expected.is_empty()));
            let text = serde_json::to_string(&set).unwrap();
            prop_assert_eq!(serde_json::from_str::<ShotSet>(&text).unwrap(), set);
        }
    }

    #[test]
    fn a_run_takes_two_numbers_however_long_it_is() {
        let set: ShotSet = (1_000..2_000).chain([2_005]).map(Sequence::new).collect();
        assert_eq!(serde_json::to_string(&set).unwrap(), "[1000,1000,5,1]");
    }

    #[test]
    fn what_is_no_set_is_refused() {
        for text in
            ["[1]", "[1,0]", "[1,2,0,3]", "[18446744073709551615,1]", "[-1,2]", "[5,100001]", "{}"]
        {
            assert!(serde_json::from_str::<ShotSet>(text).is_err(), "{text}");
        }
    }
}
