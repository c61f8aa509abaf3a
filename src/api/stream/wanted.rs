//! What a stream is asked.

use crate::{
    api::{
        problem::Problem,
        query::{Form, FromText, Parameter, Query, Table, Words},
        units::Units,
    },
    live::feed::{Board, Followed, Watched},
    shot::{ClubId, PlayerId, Sequence},
};

/// The parameters of a stream.
pub(super) const PARAMETERS: Table = &[
    &[
        Parameter::new("player", Form::Name, "Shots of this player, and how the player stands."),
        Parameter::new("club", Form::Name, "Shots with this club; with `player`, its profile."),
        Parameter::new("source", Form::Name, "Shots of this source."),
        Parameter::new(
            "kind",
            Form::SomeOf(Kind::spellings),
            "Events of these kinds; all that the other parameters allow unless given.",
        ),
        Parameter::new(
            "incumbent",
            Form::Name,
            "With `player`: verdicts on which clubs can take this one's place, under the usual brief.",
        ),
        Parameter::new(
            "candidate",
            Form::Names,
            "With `incumbent`: a club that is tried; all neighbours unless given.",
        ),
        Parameter::new("after", Form::Sequence, "Begin behind this sequence; now unless given."),
        Parameter::new(
            "until",
            Form::Sequence,
            "With `after`: end behind this sequence, which is there already. So the stream is a replay, \
             of shots and corrections alone.",
        ),
    ],
    Units::PARAMETERS,
];

/// The kinds of events that can be asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Shot,
    Correction,
    Profile,
    Verdict,
    Trial,
    Drift,
}

impl Kind {
    const ALL: [Self; 6] =
        [Self::Shot, Self::Correction, Self::Profile, Self::Verdict, Self::Trial, Self::Drift];

    pub(super) const fn as_str(self) -> &'static str {
        match self {
            Self::Shot => "shot",
            Self::Correction => "correction",
            Self::Profile => "profile",
            Self::Verdict => "verdict",
            Self::Trial => "trial",
            Self::Drift => "drift",
        }
    }

    /// The parameters without which there are no events of this kind.
    const fn needs(self) -> &'static [&'static str] {
        match self {
            Self::Shot | Self::Correction => &[],
            Self::Profile => &["player", "club"],
            Self::Verdict => &["player", "incumbent"],
            Self::Trial | Self::Drift => &["player"],
        }
    }

    /// Whether a replay has them.
    const fn is_durable(self) -> bool {
        matches!(self, Self::Shot | Self::Correction)
    }
}

impl Words for Kind {
    fn spellings() -> Vec<&'static str> {
        Self::ALL.iter().map(|kind| kind.as_str()).collect()
    }
}

impl FromText for Kind {
    fn from_text(text: &str) -> Result<Self, String> {
        let found = Self::ALL.into_iter().find(|kind| kind.as_str() == text);
        found.ok_or_else(|| format!("is `{text}`: give one of {}", Self::spellings().join(", ")))
    }
}

/// A sequence as a header or a parameter has it.
pub(super) fn sequence(text: &str) -> Option<Sequence> {
    Sequence::from_text(text).ok()
}

/// Where a stream begins.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    /// Behind this.
    pub(super) after: Sequence,
    /// Whether that is what was asked for.
    pub(super) is_named: bool,
    /// Whether another place was asked for, which there is not.
    pub(super) is_none: bool,
}

/// What was asked.
#[derive(Debug)]
pub(super) struct Wanted {
    pub(super) followed: Followed,
    pub(super) boards: Vec<Board>,
    pub(super) after: Option<Sequence>,
    pub(super) until: Option<Sequence>,
}

impl Wanted {
    pub(super) fn read(raw: &str) -> Result<Self, Problem> {
        let mut query = Query::read(raw, PARAMETERS)?;
        let (player, club) = (query.one("player"), query.one("club"));
        let incumbent: Option<ClubId> = query.one("incumbent");
        let candidates = candidates(&mut query, incumbent.as_ref());
        let kinds = kinds(&mut query);
        let (after, until) = (query.one("after"), query.one("until"));
        check_until(&mut query, until.is_some(), &kinds);
        if incumbent.is_some() && query.text("player").is_none() {
            query.fault("incumbent", "`incumbent` is a player's club: give `player` too");
        }
        let units = Units::read(&mut query);
        let has = |kind| kinds.contains(&kind);
        let boards = match (&player, until) {
            (Some(player), None) => {
                let profile = club.clone().filter(|_| has(Kind::Profile)).map(Watched::Profile);
                let verdict = incumbent.filter(|_| has(Kind::Verdict));
                let verdict = verdict.map(|incumbent| Watched::Verdict { incumbent, candidates });
                let trials = has(Kind::Trial).then_some(Watched::Trials);
                let drifts = has(Kind::Drift).then_some(Watched::Drifts);
                let watched = [profile, verdict, trials, drifts].into_iter().flatten();
                watched.map(|what| Board { player: PlayerId::clone(player), what, units }).collect()
            }
            _ => Vec::new(),
        };
        let followed = Followed {
            player,
            club,
            source: query.one("source"),
            shots: has(Kind::Shot),
            corrections: has(Kind::Correction),
        };
        query.done()?;
        Ok(Self { followed, boards, after, until })
    }

    /// The clubs whose place is wanted and that are tried, with the parameters that name them.
    pub(super) fn clubs(&self) -> impl Iterator<Item = (&'static str, &ClubId)> {
        let verdicts = self.boards.iter().filter_map(|board| match &board.what {
            Watched::Verdict { incumbent, candidates } => Some((incumbent, candidates)),
            _ => None,
        });
        verdicts.flat_map(|(incumbent, candidates)| {
            let candidates = candidates.iter().map(|club| ("candidate", club));
            [("incumbent", incumbent)].into_iter().chain(candidates)
        })
    }
}

fn candidates(query: &mut Query<'_>, incumbent: Option<&ClubId>) -> Vec<ClubId> {
    let candidates: Vec<ClubId> = query.many("candidate");
    if !candidates.is_empty() && query.text("incumbent").is_none() {
        query.fault("candidate", "`candidate` is tried in place of a club: give `incumbent` too");
    }
    if incumbent.is_some_and(|incumbent| candidates.contains(incumbent)) {
        query.fault("candidate", "`candidate` is the incumbent itself: name another club");
    }
    if (1..candidates.len()).any(|at| candidates[..at].contains(&candidates[at])) {
        query.fault("candidate", "`candidate` names a club twice: name it once");
    }
    candidates
}

/// The kinds that were asked for; without any, all that the other parameters allow.
fn kinds(query: &mut Query<'_>) -> Vec<Kind> {
    let asked: Vec<Kind> = query.many("kind");
    for kind in &asked {
        let missing: Vec<String> = kind
            .needs()
            .iter()
            .filter(|name| query.text(name).is_none())
            .map(|name| format!("`{name}`"))
            .collect();
        if !missing.is_empty() {
            let (kind, missing) = (kind.as_str(), missing.join(" and "));
            query.fault("kind", format!("`kind` is `{kind}`: give {missing} too"));
        }
    }
    if query.text("kind").is_some() { asked } else { Kind::ALL.to_vec() }
}

fn check_until(query: &mut Query<'_>, is_replay: bool, kinds: &[Kind]) {
    if !is_replay {
        return;
    }
    if query.text("after").is_none() {
        query.fault("until", "`until` ends a replay: give `after` too, 0 for all there is");
    }
    if query.text("kind").is_some() && !kinds.iter().all(|kind| kind.is_durable()) {
        query.fault("until", "`until` ends a replay, which has shots and corrections alone");
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn faults(raw: &str) -> Vec<String> {
        let refused = Wanted::read(raw).unwrap_err();
        refused.errors().iter().filter_map(|fault| fault.parameter.clone()).collect()
    }

    fn watched(raw: &str) -> Vec<Watched> {
        Wanted::read(raw).unwrap().boards.into_iter().map(|board| board.what).collect()
    }

    #[test]
    fn everything_is_told_that_the_parameters_allow() {
        let all = Wanted::read("").unwrap();
        assert_eq!((all.followed, all.boards), (Followed::default(), Vec::new()));
        assert_eq!(watched("player=rowan"), [Watched::Trials, Watched::Drifts]);
        let club = ClubId::parse("5h").unwrap();
        assert_eq!(watched("player=rowan&club=5h&kind=profile"), [Watched::Profile(club.clone())]);
        let verdict = Watched::Verdict { incumbent: club, candidates: Vec::new() };
        assert_eq!(watched("player=rowan&incumbent=5h&kind=verdict&kind=shot"), [verdict]);
        let verdicts = Wanted::read("player=rowan&incumbent=5h&kind=verdict").unwrap().followed;
        assert!(!verdicts.shots && !verdicts.corrections);
    }

    #[test]
    fn a_kind_says_what_it_needs() {
        assert_eq!(faults("kind=verdict"), ["kind"]);
        assert_eq!(faults("kind=profile&player=rowan"), ["kind"]);
        assert_eq!(faults("kind=shots"), ["kind"]);
        assert_eq!(faults("incumbent=5h"), ["incumbent"]);
        assert_eq!(faults("player=rowan&candidate=5h"), ["candidate"]);
        assert_eq!(faults("player=rowan&incumbent=5h&candidate=5h"), ["candidate"]);
    }

    #[test]
    fn a_replay_has_a_beginning_and_what_has_an_id() {
        assert_eq!(faults("until=5"), ["until"]);
        assert_eq!(faults("after=0&until=5&player=rowan&kind=drift"), ["until"]);
        assert!(Wanted::read("after=0&until=5&player=rowan").unwrap().boards.is_empty());
    }
}
