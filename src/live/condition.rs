//! What a sender may ask to hold for an act to happen: that a thing is there, is not there yet, or
//! is still as the sender has read it. It is judged with the act, in order with all others, so that
//! nothing comes between the look and the act; no frame keeps it.

use super::{Live, LiveError, Refusal, ShotView, catalogue::Catalogue, read};
use crate::shot::{Act, Sequence, Subject};

/// The state of one thing. Two that are equal are shown the same.
#[derive(Debug, Clone, PartialEq)]
pub enum Version {
    /// A document or a context, by the last sequence that changed it.
    AsOf(Sequence),
    /// A shot as it is shown; its event never changes.
    Shot(Box<ShotView>),
}

/// States that a condition speaks of.
#[derive(Debug, Clone, PartialEq)]
pub enum States {
    /// All: the thing is there.
    Any,
    /// This one; without one, none that the thing can be in.
    Only(Option<Version>),
}

/// States, and what the sender is told where the thing is not in them, or where it is and must not be.
#[derive(Debug, Clone, PartialEq)]
pub struct Clause {
    /// The states.
    pub states: States,
    /// What is told.
    pub otherwise: &'static str,
}

/// What must hold for an act to happen; the default asks for nothing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Condition {
    /// What the thing must be in.
    pub asked: Option<Clause>,
    /// What it must not be in.
    pub ruled_out: Option<Clause>,
}

impl States {
    fn hold(&self, now: Option<&Version>) -> bool {
        match self {
            Self::Any => now.is_some(),
            Self::Only(version) => now.is_some() && version.as_ref() == now,
        }
    }
}

impl Condition {
    /// Whether it holds of a thing that stands so now, or is not there.
    ///
    /// # Errors
    /// `Unmet`.
    pub fn check(&self, now: Option<&Version>) -> Result<(), Refusal> {
        let asked = self.asked.as_ref().filter(|clause| !clause.states.hold(now));
        let ruled_out = self.ruled_out.as_ref().filter(|clause| clause.states.hold(now));
        match asked.or(ruled_out) {
            Some(clause) => Err(Refusal::Unmet(clause.otherwise)),
            None => Ok(()),
        }
    }
}

impl Live {
    pub(super) fn judge_condition(&self, act: &Act, condition: &Condition) -> Result<(), Refusal> {
        if *condition == Condition::default() {
            return Ok(());
        }
        condition.check(self.version(act)?.as_ref())
    }

    /// How that stands which an act changes; an act on many things has no such state.
    fn version(&self, act: &Act) -> Result<Option<Version>, LiveError> {
        let catalogue = || read(&self.catalogue);
        let as_of = match act {
            Act::Correct { shot, .. } | Act::EraseShot { shot } => {
                return Ok(self.shot(*shot)?.map(|view| Version::Shot(Box::new(view))));
            }
            Act::Put(document) => document_as_of(&catalogue(), &document.subject()),
            Act::Remove(subject) => document_as_of(&catalogue(), subject),
            Act::SetContext { source, .. } => {
                catalogue().source(source).map(|source| source.document.context_as_of)
            }
            Act::ErasePlayer { player } => {
                let catalogue = catalogue();
                catalogue.player_of_hash(*player).map(|number| catalogue.player_as_of(number))
            }
            Act::ChangeTrial { player, trial, .. } => {
                let subject = Subject::Trial(player.clone(), trial.clone());
                document_as_of(&catalogue(), &subject)
            }
            Act::OpenTrial { .. } | Act::Assign { .. } | Act::Retire { .. } => None,
        };
        Ok(as_of.map(Version::AsOf))
    }
}

/// The last sequence that changed a document, if it is there.
fn document_as_of(catalogue: &Catalogue, subject: &Subject) -> Option<Sequence> {
    match subject {
        Subject::Player(player) => catalogue.player(player).map(|entry| entry.as_of),
        Subject::Club(player, club) => {
            let player = catalogue.player_number(player)?;
            catalogue.club_as_of(player, catalogue.club_number(player, club)?)
        }
        Subject::Bag(player, bag) => {
            catalogue.bag(catalogue.player_number(player)?, bag).map(|entry| entry.as_of)
        }
        Subject::Ball(ball) => catalogue.ball(ball).map(|entry| entry.as_of),
        Subject::Source(source) => catalogue.source(source).map(|entry| entry.as_of),
        Subject::CsvMapping(mapping) => catalogue.csv_mapping(mapping).map(|entry| entry.as_of),
        Subject::Trial(player, trial) => {
            catalogue.trial(catalogue.player_number(player)?, trial).map(|entry| entry.as_of)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tables of RFC 9110, 13.1.1 and 13.1.2.
    #[test]
    fn a_condition_is_judged_as_the_standard_says() {
        let at = |sequence| Version::AsOf(Sequence::new(sequence));
        let only = |sequence| States::Only(Some(at(sequence)));
        let clause = |states, otherwise| Some(Clause { states, otherwise });
        let asked = |states| Condition { asked: clause(states, "asked"), ruled_out: None };
        let ruled_out = |states| Condition { asked: None, ruled_out: clause(states, "ruled out") };
        let (here, nowhere) = (Some(at(7)), None::<Version>);
        let (not_asked, is_ruled_out) =
            (Err(Refusal::Unmet("asked")), Err(Refusal::Unmet("ruled out")));
        for (condition, when_here, when_nowhere) in [
            (Condition::default(), Ok(()), Ok(())),
            (asked(States::Any), Ok(()), not_asked.clone()),
            (asked(only(7)), Ok(()), not_asked.clone()),
            (asked(only(6)), not_asked.clone(), not_asked.clone()),
            (asked(States::Only(None)), not_asked.clone(), not_asked.clone()),
            (ruled_out(States::Any), is_ruled_out.clone(), Ok(())),
            (ruled_out(only(7)), is_ruled_out, Ok(())),
            (ruled_out(only(6)), Ok(()), Ok(())),
            (ruled_out(States::Only(None)), Ok(()), Ok(())),
        ] {
            assert_eq!(condition.check(here.as_ref()), when_here, "{condition:?}");
            assert_eq!(condition.check(nowhere.as_ref()), when_nowhere, "{condition:?}");
        }
    }
}
