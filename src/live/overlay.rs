//! What was said of a shot after it came: the sent or inherited values stay, corrections lie over
//! them and can be lifted.

use serde::{Deserialize, Serialize};

use crate::shot::{
    self, BallId, ClubId, Correction, Intent, Lie, Place, PlayerId, Purpose, Reason,
};

/// The members of a shot that can be corrected, as sent or inherited.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Base {
    /// Who.
    pub player: Option<PlayerId>,
    /// Which club.
    pub club: Option<ClubId>,
    /// Which visit; none before the shot first has a player.
    pub session: Option<SessionName>,
    /// What the ball lay on.
    pub lie: Option<Lie>,
    /// What was meant.
    pub intent: Intent,
    /// What for.
    pub purpose: Purpose,
    /// Which ball.
    pub ball: Option<BallId>,
    /// Wet ball or face.
    pub wet: bool,
    /// Indoors or outdoors.
    pub place: Option<Place>,
}

/// A visit's name, and whether it was derived.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct SessionName {
    /// The name.
    pub name: String,
    /// Whether other shots without a session may join it.
    pub derived: bool,
}

/// A shot of which more is known than its row: mostly one that was corrected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Corrected {
    /// What it would be without corrections.
    pub base: Base,
    /// What was said last of each member.
    pub patch: Correction,
    /// Whom its text names where that was nobody when it came: somebody who had been erased.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub named: Option<PlayerId>,
}

impl Corrected {
    /// The player whose it was when it came, or whom its text names nevertheless.
    pub(super) fn sent_as(&self) -> Option<&PlayerId> {
        self.base.player.as_ref().or(self.named.as_ref())
    }

    /// The members that count.
    pub(super) fn effective(&self) -> Base {
        let (base, patch) = (&self.base, &self.patch);
        let named = |name: &shot::SessionName| SessionName {
            name: name.as_str().to_owned(),
            derived: false,
        };
        Base {
            player: patch.player.set().or(base.player.as_ref()).cloned(),
            club: patch.club.set().or(base.club.as_ref()).cloned(),
            session: patch.session.set().map(named).or_else(|| base.session.clone()),
            lie: patch.lie.set().copied().or(base.lie),
            intent: Intent {
                height: patch.height.set().copied().unwrap_or(base.intent.height),
                shape: patch.shape.set().copied().unwrap_or(base.intent.shape),
                swing: patch.swing.set().copied().unwrap_or(base.intent.swing),
            },
            purpose: patch.purpose.set().copied().unwrap_or(base.purpose),
            ball: patch.ball.set().or(base.ball.as_ref()).cloned(),
            wet: patch.wet.set().copied().unwrap_or(base.wet),
            place: patch.place.set().copied().or(base.place),
        }
    }

    /// Whether something else counts than before: a correction that says what stood anyway changes
    /// nothing.
    pub(super) fn differs_from(&self, before: &Self) -> bool {
        self.effective() != before.effective() || self.set_aside() != before.set_aside()
    }

    /// Why it was set aside, if it was.
    pub(super) fn set_aside(&self) -> Option<&str> {
        self.patch.set_aside.set().map(Reason::as_str)
    }
}

impl Base {
    /// These members as the base of a shot that nothing was said of yet.
    pub(super) fn uncorrected(self) -> Corrected {
        Corrected { base: self, patch: Correction::default(), named: None }
    }
}
