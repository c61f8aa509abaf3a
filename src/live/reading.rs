//! What was concluded from a roll, kept for the next question.

use std::mem;

use super::roll::Roll;
use crate::{
    bag::{
        Drift, Fits, Likeness, Marks, NamedClub, Pair, PairQuestion, Player, Reflown,
        ReplacementQuestion, Standing, pair_questions,
    },
    shot::Flags,
};

/// Pairs remembered per player: some bags' worth of candidates under a few briefs.
const PAIRS_KEPT: usize = 128;

/// Marks, drifts, pairs and carries in reference air of one player, as far as they have been worked out.
#[derive(Debug, Default)]
pub(super) struct Reading {
    generation: u64,
    marks: Marks,
    likeness: Likeness,
    drift: Drift,
    drift_epoch: u32,
    pairs: Vec<Pair>,
    /// Each ratio knows what its shot was, and each fit what its shots were: no act ends them all.
    reflown: Reflown,
    fits: Fits,
}

/// What is remembered of a player beside what all questions read.
pub(super) struct Remembered<'r> {
    /// Pairs, which have read carries as hit.
    pub pairs: &'r mut Vec<Pair>,
    /// What takes carries to reference air.
    pub reflown: &'r mut Reflown,
    /// Models fitted to clubs' shots.
    pub fits: &'r mut Fits,
}

impl Reading {
    /// Brings the marks up to the roll; starts anew where an earlier row has changed.
    pub(super) fn mark(&mut self, roll: &Roll, clubs: &[NamedClub]) {
        if self.generation != roll.generation() {
            let (reflown, fits) = (mem::take(&mut self.reflown), mem::take(&mut self.fits));
            *self = Self { generation: roll.generation(), reflown, fits, ..Self::default() };
        }
        self.marks.extend(roll.rows(), clubs);
        self.likeness.extend(roll.rows(), &self.marks);
    }

    /// Brings everything up to the roll.
    pub(super) fn refresh(&mut self, roll: &Roll, clubs: &[NamedClub]) {
        self.mark(roll, clubs);
        self.drift.extend(roll.rows(), &self.marks);
        if self.drift.epoch != self.drift_epoch {
            self.drift_epoch = self.drift.epoch;
            self.pairs.clear();
        }
    }

    /// The club that a row, by its index, flies like instead of its own, by number. `clubs` are those
    /// of the last [`Reading::mark`], here and below.
    pub(super) fn flies_like(&self, roll: &Roll, index: usize, clubs: &[NamedClub]) -> Option<u32> {
        self.likeness.flies_like(index, (roll.rows(), &self.marks), clubs)
    }

    /// The flags of a row, by its index, as they stand: those of its arrival, and what follows from
    /// the shots around it.
    pub(super) fn flags(&self, roll: &Roll, index: usize, clubs: &[NamedClub]) -> Flags {
        let mut flags = roll.rows()[index].flags;
        if let Some(place) = self.marks.of_row(index) {
            if place.is_mishit(self.marks.places().len()) {
                flags |= Flags::MISHIT;
            }
            if !place.screened {
                flags |= Flags::UNSCREENED;
            }
        }
        if self.flies_like(roll, index, clubs).is_some() {
            flags |= Flags::OTHER_CLUB;
        }
        flags
    }

    /// What stands between the clubs of a question, pair by pair.
    pub(super) fn standings(
        pairs: &mut Vec<Pair>,
        question: &ReplacementQuestion,
        player: Player<'_>,
    ) -> Vec<(PairQuestion, Standing)> {
        let stand = |pair: PairQuestion| {
            let standing = Self::standing(pairs, &pair, player);
            (pair, standing)
        };
        pair_questions(player, question).into_iter().map(stand).collect()
    }

    /// What stands between two clubs. `player` is what [`Reading::refresh`] last saw.
    fn standing(pairs: &mut Vec<Pair>, question: &PairQuestion, player: Player<'_>) -> Standing {
        let known = pairs.iter().position(|pair| pair.question() == question);
        let mut pair = match known {
            Some(at) => pairs.remove(at),
            None => Pair::new(question.clone()),
        };
        let standing = pair.advance(player);
        pairs.push(pair);
        if pairs.len() > PAIRS_KEPT {
            pairs.remove(0);
        }
        standing
    }

    /// What is remembered, apart from what all questions read.
    pub(super) fn split(&mut self) -> (&Marks, &Drift, Remembered<'_>) {
        let Self { marks, drift, pairs, reflown, fits, .. } = self;
        (marks, drift, Remembered { pairs, reflown, fits })
    }
}
