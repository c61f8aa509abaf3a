//! Why a verdict is not a proof yet, and what would make it one.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    answer::{CriterionAnswer, CriterionState, Figure, Missing, MoreShots},
    computed::{held_back, shortfall},
};
use crate::{
    bag::{Criterion, PairQuestion, Player, ShotsOfPair, words::listed},
    shot::{Measure, spoken},
    stats::{self, Open, Verdict},
};

/// What stands between a candidate and a proof.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct UntilProof {
    /// The criterion that decides: the open one with the least evidence. Null where it is not
    /// evidence that lacks.
    pub criterion: Option<Criterion>,
    /// Its measure.
    pub metric: Option<&'static str>,
    /// Its evidence so far; null before the first look.
    pub evidence: Option<f64>,
    /// Evidence that proves.
    pub evidence_needed: f64,
    /// The same in sentences.
    pub words: String,
}

/// What a candidate's answer says of itself already.
pub(super) struct Answered<'a> {
    pub(super) verdict: Verdict,
    pub(super) criteria: &'a [CriterionAnswer],
    pub(super) more_shots: Option<MoreShots>,
    pub(super) missing: &'a [Missing],
    pub(super) doubtful: Option<ShotsOfPair>,
}

/// Why a candidate is neither proven nor disproven; `None` where it is.
pub(super) fn until_proof(
    player: Player<'_>,
    pair: &PairQuestion,
    answered: &Answered<'_>,
) -> Option<UntilProof> {
    let evidence_needed = 1.0 / stats::ALPHA;
    let without_criterion = |words: String| UntilProof {
        criterion: None,
        metric: None,
        evidence: None,
        evidence_needed,
        words,
    };
    let words = match answered.verdict {
        Verdict::Replaces | Verdict::DoesNotReplace { .. } => return None,
        _ if !pair.hindered.is_empty() => "The spin of a club was looked up by its setting, which \
             proves nothing: this takes shots whose spin was measured."
            .to_owned(),
        Verdict::Insufficient(_) => too_few(player, answered.missing),
        Verdict::Undecided(Open::Sessions) => {
            "All is proven, but on one visit only, which cannot tell a club from its day: it takes \
             a second."
                .to_owned()
        }
        Verdict::Undecided(Open::Spread) => "All else is proven, but so is that its carry \
             scatters more, which no further shot undoes."
            .to_owned(),
        Verdict::Undecided(Open::Doubt) => in_doubt(answered.doubtful, answered.more_shots),
        Verdict::Undecided(Open::Computed) => {
            let held: Vec<String> = held_back(answered.criteria).map(shortfall).collect();
            format!("All that is measured is proven, but {}.", listed(&held))
        }
        Verdict::Undecided(Open::Evidence { .. }) => {
            let decides = deciding(answered.criteria)?;
            return Some(UntilProof {
                criterion: Some(decides.name),
                metric: Some(decides.metric),
                evidence: decides.evidence,
                evidence_needed,
                words: undecided(decides, answered.more_shots),
            });
        }
    };
    Some(without_criterion(words))
}

/// The open criterion with the least evidence, the first of equals.
fn deciding(criteria: &[CriterionAnswer]) -> Option<&CriterionAnswer> {
    let open = criteria.iter().filter(|one| one.state == CriterionState::Open);
    open.min_by(|a, b| {
        let evidence = |one: &CriterionAnswer| one.evidence.unwrap_or(0.0);
        evidence(a).total_cmp(&evidence(b))
    })
}

fn undecided(decides: &CriterionAnswer, more_shots: Option<MoreShots>) -> String {
    let so_far = spoken::number(decides.evidence.unwrap_or(0.0));
    let proof = spoken::number(decides.evidence_needed);
    format!(
        "No proof yet: evidence that {} stands at {so_far} of the {proof} that it takes. {}",
        claim(decides),
        still(more_shots)
    )
}

/// How many shots are still needed, as a sentence.
fn still(more_shots: Option<MoreShots>) -> String {
    match more_shots {
        Some(MoreShots { candidate, low, high, .. }) => {
            let range = match high {
                Some(high) if high == low => String::new(),
                Some(high) => format!(", as likely as not {low} to {high},"),
                None => format!(", perhaps {low}, perhaps far more,"),
            };
            format!(
                "About {candidate} more shots of each club{range} would bring it there, if they go \
                 on like this."
            )
        }
        None => "As things look, 500 more shots of each club would not bring it there.".to_owned(),
    }
}

/// Why doubtful strikes keep a proof from being one.
fn in_doubt(doubtful: Option<ShotsOfPair>, more_shots: Option<MoreShots>) -> String {
    let strikes = match doubtful.map_or(0, |shots| shots.incumbent + shots.candidate) {
        1 => "an early strike that looks like a mishit by now".to_owned(),
        more => format!("{more} early strikes that look like mishits by now"),
    };
    let still = more_shots.map_or_else(String::new, |more| format!(" {}", still(Some(more))));
    format!("What is proven is not so without {strikes}.{still}")
}

/// What a criterion claims, behind "that".
fn claim(of: &CriterionAnswer) -> &'static str {
    match of.name {
        Criterion::CarryHeld if of.of == Figure::OwnMean => "its carry lies in the slot",
        Criterion::CarryHeld => "the carries are even",
        Criterion::LaunchLower => "it launches lower",
        Criterion::SpinLower => "it spins less",
        Criterion::NotTooLow if of.metric == Measure::SpinRate.si_name() => {
            "it does not spin too little"
        }
        Criterion::NotTooLow if of.metric == Measure::Descent.si_name() => {
            "it comes down steeply enough"
        }
        Criterion::NotTooLow => "it does not launch too low",
        Criterion::SpreadHeld => "it does not scatter more",
        Criterion::CarryKeptInWind => "it keeps more of its carry into the wind",
        Criterion::AboveComputedFloor => "it launches high enough for a weak strike",
    }
}

/// Which clubs lack like-for-like shots, each by the measure that has fewest.
fn too_few(player: Player<'_>, missing: &[Missing]) -> String {
    let mut clubs: Vec<&Missing> = Vec::new();
    for one in missing {
        match clubs.iter_mut().find(|known| known.club == one.club) {
            Some(known) if one.have < known.have => *known = one,
            Some(_) => {}
            None => clubs.push(one),
        }
    }
    let name = |missing: &Missing| {
        let of = player.clubs.iter().find(|club| club.id == missing.club);
        of.map_or_else(|| missing.club.to_string(), |club| club.document.name.clone())
    };
    let told: Vec<String> = clubs
        .into_iter()
        .map(|one| format!("{} has {} of {}", name(one), one.have, one.needed))
        .collect();
    if told.is_empty() {
        return "The like-for-like shots do not tell yet how much each club scatters: it takes \
                more in the same visit."
            .to_owned();
    }
    format!("Too few like-for-like shots to say anything: {}.", told.join(", "))
}
