//! What a reader follows of the durable events, and what of a shot decides whether it is told.

use crate::shot::{ClubId, PlayerId, SourceId};

/// What a reader follows: what is named must be so, as shots are effective when they are told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Followed {
    /// Shots of this player.
    pub player: Option<PlayerId>,
    /// Shots with this club.
    pub club: Option<ClubId>,
    /// Shots of this source.
    pub source: Option<SourceId>,
    /// Whether shots are told when they come.
    pub shots: bool,
    /// Whether acts on shots are told.
    pub corrections: bool,
}

impl Default for Followed {
    /// Everything.
    fn default() -> Self {
        Self { player: None, club: None, source: None, shots: true, corrections: true }
    }
}

/// What filters look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Keys {
    /// Who hit it.
    pub player: Option<PlayerId>,
    /// With which club.
    pub club: Option<ClubId>,
    /// Where it came from, which nothing changes.
    pub source: SourceId,
}

/// What an act may have changed of that.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Reach {
    /// Who hit its shots.
    pub player: bool,
    /// With which club.
    pub club: bool,
}

impl Followed {
    /// Whether a shot is followed.
    pub(super) fn holds(&self, keys: &Keys) -> bool {
        is_or_any(self.player.as_ref(), keys.player.as_ref())
            && is_or_any(self.club.as_ref(), keys.club.as_ref())
            && is_or_any(self.source.as_ref(), Some(&keys.source))
    }

    /// Whether a shot that is not followed may have been, before an act of this reach. Of one whose
    /// content is gone nothing is known, so it may.
    pub(super) fn may_have_lost(&self, keys: Option<&Keys>, reach: Reach) -> bool {
        let Some(keys) = keys else { return true };
        (reach.player || is_or_any(self.player.as_ref(), keys.player.as_ref()))
            && (reach.club || is_or_any(self.club.as_ref(), keys.club.as_ref()))
            && is_or_any(self.source.as_ref(), Some(&keys.source))
    }
}

fn is_or_any<T: PartialEq>(wanted: Option<&T>, it: Option<&T>) -> bool {
    wanted.is_none() || wanted == it
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn keys(player: Option<&str>, club: &str) -> Keys {
        Keys {
            player: player.map(|player| PlayerId::parse(player).unwrap()),
            club: Some(ClubId::parse(club).unwrap()),
            source: SourceId::parse("bay-3").unwrap(),
        }
    }

    fn of(player: &str) -> Followed {
        Followed { player: Some(PlayerId::parse(player).unwrap()), ..Followed::default() }
    }

    #[test]
    fn what_is_named_must_be_so() {
        assert!(Followed::default().holds(&keys(None, "5h")));
        assert!(of("rowan").holds(&keys(Some("rowan"), "5h")));
        assert!(!of("rowan").holds(&keys(Some("robin"), "5h")));
        assert!(!of("rowan").holds(&keys(None, "5h")));
        let elsewhere = Followed { source: Some(SourceId::parse("bay-4").unwrap()), ..of("rowan") };
        assert!(!elsewhere.holds(&keys(Some("rowan"), "5h")));
    }

    #[test]
    fn only_an_act_on_players_takes_a_shot_from_a_player() {
        let robins = keys(Some("robin"), "5h");
        let (nothing, all) = (Reach::default(), Reach { player: true, club: true });
        assert!(!of("rowan").may_have_lost(Some(&robins), nothing));
        assert!(of("rowan").may_have_lost(Some(&robins), all));
        assert!(of("rowan").may_have_lost(None, nothing));
        let elsewhere = Followed { source: Some(SourceId::parse("bay-4").unwrap()), ..of("rowan") };
        assert!(!elsewhere.may_have_lost(Some(&robins), all));
    }
}
