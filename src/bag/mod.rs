//! The bag: what each club does, and which club can take another's place.
//!
//! In come a player's shots as [`Row`]s in sequence order, with the names behind their numbers.
//! [`Marks`] says which of them are mishits and where sessions begin, [`Drift`] which clubs have
//! moved, [`Likeness`] which shots fly like another club, [`Pair`] what evidence two clubs have gathered at every look; [`profile`], [`ladder`],
//! [`comparison`] and [`replacements`] put that into answers. All of it is a pure function of the
//! rows and can go on from where it stood when rows are appended. [`Flown`] hands shots to the flight
//! room. The room knows `flight`, `stats` and `shot`, and no clock, store or network.

mod brief;
mod club;
mod comparison;
mod drift;
mod filter;
mod flown;
mod given_up;
mod history;
mod ladder;
mod likeness;
mod marks;
mod measure;
mod metric;
mod pair;
mod player;
mod profile;
mod replacement;
mod row;

pub use brief::{Brief, Clause, Criterion};
pub use club::NamedClub;
pub use comparison::{
    Comparison, LeftOut, LikeForLike, PairOfBuilds, Reason, ShotsOfPair, Since, comparison,
};
pub use drift::{ClubDrift, Drift};
pub use filter::{Basis, Evidence, Filter, SUMMARY_SHOTS};
pub use flown::{
    AirFlown, CalibrationSource, CalibrationTold, ClubFlight, ClubFlown, ClubToFly,
    ConditionsFlown, FlightSpread, Flown, FlownThere, LEAST_FLIGHTS, Launches, OtherModel,
    PressureOrigin, Quantiles, TypicalFlight, TypicalLaunch, WindFlown, club_flown, club_to_fly,
    sample,
};
pub use given_up::{ClubRate, GivenUp};
pub use history::{Effect, EffectOrigin, Frozen, WITH_FLOOR, day_effect, frozen};
pub use ladder::{
    CLUBS_ALLOWED, Gap, Inversion, Ladder, LadderAfter, LadderQuestion, Limit, Overlap, Rung,
    WIDE_GAP_M, ladder,
};
pub use likeness::Likeness;
pub use marks::{Build, Marks, Place, build_of, strike};
pub use measure::{METRES_PER_YARD, Tested, evidence, statistics_measure};
pub use metric::{ByMetric, Interval, Metric, MetricSummary, schemas_by_metric};
pub use pair::{Estimates, Looks, Maxima, Pair, PairQuestion, Standing, difference, own_mean};
pub use player::{NamedBall, Player};
pub use profile::{Part, Profile, Rate, profile};
pub use replacement::{
    Candidate, CriterionAnswer, CriterionState, Family, Figure, Missing, MoreShots, OutlookAnswer,
    ReplacementQuestion, Replacements, VerdictWord, more_shots, pair_questions, replacements,
};
pub use row::{NONE, Row, Stratum, Surface};
