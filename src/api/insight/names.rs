//! The names in a question's query, and what is said of those that nothing has.

use crate::{
    api::{
        errors,
        problem::{Fault, Problem},
    },
    bag::Filter,
    live::{Live, ReadError},
    shot::{BagId, BallId, ClubId, PlayerId},
};

/// The names that a question gives in its query, each with its parameter.
#[derive(Default)]
pub(in crate::api) struct Names<'a>(Vec<(&'static str, Name<'a>)>);

enum Name<'a> {
    Bag(&'a BagId),
    Ball(&'a BallId),
    Club(&'a ClubId),
}

impl<'a> Names<'a> {
    /// The names in what a question restricts its evidence to.
    pub(in crate::api) fn of(filter: &'a Filter) -> Self {
        Self(filter.ball.iter().map(|ball| ("ball", Name::Ball(ball))).collect())
    }

    /// With these clubs as well.
    pub(in crate::api) fn clubs(
        mut self,
        parameter: &'static str,
        clubs: impl IntoIterator<Item = &'a ClubId>,
    ) -> Self {
        self.0.extend(clubs.into_iter().map(|club| (parameter, Name::Club(club))));
        self
    }

    /// With the two clubs of a comparison as well.
    pub(in crate::api) fn pair(self, [incumbent, candidate]: [&'a ClubId; 2]) -> Self {
        self.clubs("incumbent", [incumbent]).clubs("candidate", [candidate])
    }

    /// With this bag as well.
    pub(in crate::api) fn bag(mut self, bag: Option<&'a BagId>) -> Self {
        self.0.extend(bag.map(|bag| ("bag", Name::Bag(bag))));
        self
    }

    /// The refusal of a question about a player that has no answer: of all names that nothing has at
    /// once, unless it is the path's names that lead nowhere.
    pub(in crate::api) fn refuse(
        &self,
        error: &ReadError,
        live: &Live,
        player: &PlayerId,
    ) -> Problem {
        let of_query = |error: &ReadError| {
            use ReadError::{UnknownBag, UnknownBall, UnknownClub};
            matches!(error, UnknownBag(_) | UnknownBall(_) | UnknownClub(_))
        };
        let unknown = |(parameter, name): &(&'static str, Name<'_>)| {
            let error = match name {
                Name::Bag(bag) => live.bag(player, bag).err(),
                Name::Ball(ball) => live.ball(ball).err(),
                Name::Club(club) => live.club(player, club).err(),
            };
            let error = error.filter(of_query)?;
            Some(Fault::of_parameter(*parameter, error.to_string()))
        };
        let faults: Vec<Fault> = self.0.iter().filter_map(unknown).collect();
        if of_query(error) && !faults.is_empty() {
            Problem::invalid(faults)
        } else {
            errors::of_question(error)
        }
    }
}
