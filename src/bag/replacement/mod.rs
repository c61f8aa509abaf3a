//! Which club can take another's place, how sure that is, and what would be given up.

mod advice;
mod answer;
mod computed;
mod criteria;
mod pairs;
mod plan;
mod until_proof;
mod verdict;
mod words;

use super::{
    brief::Brief,
    filter::{Basis, Evidence},
    fitting_loft::{Slot, fitting_loft},
    flown::Fits,
    given_up::{Two, given_up},
    history::Effect,
    ladder::Centres,
    ladder_after,
    like_for_like::{LikeForLike, PairOfBuilds, ShotsOfPair, Since},
    metric::Metric,
    mix::{Mix, mix_of_lies},
    next::{Next, next},
    pair::{PairQuestion, Standing},
    player::Player,
    rate::Rate,
    stretches::Stretches,
    survey::Survey,
};
use crate::{
    shot::{ClubId, Measure, Units},
    stats::{self, Estimate, Open, Outlook, OutlookWord, Quantity, Verdict},
};

pub use advice::{Advice, AdvisedBlock};
pub use answer::{
    Candidate, CriterionAnswer, CriterionState, Family, Figure, Missing, MoreShots, OutlookAnswer,
    OutlookCalibration, Replacements, VerdictWord, WithSetAsideAndMishits,
};
pub use computed::{ComputedBy, ComputedFloor, to_fit};
pub use pairs::pair_questions;
pub use plan::more_shots;
pub use until_proof::UntilProof;

use computed::Beside;
use criteria::criteria;
pub(super) use criteria::{EVIDENCE_CAP, least_evidence};
pub(super) use pairs::own_shots;
use plan::missing;
use until_proof::{Answered, until_proof};
pub(super) use verdict::word;
use verdict::{why, with_all};
use words::verdict_words;

/// What is asked of a club's place.
#[derive(Debug, Clone, PartialEq)]
pub struct ReplacementQuestion {
    /// The club whose place is wanted, by number.
    pub incumbent: u32,
    /// The clubs that are tried; of none, all neighbours.
    pub candidates: Vec<u32>,
    /// What they must do.
    pub brief: Brief,
    /// When shots count, where it is a trial: evidence is then looked at after every shot.
    pub stretches: Option<Stretches>,
    /// What is reported beside the verdicts.
    pub reported: Reported,
}

/// What is reported beside the verdicts, and how.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reported {
    /// The bag whose other clubs may cover what is lost, by number; all that are owned unless given.
    pub bag: Option<Vec<u32>>,
    /// A mix of lies to reckon with.
    pub mix: Option<Mix>,
    /// The units of its sentences.
    pub units: Units,
}

/// What is gathered of a pair: what a brief bounds, and what may be given up.
const METRICS: [Metric; 7] = [
    Metric::Measured(Measure::Carry),
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
    Metric::Measured(Measure::Descent),
    Metric::Measured(Measure::Apex),
    Metric::Measured(Measure::BallSpeed),
    Metric::Measured(Measure::Side),
];

/// What stands beside every set of verdicts.
const NOTE: &str = "Verdicts speak of means in the conditions hit, not of a single shot. Every \
                    difference is candidate minus incumbent, within sessions that hold both.";

/// A candidate with what ranks it, and what it waits for.
struct Judged {
    answer: Candidate,
    least_evidence: Option<f64>,
    /// `None` where no further shot helps.
    open: Option<advice::Waiting>,
}

/// Judges the candidates, given each pair's standing in the order of [`pair_questions`], and the models that
/// were fitted before.
#[must_use]
pub fn replacements(
    player: Player<'_>,
    question: &ReplacementQuestion,
    standings: &[(PairQuestion, Standing)],
    fits: &mut Fits,
) -> Option<Replacements> {
    let evidence = player.evidence(&question.brief.filter);
    let basis = player.main_basis(&evidence);
    let around = Around {
        question,
        survey: Survey::of(
            player,
            &Evidence { stretches: question.stretches.clone(), ..evidence.clone() },
        ),
        bag: player.bag(question.reported.bag.as_deref()),
        candidates: standings.len(),
        basis,
        centres: basis.map(|basis| Centres::of(player, &evidence, basis)).unwrap_or_default(),
    };
    let mut judged: Vec<Judged> = standings
        .iter()
        .map(|(pair, standing)| judge(player, &around, (pair, standing), fits))
        .collect::<Option<_>>()?;
    let least: Vec<Option<f64>> = judged.iter().map(|one| one.least_evidence).collect();
    if let Ok(family) = stats::holm(&least) {
        let count = judged.len();
        for (one, beside) in judged.iter_mut().zip(family) {
            let holds = beside.proven && one.answer.verdict == VerdictWord::Replaces;
            one.answer.family = Family { candidates: count, holds };
        }
    }
    // Ranked by verdict, then by outlook; of equals the order asked for stands.
    judged.sort_by(|a, b| {
        let chance = |one: &Judged| one.answer.outlook.map_or(-1.0, |outlook| outlook.chance);
        a.answer.verdict.cmp(&b.answer.verdict).then(chance(b).total_cmp(&chance(a)))
    });
    let open: Vec<advice::Waiting> = judged.iter().filter_map(|one| one.open).collect();
    let incumbent = player.newest_build(question.incumbent);
    Some(Replacements {
        player: player.id.clone(),
        incumbent: player.clubs.get(question.incumbent as usize)?.id.clone(),
        as_of: player.as_of,
        brief: question.brief.clone(),
        air: player.air(),
        reference_air: player.told(
            standings
                .iter()
                .flat_map(|(pair, standing)| own_shots(player, pair, standing.evidence_from)),
        ),
        advice: advice::advice(player, incumbent, (&open, &evidence)),
        candidates: judged.into_iter().map(|one| one.answer).collect(),
        note: NOTE,
    })
}

/// What all candidates are judged beside.
struct Around<'a> {
    question: &'a ReplacementQuestion,
    survey: Survey<'a>,
    /// The clubs of the bag.
    bag: Vec<u32>,
    /// How many are judged.
    candidates: usize,
    /// What the ladder rests on.
    basis: Option<Basis>,
    centres: Centres,
}

fn judge<'a>(
    player: Player<'a>,
    around: &Around<'a>,
    (pair, standing): (&PairQuestion, &Standing),
    fits: &mut Fits,
) -> Option<Judged> {
    let (brief, reported) = (&around.question.brief, &around.question.reported);
    let builds = PairOfBuilds {
        candidate: pair.candidate,
        incumbent: pair.incumbent,
        evidence: pair.evidence.clone(),
    };
    let since = Since { place: standing.evidence_from, frozen: standing.frozen };
    let gathered = LikeForLike::gather(player, &builds, &METRICS, since);
    let two = Two {
        player,
        survey: &around.survey,
        candidate: pair.candidate.club,
        incumbent: pair.incumbent.club,
        intent: pair.evidence.intent,
        lie: pair.evidence.lie,
        gathered: &gathered,
        bag: &around.bag,
        margin_m: brief.carry_margin_m,
        units: reported.units,
    };
    let beside = Beside::of(&two, (&builds, around.candidates), brief, fits);
    let verdict = beside.hold_back(pair.verdict(standing));
    let clauses = brief.clauses();
    let slot = brief
        .slot_low_m
        .zip(brief.slot_high_m)
        .map(|(low, high)| Slot { middle_m: f64::midpoint(low, high), basis: around.basis });
    let outlook = outlook(pair, standing);
    let criteria = beside.told(criteria(&clauses, pair, standing, &gathered));
    let more_shots = more_shots(pair, standing, verdict).filter(|_| pair.hindered.is_empty());
    let missing = missing(player, pair, standing, verdict);
    let doubtful = doubtful(standing);
    let answered =
        Answered { verdict, criteria: &criteria, more_shots, missing: &missing, doubtful };
    let answer = Candidate {
        club: player.clubs.get(pair.candidate.club as usize)?.id.clone(),
        verdict: word(verdict),
        why: why(verdict, pair, &criteria),
        words: verdict_words(&two, verdict, &criteria),
        until_proof: until_proof(player, pair, &answered),
        outlook: outlook.as_ref().map(OutlookAnswer::of),
        family: Family { candidates: 1, holds: false },
        more_shots,
        criteria,
        next: next_of(&two, verdict, &missing),
        missing,
        shots: gathered.shots(None),
        sessions: gathered.sessions(None),
        surface: pair.own_basis.map(|basis| basis.surface),
        ball: pair.own_basis.and_then(|basis| player.ball_id(basis.ball)).cloned(),
        doubtful,
        left_out: gathered.left_out.clone(),
        run_effect: Effect::of_pair(standing.frozen.as_ref()),
        given_up: given_up(&two),
        ladder_after: ladder_after::after(&two, &around.centres, around.basis),
        fitting_loft: fitting_loft(&two, slot),
        mix: reported.mix.as_ref().map(|mix| mix_of_lies(&two, mix)),
        must_carry: brief.must_carry_m.map(|far| must_carry(player, pair, far)),
        with_all: standing.with_all.as_ref().map(|all| with_all(pair, all)),
    };
    let insufficient = matches!(verdict, Verdict::Insufficient(_)) || !pair.hindered.is_empty();
    // What is proven without doubtful strikes too.
    let sure = standing.beyond_doubt.iter().flat_map(|sure| &sure.maxima.tests);
    let least = standing.maxima.tests.iter().chain(sure).map(|running| running.holds.log_e());
    let least_evidence = least
        .collect::<Option<Vec<f64>>>()
        .and_then(|all| all.into_iter().min_by(f64::total_cmp))
        .filter(|_| !insufficient);
    let open = waits(pair, verdict).then(|| advice::Waiting {
        build: pair.candidate,
        unlikely: outlook.is_some_and(|o| o.word() == OutlookWord::Unlikely),
        needed: needed(&answer),
        sessions: answer.sessions,
    });
    Some(Judged { answer, least_evidence, open })
}

/// The doubtful strikes of both clubs, if there are any.
fn doubtful(standing: &Standing) -> Option<ShotsOfPair> {
    let sure = standing.beyond_doubt.as_ref()?;
    let [candidate, incumbent] = sure.doubtful.map(|shots| shots as usize);
    Some(ShotsOfPair { incumbent, candidate })
}

/// Whether more shots may bring a verdict: not where one stands, and not where they prove nothing.
fn waits(pair: &PairQuestion, verdict: Verdict) -> bool {
    pair.hindered.is_empty()
        && match verdict {
            Verdict::Insufficient(_)
            | Verdict::Undecided(Open::Evidence { .. } | Open::Sessions | Open::Doubt) => true,
            Verdict::Undecided(Open::Spread | Open::Computed)
            | Verdict::Replaces
            | Verdict::DoesNotReplace { .. } => false,
        }
}

/// Shots of each club that are needed before the verdict changes, where that can be said.
fn needed(answer: &Candidate) -> Option<u32> {
    let lacks = answer.missing.iter().map(|one| one.needed.saturating_sub(one.have)).max();
    answer.more_shots.map(|more| more.candidate).or(lacks)
}

/// What to hit next, where that is what the verdict waits for.
fn next_of(two: &Two<'_>, verdict: Verdict, missing: &[Missing]) -> Option<Next> {
    if !matches!(verdict, Verdict::Insufficient(_)) {
        return None;
    }
    let shots = two.gathered.shots(None);
    let fewest = |club: &ClubId| {
        missing.iter().filter(|lacks| lacks.club == *club).map(|lacks| lacks.have as usize).min()
    };
    let [candidate, incumbent] = [two.candidate, two.incumbent].map(|club| fewest(two.id(club)));
    next(two, [candidate.unwrap_or(shots.candidate), incumbent.unwrap_or(shots.incumbent)])
}

/// The early chance; there is none where a part of the brief cannot be seen at all.
fn outlook(pair: &PairQuestion, standing: &Standing) -> Option<Outlook> {
    if !pair.hindered.is_empty() {
        return None;
    }
    let estimates: Vec<(Quantity, Estimate)> = pair
        .tests
        .iter()
        .filter_map(|test| Some((test.quantity, *standing.estimates.of(test.quantity)?)))
        .collect();
    Outlook::of(&pair.tests, &estimates).ok()
}

/// The share of all strikes, mishits too, that carry far enough.
fn must_carry(player: Player<'_>, pair: &PairQuestion, far: f64) -> Rate {
    let basis = player.basis(pair.candidate, &pair.evidence);
    let carries = player
        .marks
        .places()
        .iter()
        .filter(|place| place.build == pair.candidate)
        .map(|place| &player.rows[place.row as usize])
        .filter(|row| pair.evidence.admits(row) && basis == Some(Basis::of(row)))
        .filter_map(|row| row.measures.get(Measure::Carry));
    let (mut all, mut enough) = (0, 0);
    for carry in carries {
        all += 1;
        enough += usize::from(carry >= far);
    }
    Rate::of(enough, all)
}
