//! The shape of the answer.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    advice::Advice,
    computed::{ComputedBy, ComputedFloor},
    until_proof::UntilProof,
};
use crate::{
    bag::{
        Brief, CarryAir, Criterion, Effect, FittingLoft, GivenUp, Interval, LadderAfter, LeftOut,
        MixOfLies, ModelRange, Next, Rate, ReferenceAir, ShotsOfPair, Surface,
    },
    shot::{BallId, ClubId, PlayerId, Sequence},
    stats::{Calibration, Outlook, Spread},
};

/// Clubs judged against a brief, the likeliest first.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Replacements {
    /// Who.
    pub player: PlayerId,
    /// The club whose place is wanted.
    pub incumbent: ClubId,
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// What was asked.
    pub brief: Brief,
    /// The air that carries are in. Unless the question says: as hit, but for a brief with a slot where the
    /// air of the candidates' shots differs by more than 3 % in density and all their carries can be taken
    /// to reference air.
    pub air: CarryAir,
    /// That air and what was left out of it among the candidates' own counted shots; null where carries are
    /// as hit.
    pub reference_air: Option<ReferenceAir>,
    /// The clubs, ranked.
    pub candidates: Vec<Candidate>,
    /// What to hit on the next visit, shared by the most promising of those that are open; null where
    /// no verdict waits for shots.
    pub advice: Option<Advice>,
    /// What a verdict speaks of.
    pub note: &'static str,
}

/// One club judged.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Candidate {
    /// The club.
    pub club: ClubId,
    /// The verdict.
    pub verdict: VerdictWord,
    /// Why it is not `replaces`; null where it is.
    pub why: Option<String>,
    /// The verdict in sentences, with the figures that it rests on.
    pub words: String,
    /// The criteria, entry by entry.
    pub criteria: Vec<CriterionAnswer>,
    /// An early chance that the whole brief is true; no proof. Null until there are a few shots.
    pub outlook: Option<OutlookAnswer>,
    /// How it stands beside the other candidates.
    pub family: Family,
    /// Shots still needed, a plan and no promise; null where none can be given.
    pub more_shots: Option<MoreShots>,
    /// What is missing before anything can be said.
    pub missing: Vec<Missing>,
    /// What to hit next where it is `insufficient`; null otherwise.
    pub next: Option<Next>,
    /// Why it is not proven yet and what would prove it; null where the verdict stands.
    pub until_proof: Option<UntilProof>,
    /// Shots that count.
    pub shots: ShotsOfPair,
    /// Visits that hold both clubs, like for like.
    pub sessions: usize,
    /// The surface that the candidate's own means are from; null without a counted shot.
    pub surface: Option<Surface>,
    /// The ball that they are from; null where unstated.
    pub ball: Option<BallId>,
    /// Strikes that count, yet that the screen, looking back after 24 of a club, would not have let pass:
    /// nothing replaces that does not without them too. Null where there are none.
    pub doubtful: Option<ShotsOfPair>,
    /// Shots of the two clubs that were left out.
    pub left_out: Vec<LeftOut>,
    /// The club's own day that the evidence allows for.
    pub run_effect: Effect,
    /// What the player would give up.
    pub given_up: Vec<GivenUp>,
    /// The ladder around the candidate, with the incumbent gone.
    pub ladder_after: LadderAfter,
    /// The loft at which the candidate's family would carry as wanted; null unless two of it, of
    /// different lofts, tell.
    pub fitting_loft: Option<FittingLoft>,
    /// What the mix of lies that was asked for makes of both; in no verdict. Null unless asked.
    pub mix: Option<MixOfLies>,
    /// The share of all strikes, mishits included, that carry the distance asked for; in no
    /// verdict. Null unless asked.
    pub must_carry: Option<Rate>,
    /// What would be said if shots that were set aside and mishits counted too; null without such
    /// shots.
    pub with_all: Option<WithSetAsideAndMishits>,
}

/// A candidate judged with the shots that were set aside and with the mishits, over the same looks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WithSetAsideAndMishits {
    /// The verdict that would stand.
    pub verdict: VerdictWord,
    /// The carries' difference, candidate minus incumbent, metres.
    pub carry_m: Interval,
    /// Shots that it would rest on.
    pub shots: ShotsOfPair,
}

/// A verdict's word, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum VerdictWord {
    /// Every test of the brief is proven.
    Replaces,
    /// Neither way yet.
    Undecided,
    /// Too few like-for-like shots.
    Insufficient,
    /// Some test's opposite is proven.
    DoesNotReplace,
}

/// One entry of the criteria.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CriterionAnswer {
    /// What it is about.
    pub name: Criterion,
    /// The measure.
    pub metric: &'static str,
    /// The difference, or the candidate's own mean where the bound is on that.
    #[serde(flatten)]
    pub interval: Interval,
    /// Whether the figure is the candidate's own mean and not a difference.
    pub of: Figure,
    /// The figure must be at least this; of `above_computed_floor` the higher of both models' floors, null
    /// where by one of them no launch is high enough.
    pub at_least: Option<f64>,
    /// The figure must be at most this.
    pub at_most: Option<f64>,
    /// How it stands. One that is met may have an interval that still crosses its bound: intervals bound a
    /// figure on both sides at any moment, and are wider for it.
    pub state: CriterionState,
    /// The least running maximum of its tests' evidence, told as 1,000,000,000 where it is more; null
    /// before the first look.
    pub evidence: Option<f64>,
    /// Evidence that proves.
    pub evidence_needed: f64,
    /// Why it cannot be proven, or computed, as things are; null where it can.
    pub hindered_by: Option<&'static str>,
    /// The launch below which its weak strike falls short on soaked ground, where that is computed: beside
    /// the launch of `not_too_low`, for six candidates at most unless the brief asks for it. It never changes
    /// that criterion.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub computed_floor: Option<ComputedFloor>,
    /// Of `above_computed_floor` the lowest launch that is high enough, degrees, by the main model, and the
    /// lower and the higher of both; absent where by one of them none is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub floor_deg: Option<ModelRange>,
    /// What it rests on, where it is computed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub computed_by: Option<ComputedBy>,
}

/// What a criterion's figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Figure {
    /// Candidate minus incumbent.
    Difference,
    /// The candidate's own mean.
    OwnMean,
    /// The candidate's spread over the incumbent's.
    SpreadRatio,
    /// Held against what the models of flight say. Of `carry_kept_in_wind` candidate minus incumbent by the
    /// default model; `low` and `high` are the lesser and the greater of two models, and no ends of confidence.
    /// Of `above_computed_floor` the candidate's own typical launch, which is measured; computed is
    /// `at_least`.
    Computed,
}

impl From<Spread> for CriterionState {
    fn from(spread: Spread) -> Self {
        match spread {
            Spread::NotJudged => Self::NotJudged,
            Spread::Held => Self::Held,
            Spread::Worse => Self::Worse,
        }
    }
}

/// How a criterion stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CriterionState {
    /// Proven.
    Met,
    /// Neither way.
    Open,
    /// The opposite is proven.
    Broken,
    /// Spread: not proven worse.
    Held,
    /// Spread: proven worse.
    Worse,
    /// Spread: too few shots.
    NotJudged,
    /// Computed: by both models.
    MetByModels,
    /// Computed: by neither model.
    BrokenByModels,
    /// Computed: the models do not agree, or too little is known to compute it.
    UnclearByModels,
}

/// The outlook in an answer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct OutlookAnswer {
    /// The chance, from stated priors.
    pub chance: f64,
    /// Its word.
    pub words: &'static str,
    /// What came true of simulated outlooks with this word, on the default brief.
    pub calibration: OutlookCalibration,
}

/// How far an outlook's word can be trusted, in simulated first visits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct OutlookCalibration {
    /// The chance that outlooks with this word stated, in the mean.
    pub stated: f64,
    /// The share of them that was true where clubs are as the stated priors have them.
    pub of_the_prior: f64,
    /// The same where any neighbour in the bag is tried; null where too few said this word.
    pub of_any_neighbour: Option<f64>,
    /// The same where a club is picked with care for the place.
    pub of_a_careful_pick: f64,
}

impl OutlookAnswer {
    pub(super) fn of(outlook: &Outlook) -> Self {
        let Calibration { stated, of_the_prior, of_any_neighbour, of_a_careful_pick } =
            outlook.word().calibration();
        Self {
            chance: outlook.chance,
            words: outlook.word().word(),
            calibration: OutlookCalibration {
                stated,
                of_the_prior,
                of_any_neighbour,
                of_a_careful_pick,
            },
        }
    }
}

/// A candidate beside the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct Family {
    /// How many were judged at once.
    pub candidates: usize,
    /// Whether `replaces` holds with the chance of any false one among them under 5 %.
    pub holds: bool,
}

/// Shots still needed of each club, in visits of fifteen. In simulated trials of clubs 0 to 2 yd apart,
/// from 30 shots a club on, the plan together with the shots so far came to 1.03 to 1.18 times what was
/// truly needed, in the middle; every second one ended between `low` and `high`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct MoreShots {
    /// Of the incumbent.
    pub incumbent: u32,
    /// Of the candidate.
    pub candidate: u32,
    /// Of each club, if the clubs differ as the nearer end of what is believed now (its 20 or 80 %
    /// point) has it.
    pub low: u32,
    /// The same at the farther end; null where that is beyond 500, or would never be proven.
    pub high: Option<u32>,
}

/// Something that must be there before a verdict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Missing {
    /// The club that lacks it.
    pub club: ClubId,
    /// The measure whose like-for-like shots are too few.
    pub metric: &'static str,
    /// How many there are.
    pub have: u32,
    /// How many are needed.
    pub needed: u32,
}
