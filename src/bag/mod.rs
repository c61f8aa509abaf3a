//! The bag: what each club does, and which club can take another's place.
//!
//! In come a player's shots as [`Row`]s in sequence order, with the names behind their numbers.
//! [`Marks`] says which of them are mishits and where sessions begin, [`Drift`] which clubs have
//! moved, [`Likeness`] which shots fly like another club, [`Pair`] what evidence two clubs have
//! gathered at every look, [`LikeForLike`] all that was measured of the two; [`profile`], [`ladder`],
//! [`drifts`], [`comparison`], [`replacements`] and [`trial_standing`] put that into answers. All of
//! it is a pure function of the rows and can go on from where it stood when rows are appended.
//! [`Flown`] hands shots to the flight room. The room knows `flight`, `stats` and `shot`, and no clock,
//! store or network.

mod brief;
mod called;
mod club;
mod comparison;
mod conditions;
mod dispersion;
mod drift;
mod filter;
mod fitting_loft;
mod flown;
mod forgiveness;
mod given_up;
mod history;
mod ladder;
mod ladder_after;
mod ladder_words;
mod lie_group;
mod like_for_like;
mod likeness;
mod marks;
mod measure;
mod metric;
mod mix;
mod next;
mod pair;
mod player;
mod profile;
mod profile_words;
mod rate;
mod reflown;
mod replacement;
mod row;
#[cfg(test)]
mod rows;
mod spots;
mod stretches;
mod survey;
mod trial;
mod windows;
mod words;
mod workability;

pub use brief::{Brief, Clause, Criterion};
pub use called::ClubNames;
pub use club::NamedClub;
pub use comparison::{Comparable, Comparison, ComparisonQuestion, comparison};
pub use conditions::{
    ClubInWeather, ClubUnderConditions, ConditionsOfPair, ConditionsQuestion, Holding, LosesLess,
    ModelRange, PairInWeather, PairToFly, WeakFlight, WeakLaunch, WeakOrigin, WeakStrike,
    WeakStrikes, WindSide, pair_to_fly,
};
pub use dispersion::{Dispersion, SpreadRatio, USUAL_SHARE};
pub use drift::{
    Alarm, Baseline, CarryChange, ClubDrift, Direction, Drift, DriftBaseline, DriftQuestion,
    DriftScore, DriftState, Drifts, FalseAlarms, Scored, SuspectedDrift, VisitOfPlayer, Visited,
    WatchedClub, drifts,
};
pub use filter::{Basis, Evidence, Filter, SUMMARY_SHOTS};
pub use fitting_loft::FittingLoft;
pub use flown::{
    AirFlown, Airborne, Calibrated, CalibrationSource, CalibrationTold, ClubFlight, ClubFlown,
    ClubToFly, ClubToSee, ConditionsFlown, Fits, Fitted, FlightSpread, FlightsSeen, Flown,
    FlownThere, LEAST_FLIGHTS, Launches, OtherModel, PressureOrigin, Quantiles, SolvedSpin, ToFit,
    TypicalFlight, TypicalLaunch, WindFlown, club_flown, club_to_fly, pair_to_see, sample,
};
pub use forgiveness::{Forgiveness, MishitCost, MishitKinds};
pub use given_up::{ClubForgiveness, ClubWorkability, CoveredBy, FromLie, GivenUp, LieState, Loss};
pub use history::{
    Effect, EffectOrigin, Frozen, WITH_FLOOR, day_effect, frozen, frozen_at_opening,
};
pub use ladder::{
    CLUBS_ALLOWED, Gap, Inversion, Ladder, LadderQuestion, Limit, Overlap, Rung, WIDE_GAP_M, ladder,
};
pub use ladder_after::{Clash, LadderAfter};
pub use lie_group::LieGroup;
pub use like_for_like::{LeftOut, LikeForLike, PairOfBuilds, Reason, ShotsOfPair, Since};
pub use likeness::Likeness;
pub use marks::{Build, Marks, OfEarlier, Place, build_of, strike};
pub use measure::{METRES_PER_YARD, Tested, evidence, statistics_measure};
pub use metric::{ByMetric, Interval, Metric, MetricSummary, schemas_by_metric};
pub use mix::{MIX_OFF_AT_MOST_PCT, Mix, MixFigures, MixOfLies, MixedLie};
pub use next::{Next, NextClub};
pub use pair::{
    BeyondDoubt, Estimates, Looks, Maxima, Pair, PairQuestion, Standing, WithAll, difference,
    own_mean,
};
pub use player::{NamedBall, Player};
pub use profile::{Part, Profile, ProfileQuestion, profile};
pub use rate::{ClubRate, Rate};
pub use reflown::{
    AIR_DIFFERS, CarryAir, InReferenceAir, NotReflown, NotTaken, ReferenceAir, Reflown, ToRefly,
    air_of_slot,
};
pub use replacement::{
    Advice, AdvisedBlock, Candidate, ComputedBy, ComputedFloor, CriterionAnswer, CriterionState,
    Family, Figure, Missing, MoreShots, OutlookAnswer, OutlookCalibration, ReplacementQuestion,
    Replacements, Reported, UntilProof, VerdictWord, WithSetAsideAndMishits, more_shots,
    pair_questions, replacements, to_fit,
};
pub use row::{NONE, Row, Stratum, Surface};
pub use spots::{Spot, spots_of_club, spots_of_pair};
pub use stretches::Stretches;
pub use trial::{
    Block, DEPARTURES_TOLD, Departure, DepartureCount, DepartureKind, Departures, HistoryCriterion,
    HistoryItem, HistoryPart, HistoryStanding, HittingOrder, Layout, ListedTrial, Order,
    STATE_CHANGES_MAX, StateChange, TRIAL_SHOTS_MAX, TrialHistory, TrialRecord, TrialStanding,
    Turn, trial_history, trial_question, trial_standing,
};
pub use windows::{Calendar, Period, Window};
pub use workability::{Meant, Workability};
