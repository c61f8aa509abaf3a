//! The service's answers, as far as this client reads them. Members it does not know are ignored:
//! the contract adds members and never renames one.

use serde::Deserialize;

/// The answer to one posted shot.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Receipt {
    /// What became of the shot.
    pub(crate) status: ShotStatus,
}

/// What became of a shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum ShotStatus {
    /// Kept, with a player and a club.
    Stored,
    /// Known already, with the same content.
    Duplicate,
    /// Kept, and waiting for a player or a club.
    Unassigned,
}

/// The answer to many posted shots.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Batch {
    /// Shots that were refused.
    pub(crate) refused: u64,
    /// Why, shot by shot.
    #[serde(default)]
    pub(crate) refusals: Vec<Refusal>,
}

/// One refused shot of a batch.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Refusal {
    /// Its id, where one could be read.
    pub(crate) id: Option<String>,
    /// The HTTP status it would have had alone.
    pub(crate) status: u16,
    /// All its faults.
    #[serde(default)]
    pub(crate) errors: Vec<Fault>,
}

/// An RFC 9457 problem.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Problem {
    /// What kind of problem, in words.
    pub(crate) title: Option<String>,
    /// What is wrong this time.
    pub(crate) detail: Option<String>,
    /// All faults.
    #[serde(default)]
    pub(crate) errors: Vec<Fault>,
}

/// One fault: where, and what.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(crate) struct Fault {
    /// RFC 6901 pointer; empty for a fault of the query.
    #[serde(default)]
    pub(crate) pointer: String,
    /// What is wrong there.
    pub(crate) detail: String,
}

/// The answer to an assignment.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(crate) struct Assigned {
    /// How many shots the filter matched.
    pub(crate) matched: u64,
}

/// Clubs judged against a brief, best first.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Replacements {
    /// The club whose slot is wanted.
    pub(crate) incumbent: String,
    /// The clubs that want it.
    pub(crate) candidates: Vec<Candidate>,
}

/// One club's verdict, with its reasons.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Candidate {
    /// The club.
    pub(crate) club: String,
    /// The verdict.
    pub(crate) verdict: Verdict,
    /// One entry per name and metric.
    #[serde(default)]
    pub(crate) criteria: Vec<Criterion>,
    /// An early chance; null while there are too few shots for one.
    pub(crate) outlook: Option<Outlook>,
    /// Shots still needed; null where no plan can be made.
    pub(crate) more_shots: Option<MoreShots>,
    /// What an insufficient verdict lacks.
    #[serde(default)]
    pub(crate) missing: Vec<Missing>,
    /// Why it is not proven yet; null where the verdict stands.
    pub(crate) until_proof: Option<UntilProof>,
    /// Shots of the two clubs that count for nothing.
    #[serde(default)]
    pub(crate) left_out: Vec<LeftOut>,
}

/// Why a verdict is not proven yet.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(crate) struct UntilProof {
    /// In a sentence or two.
    pub(crate) words: String,
}

/// Like-for-like shots that a club lacks in one metric.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(crate) struct Missing {
    /// The club.
    pub(crate) club: String,
    /// Shots that count.
    pub(crate) have: u64,
    /// Shots that it takes.
    pub(crate) needed: u64,
}

/// Shots that count for nothing, by why.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(crate) struct LeftOut {
    /// Why, such as `mishit` or `before_drift`.
    pub(crate) reason: String,
}

/// What the service says of a candidate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Verdict {
    /// Every criterion is proven.
    Replaces,
    /// A criterion is proven broken.
    DoesNotReplace,
    /// Neither yet.
    Undecided,
    /// Too few like-for-like shots.
    Insufficient,
}

/// A criterion of the brief on one metric. Figures are in the metric's unit, candidate minus
/// incumbent, and null while unknown.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Criterion {
    /// Its name, such as `carry_held`.
    pub(crate) name: String,
    /// The metric, with its unit, such as `carry_m`.
    pub(crate) metric: String,
    /// The estimate.
    pub(crate) estimate: Option<f64>,
    /// Lower end of the interval.
    pub(crate) low: Option<f64>,
    /// Upper end of the interval.
    pub(crate) high: Option<f64>,
    /// Lower bound that was asked.
    pub(crate) at_least: Option<f64>,
    /// Upper bound that was asked.
    pub(crate) at_most: Option<f64>,
    /// `met`, `open`, `broken`; of the spread `held`, `worse`, `not_judged`.
    pub(crate) state: String,
    /// Evidence gathered.
    pub(crate) evidence: Option<f64>,
    /// Evidence that proves.
    pub(crate) evidence_needed: Option<f64>,
}

/// The chance that the whole brief is true, from stated priors.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Outlook {
    /// The chance, 0 to 1.
    pub(crate) chance: Option<f64>,
    /// Its word.
    pub(crate) words: Option<String>,
}

/// Shots still needed, as a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub(crate) struct MoreShots {
    /// Of the incumbent.
    pub(crate) incumbent: u64,
    /// Of the candidate.
    pub(crate) candidate: u64,
    /// Of each, at the nearer end.
    pub(crate) low: u64,
    /// Of each, at the farther end; null where nobody can say.
    pub(crate) high: Option<u64>,
}

/// A club flown in given conditions.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct ClubFlight {
    /// The club.
    pub(crate) club: String,
    /// What it was flown in.
    pub(crate) conditions: ConditionsFlown,
    /// In the conditions asked for; null if nothing was flown.
    pub(crate) asked: Option<FlownThere>,
    /// In still reference air; null if nothing was flown.
    pub(crate) reference: Option<FlownThere>,
    /// What its drag and lift rest on.
    pub(crate) calibration: Calibration,
    /// What has to stand beside every computed flight.
    pub(crate) caution: String,
}

/// What clubs are flown in.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub(crate) struct ConditionsFlown {
    /// The air at the tee.
    pub(crate) air: AirFlown,
}

/// The air at the tee.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub(crate) struct AirFlown {
    /// Temperature, °C.
    pub(crate) temperature_c: f64,
    /// Station pressure, hPa.
    pub(crate) pressure_hpa: f64,
}

/// How a club's launches fly in one place.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub(crate) struct FlownThere {
    /// The flight of its typical launch; null where that does not land.
    pub(crate) typical: Option<TypicalFlight>,
}

/// The flight of a typical launch.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub(crate) struct TypicalFlight {
    /// Carry, m.
    pub(crate) carry_m: f64,
}

/// What drag and lift of a computed flight rest on.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Calibration {
    /// `default`, `own`.
    pub(crate) source: String,
    /// Shots that were looked at.
    pub(crate) shots: u64,
}

/// The ladder, as far as its inversions.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Ladder {
    /// Pairs whose stronger loft does not carry further.
    #[serde(default)]
    pub(crate) inversions: Vec<Inversion>,
}

/// Two clubs, with one loft and one carry for each, in the same order.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Inversion {
    /// The two clubs.
    pub(crate) clubs: [String; 2],
    /// Their lofts, degrees.
    pub(crate) loft_deg: [f64; 2],
    /// Their carries, m.
    pub(crate) carry_m: [f64; 2],
    /// Whether the interval of the difference excludes chance.
    pub(crate) proven: bool,
}
