//! Which rows pass a filter.

use jiff::Timestamp;

use super::{Live, LiveError, catalogue::Catalogue, ledger::Owner, read, roll::Roll};
use crate::{
    bag::{NONE, Row},
    shot::{Sequence, ShotFilter},
};

/// A filter with its names looked up for one owner's rows.
pub(super) struct Sieve<'a> {
    filter: &'a ShotFilter,
    owner: Owner,
    club: Option<u32>,
    session: Option<u32>,
    ball: Option<u32>,
    source: Option<u32>,
}

impl<'a> Sieve<'a> {
    /// The sieve for one owner; `None` where none of its rows can pass.
    pub(super) fn of(
        filter: &'a ShotFilter,
        catalogue: &Catalogue,
        (owner, roll): (Owner, &Roll),
    ) -> Option<Self> {
        if let Some(player) = &filter.player
            && Some(owner) != catalogue.player_number(player).map(Owner::Player)
        {
            return None;
        }
        let club = filter.club.as_ref().map(|club| catalogue.known_club(owner, club));
        let session = filter.session.as_ref().map(|name| roll.session_number(name.as_str()));
        let ball = filter.ball.as_ref().map(|ball| catalogue.ball_number(ball));
        let source = filter.source.as_ref().map(|source| catalogue.source_number(source));
        if [club, session, ball, source].contains(&Some(None)) {
            return None;
        }
        Some(Self {
            filter,
            owner,
            club: club.flatten(),
            session: session.flatten(),
            ball: ball.flatten(),
            source: source.flatten(),
        })
    }

    /// Whether a row passes.
    pub(super) fn passes(&self, row: &Row) -> bool {
        let filter = self.filter;
        let is = |wanted: Option<u32>, number: u32| wanted.is_none_or(|wanted| wanted == number);
        let after = |from: Timestamp| row.time >= from;
        !row.retired
            && is(self.club, row.club)
            && is(self.session, row.session)
            && is(self.ball, row.ball)
            && is(self.source, row.source)
            && filter.lie.is_none_or(|lie| row.lie == Some(lie))
            && filter.height.is_none_or(|height| row.intent.height == height)
            && filter.shape.is_none_or(|shape| row.intent.shape == shape)
            && filter.swing.is_none_or(|swing| row.intent.swing == swing)
            && filter.purpose.is_none_or(|purpose| row.purpose == purpose)
            && filter.from.is_none_or(after)
            && filter.to.is_none_or(|to| row.time < to)
            && filter.unassigned.is_none_or(|wanted| wanted == is_unassigned(self.owner, row))
    }
}

/// Whether a shot still waits for a player or a club.
pub(super) fn is_unassigned(owner: Owner, row: &Row) -> bool {
    matches!(owner, Owner::Source(_)) || row.club == NONE
}

impl Live {
    /// Everybody whose rows a filter may find; `None` where that is everybody.
    pub(super) fn owners(&self, filter: &ShotFilter) -> Option<Vec<Owner>> {
        let catalogue = read(&self.catalogue);
        if let Some(player) = &filter.player {
            let number = catalogue.player_number(player);
            return Some(number.map(Owner::Player).into_iter().collect());
        }
        let source = filter.source.as_ref()?;
        let number = catalogue.source_number(source);
        Some(number.map(|number| catalogue.customers(number)).unwrap_or_default())
    }

    /// The shots that an assignment's filter finds, ascending.
    pub(super) fn find(&self, filter: &ShotFilter) -> Result<Vec<Sequence>, LiveError> {
        let mut found = Vec::new();
        for owner in self.owners(filter).unwrap_or_default() {
            let slot = self.rolls.get(owner)?;
            let roll = read(&slot.roll);
            let catalogue = read(&self.catalogue);
            let Some(sieve) = Sieve::of(filter, &catalogue, (owner, &roll)) else { continue };
            let passing = roll.rows().iter().filter(|row| sieve.passes(row));
            found.extend(passing.map(|row| row.sequence));
        }
        found.sort_unstable();
        if let Some(last) = filter.last {
            let surplus = found.len().saturating_sub(last as usize);
            found.drain(..surplus);
        }
        Ok(found)
    }
}
