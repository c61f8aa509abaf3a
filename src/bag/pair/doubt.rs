//! A pair without strikes that are doubtful: mishits, perhaps, that passed a screen which had seen too few
//! shots.

use super::{Looks, Pair, look::Maxima, tally::Side, track::Track};
use crate::{
    bag::{
        filter::Basis,
        history::Frozen,
        player::Player,
        row::{Row, Stratum},
    },
    stats::{self, Of},
};

/// What stands without the strikes that the screen, looking back, would not have let pass, over
/// the same looks.
#[derive(Debug, Clone)]
pub struct BeyondDoubt {
    /// Running maxima over all looks.
    pub maxima: Maxima,
    /// Fewest shots and sessions among the estimates the tests use.
    pub basis: stats::Basis,
    /// How many strikes of candidate and incumbent are doubtful.
    pub doubtful: [u32; 2],
}

/// A doubtful strike.
#[derive(Debug, Clone)]
pub(super) struct Doubtful {
    side: Side,
    session: u32,
    stratum: Stratum,
    /// Whether one of the candidate's own means rests on it.
    own: bool,
}

impl Pair {
    /// A shot with its side, if it counts by what is known at `place`.
    pub(super) fn counts_by<'p>(
        &self,
        place: usize,
        shot: usize,
        player: Player<'p>,
    ) -> Option<(Side, &'p Row)> {
        let seen = player.marks.places()[shot];
        let row = &player.rows[seen.row as usize];
        let counts = !seen.is_mishit(place + 1) && self.question.evidence.admits(row);
        Some((self.question.side(seen.build).filter(|_| counts)?, row))
    }

    /// The shots up to `place` and the looks before it, without what is doubtful now.
    pub(super) fn replayed_beyond_doubt(&self, place: usize, player: Player<'_>) -> Track {
        let question = &self.question;
        let mut sure = Track::new(question.tests.len());
        for earlier in self.evidence_from..=place {
            let seen = player.marks.places()[earlier];
            let frozen = self.frozen.filter(|frozen| earlier >= frozen.since);
            let looks = match question.looks {
                Looks::SessionEnds => seen.begins_session,
                Looks::EveryShot => question.side(seen.build).is_some(),
            };
            if looks {
                sure.look(question, frozen);
            }
            let counted = self.counts_by(place, earlier, player);
            if let Some((side, row)) = counted.filter(|_| !seen.is_doubtful(place + 1)) {
                sure.add(side, row, question);
            }
        }
        sure
    }

    /// How many doubtful strikes of a side count: where both clubs meet, or among the candidate's own.
    fn doubtful_of(&self, side: Side) -> u32 {
        let counts = |strike: &&Doubtful| {
            strike.side == side
                && (strike.own || self.counted.tally.meet(strike.session, &strike.stratum))
        };
        u32::try_from(self.doubtful.iter().filter(counts).count()).unwrap_or(u32::MAX)
    }

    /// A doubtful strike that counts, if the pair's sums hold it.
    pub(super) fn doubt(&self, side: Side, row: &Row) -> Doubtful {
        let asks_own = self.question.tests.iter().any(|test| test.quantity.of == Of::OwnMean);
        let on_basis = self.question.own_basis == Some(Basis::of(row));
        Doubtful {
            side,
            session: row.session,
            stratum: row.stratum(),
            own: side == Side::Candidate && asks_own && on_basis,
        }
    }

    /// What stands of them.
    pub(super) fn standing_beyond_doubt(
        &self,
        sure: &Track,
        frozen: Option<Frozen>,
    ) -> BeyondDoubt {
        let beyond = sure.present(&self.question, frozen);
        BeyondDoubt {
            basis: beyond.estimates.basis(&self.question.tests),
            maxima: beyond.maxima,
            doubtful: [Side::Candidate, Side::Incumbent].map(|side| self.doubtful_of(side)),
        }
    }
}
