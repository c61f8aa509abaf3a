//! What to hit next where two clubs cannot be compared yet.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    given_up::Two,
    row::NONE,
    survey::Group,
    words::{counted, listed},
};
use crate::{
    shot::{BallId, ClubId, Lie},
    stats::MIN_SHOTS,
};

/// The shots to hit next: both clubs in turn, in one visit, from one lie, with one ball.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Next {
    /// Which clubs, and how many shots of each.
    pub clubs: Vec<NextClub>,
    /// From this lie: the one that the incumbent was mostly hit from; null where nobody stated one.
    pub lie: Option<Lie>,
    /// Whether ball or face should be wet, as they mostly were.
    pub wet: bool,
    /// With this ball; null where nobody stated one.
    pub ball: Option<BallId>,
    /// The same in a sentence.
    pub words: String,
}

/// A club of the shots to hit next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct NextClub {
    /// The club.
    pub club: ClubId,
    /// How many shots.
    pub shots: usize,
}

/// What to hit until the two have as many like-for-like shots as a verdict needs; `None` where they
/// do. `have` counts the shots of candidate and incumbent that a verdict can use.
pub(super) fn next(two: &Two<'_>, have: [usize; 2]) -> Option<Next> {
    let lacks = have.map(|have| (MIN_SHOTS as usize).saturating_sub(have));
    let most = lacks[0].max(lacks[1]);
    if most == 0 {
        return None;
    }
    // Both are hit, since only a visit that holds both tells anything.
    let club = |club: u32| two.player.clubs[club as usize].id.clone();
    let clubs: Vec<NextClub> = [two.incumbent, two.candidate]
        .into_iter()
        .map(|number| NextClub { club: club(number), shots: most })
        .collect();
    let at = usual(two, two.incumbent).or_else(|| usual(two, two.candidate));
    let stratum = at.map(|group| group.stratum);
    let (lie, wet) = stratum.map_or((two.lie, false), |stratum| (stratum.lie, stratum.wet));
    let ball = stratum.map_or(NONE, |stratum| stratum.ball);
    let named = two.player.balls.get(ball as usize);
    let names = [two.incumbent, two.candidate].map(|club| two.name(club).to_owned());
    let from = match lie {
        Some(_) => super::LieGroup::of(lie, wet).from(),
        None => "from one lie",
    };
    let with = named.map_or("one ball", |ball| ball.document.name.as_str());
    let words = format!(
        "For a first word on {} alone, hit {} in turn in one visit, {} each, {from}, with {with}.",
        two.name(two.candidate),
        listed(&names),
        counted(most, "shot"),
    );
    Some(Next { clubs, lie, wet, ball: named.map(|ball| ball.id.clone()), words })
}

/// The group of strata that a club was mostly hit in, the first of equals.
fn usual<'s>(two: &Two<'s>, club: u32) -> Option<&'s Group> {
    let mut sums: Vec<(&Group, usize)> = Vec::new();
    for group in two.survey.doing(club, two.job(None)) {
        match sums.iter_mut().find(|(known, _)| known.stratum == group.stratum) {
            Some((_, sum)) => *sum += group.shots(),
            None => sums.push((group, group.shots())),
        }
    }
    let most = sums.iter().map(|(_, sum)| *sum).max().filter(|most| *most > 0)?;
    sums.into_iter().find(|(_, sum)| *sum == most).map(|(group, _)| group)
}
