//! Which rows pass a filter.

use jiff::Timestamp;

use super::{
    Live, LiveError, Refusal, catalogue::Catalogue, ledger::Owner, lock, read, roll::Roll,
};
use crate::{
    bag::{NONE, Row},
    shot::{ACT_SHOTS_MAX, Sequence, ShotFilter, ShotSet},
};

/// A filter with its names looked up for one owner's rows.
struct Sieve<'a> {
    filter: &'a ShotFilter,
    owner: Owner,
    club: Option<u32>,
    session: Option<u32>,
    ball: Option<u32>,
    source: Option<u32>,
}

impl<'a> Sieve<'a> {
    /// The sieve for one owner; `None` where none of its rows can pass.
    fn of(filter: &'a ShotFilter, catalogue: &Catalogue, owner: Owner) -> Option<Self> {
        if let Some(player) = &filter.player
            && Some(owner) != catalogue.player_number(player).map(Owner::Player)
        {
            return None;
        }
        if filter.unassigned == Some(false) && matches!(owner, Owner::Source(_)) {
            return None;
        }
        let club = filter.club.as_ref().map(|club| catalogue.known_club(owner, club));
        let ball = filter.ball.as_ref().map(|ball| catalogue.ball_number(ball));
        let source = filter.source.as_ref().map(|source| catalogue.source_number(source));
        if [club, ball, source].contains(&Some(None)) {
            return None;
        }
        Some(Self {
            filter,
            owner,
            club: club.flatten(),
            session: None,
            ball: ball.flatten(),
            source: source.flatten(),
        })
    }

    /// The same with the visit's name looked up; `None` where the owner has no such visit.
    fn over(mut self, roll: &Roll) -> Option<Self> {
        if let Some(name) = &self.filter.session {
            self.session = Some(roll.session_number(name.as_str())?);
        }
        Some(self)
    }

    /// Whether a row passes, its flags apart.
    fn passes(&self, row: &Row) -> bool {
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
fn is_unassigned(owner: Owner, row: &Row) -> bool {
    matches!(owner, Owner::Source(_)) || row.club == NONE
}

/// An owner's rows, and which of them pass a filter.
pub(super) struct Sifted<'a> {
    /// All rows.
    pub rows: &'a [Row],
    /// Whether the row at an index passes.
    pub passes: &'a dyn Fn(usize) -> bool,
}

impl Live {
    /// Everybody whose rows a filter may find, in a fixed order.
    pub(super) fn owners(&self, filter: &ShotFilter) -> Vec<Owner> {
        let catalogue = read(&self.catalogue);
        if let Some(player) = &filter.player {
            let number = catalogue.player_number(player);
            return number.map(Owner::Player).into_iter().collect();
        }
        match &filter.source {
            Some(source) => {
                let number = catalogue.source_number(source);
                number.map(|number| catalogue.customers(number)).unwrap_or_default()
            }
            None => catalogue.all_customers(),
        }
    }

    /// Holds an owner's rows against a filter; `None` where none of them can pass. An `id` is not
    /// looked at: that name is the store's to look up.
    pub(super) fn sift<T>(
        &self,
        owner: Owner,
        filter: &ShotFilter,
        take: impl FnOnce(Sifted<'_>) -> T,
    ) -> Result<Option<T>, LiveError> {
        let Some(sieve) = Sieve::of(filter, &read(&self.catalogue), owner) else {
            return Ok(None);
        };
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let Some(sieve) = sieve.over(&roll) else { return Ok(None) };
        let rows = roll.rows();
        let Some(flag) = filter.flag else {
            return Ok(Some(take(Sifted { rows, passes: &|at| sieve.passes(&rows[at]) })));
        };
        let mut reading = lock(&slot.reading);
        let clubs = self.clubs_of(owner);
        if flag.are_judged() {
            reading.mark(&roll, &clubs);
        }
        let passes = |at: usize| {
            sieve.passes(&rows[at]) && reading.flags(&roll, at, &clubs).intersects(flag)
        };
        Ok(Some(take(Sifted { rows, passes: &passes })))
    }

    /// The shots that a filter finds, owner by owner, each as it stands at that moment.
    ///
    /// # Errors
    /// [`Refusal::TooMany`], or a table that cannot be read.
    pub fn find(&self, filter: &ShotFilter) -> Result<ShotSet, Refusal> {
        let mut found: Vec<Sequence> = Vec::new();
        for owner in self.owners(filter) {
            let _acts = self.question()?;
            self.sift(owner, filter, |Sifted { rows, passes }| {
                let passing = (0..rows.len()).filter(|at| passes(*at));
                found.extend(passing.map(|at| rows[at].sequence));
            })?;
            match filter.last {
                Some(last) => keep_last(&mut found, last as usize),
                None if found.len() > ACT_SHOTS_MAX => return Err(Refusal::TooMany),
                None => {}
            }
        }
        Ok(found.into_iter().collect())
    }

    /// Those of some shots that pass a filter now, `last` apart.
    ///
    /// # Errors
    /// A table that cannot be read.
    pub fn among(&self, filter: &ShotFilter, shots: &ShotSet) -> Result<ShotSet, LiveError> {
        let mut found: Vec<Sequence> = Vec::new();
        for (owner, shots) in self.by_owner(shots.iter())? {
            self.sift(owner, filter, |Sifted { rows, passes }| {
                let index = |shot: &Sequence| rows.binary_search_by_key(shot, |row| row.sequence);
                let passing = shots.iter().filter(|shot| index(shot).is_ok_and(passes));
                found.extend(passing);
            })?;
        }
        Ok(found.into_iter().collect())
    }
}

/// Drops all but the last in sequence order.
fn keep_last(shots: &mut Vec<Sequence>, last: usize) {
    if shots.len() > last {
        shots.sort_unstable();
        shots.drain(..shots.len() - last);
    }
}
