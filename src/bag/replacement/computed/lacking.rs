//! Why nothing is computed of a club.

use crate::{bag::conditions::Struck, stats::MIN_SHOTS};

/// Whose strikes are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Candidate,
    Incumbent,
}

/// What lacks, in order of judgement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lacking {
    /// Counted like-for-like strikes.
    Strikes,
    /// Those whose ball speed and launch angle are known.
    Launches,
    /// Those whose spin is measured.
    Spins,
    /// A carry.
    Carry,
    /// A flight that ends.
    Landing,
}

impl Lacking {
    /// What lacks of strikes of which too few can be flown.
    pub(super) fn in_strikes(struck: &Struck) -> Self {
        let flown = struck.strikes.shots.iter().filter(|shot| struck.counts(shot.sequence));
        match [struck.counted(), flown.count()].map(|shots| shots >= MIN_SHOTS as usize) {
            [false, _] => Self::Strikes,
            [true, false] => Self::Launches,
            [true, true] => Self::Spins,
        }
    }

    /// The same as a clause.
    pub(super) const fn of(self, role: Role) -> &'static str {
        match (self, role) {
            (Self::Strikes, Role::Candidate) => {
                "too few shots of the candidate count like for like"
            }
            (Self::Strikes, Role::Incumbent) => {
                "too few shots of the incumbent count like for like"
            }
            (Self::Launches, Role::Candidate) => {
                "ball speed and launch angle of too few shots of the candidate are known"
            }
            (Self::Launches, Role::Incumbent) => {
                "ball speed and launch angle of too few shots of the incumbent are known"
            }
            (Self::Spins, Role::Candidate) => {
                "the spin of too few shots of the candidate is measured"
            }
            (Self::Spins, Role::Incumbent) => {
                "the spin of too few shots of the incumbent is measured"
            }
            (Self::Carry, Role::Candidate) => "no like-for-like carry of the candidate is known",
            (Self::Carry, Role::Incumbent) => "no like-for-like carry of the incumbent is known",
            (Self::Landing, Role::Candidate) => {
                "by the models of flight a typical strike of the candidate does not land"
            }
            (Self::Landing, Role::Incumbent) => {
                "by the models of flight a typical strike of the incumbent does not land"
            }
        }
    }
}
