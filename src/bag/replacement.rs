//! Which club can take another's place, how sure that is, and what would be given up.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    brief::{Brief, Clause, Criterion},
    comparison::{LikeForLike, PairOfBuilds, RunEffectUsed},
    filter::{Basis, Evidence},
    given_up::{GivenUp, LOSSES, given_up},
    ladder::{self, LadderAfter, carry_centre},
    marks::Build,
    measure::Tested,
    metric::{Interval, Metric},
    pair::{Looks, PairQuestion, Standing, run_effect},
    player::Player,
    profile::Rate,
};
use crate::{
    shot::{ClubId, Measure, PlayerId, Sequence},
    stats::{
        self, Estimate, Forecast, Lacking, MIN_SHOTS, Of, Open, Outlook, Quantity, RunEffect,
        SHOTS_PER_SESSION, Spread, Test, Verdict,
    },
};

/// Evidence is capped here in answers: beyond it the number says nothing more.
const EVIDENCE_CAP: f64 = 1e9;
/// Clubs count as neighbours up to this many carry margins from the incumbent.
const NEIGHBOUR_MARGINS: f64 = 4.0;

/// What is asked of a club's place.
#[derive(Debug, Clone, PartialEq)]
pub struct ReplacementQuestion {
    /// The club whose place is wanted, by number.
    pub incumbent: u32,
    /// The clubs that are tried; of none, all neighbours.
    pub candidates: Vec<u32>,
    /// What they must do.
    pub brief: Brief,
}

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
    /// The clubs, ranked.
    pub candidates: Vec<Candidate>,
    /// What a verdict speaks of.
    pub note: &'static str,
}

/// What stands beside every set of verdicts.
const NOTE: &str = "Verdicts speak of means in the conditions hit, not of a single shot. Every \
                    difference is candidate minus incumbent, within sessions that hold both.";

/// One club judged.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Candidate {
    /// The club.
    pub club: ClubId,
    /// The verdict.
    pub verdict: VerdictWord,
    /// Why it is not `replaces`; null where it is.
    pub why: Option<&'static str>,
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
    /// Shots that count.
    pub shots: super::comparison::ShotsOfPair,
    /// Visits that hold both clubs, like for like.
    pub sessions: usize,
    /// Shots of the two clubs that were left out.
    pub left_out: Vec<super::comparison::LeftOut>,
    /// The club's own day that the evidence allows for.
    pub run_effect: RunEffectUsed,
    /// What the player would give up.
    pub given_up: Vec<GivenUp>,
    /// The ladder around the candidate, with the incumbent gone.
    pub ladder_after: LadderAfter,
    /// The share of all strikes, mishits included, that carry the distance asked for; in no
    /// verdict. Null unless asked.
    pub must_carry: Option<Rate>,
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
    /// The figure must be at least this.
    pub at_least: Option<f64>,
    /// The figure must be at most this.
    pub at_most: Option<f64>,
    /// How it stands.
    pub state: CriterionState,
    /// The least running maximum of its tests' evidence; null before the first look.
    pub evidence: Option<f64>,
    /// Evidence that proves.
    pub evidence_needed: f64,
    /// Why it cannot be proven as things are; null where it can.
    pub hindered_by: Option<&'static str>,
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
}

/// The outlook in an answer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct OutlookAnswer {
    /// The chance, from stated priors.
    pub chance: f64,
    /// Its word.
    pub words: &'static str,
}

/// A candidate beside the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct Family {
    /// How many were judged at once.
    pub candidates: usize,
    /// Whether `replaces` holds with the chance of any false one among them under 5 %.
    pub holds: bool,
}

/// Shots still needed of each club.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct MoreShots {
    /// Of the incumbent.
    pub incumbent: u32,
    /// Of the candidate.
    pub candidate: u32,
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

/// A candidate with what ranks it.
struct Judged {
    answer: Candidate,
    least_evidence: Option<f64>,
}

/// The pairs that a question needs replayed, candidate by candidate.
#[must_use]
pub fn pair_questions(player: Player<'_>, question: &ReplacementQuestion) -> Vec<PairQuestion> {
    let evidence = player.evidence(&question.brief.filter);
    let tests = tests_of(&question.brief.clauses());
    candidates(player, question, &evidence)
        .into_iter()
        .map(|club| {
            let candidate = player.newest_build(club);
            PairQuestion {
                candidate,
                incumbent: player.newest_build(question.incumbent),
                tests: tests.clone(),
                evidence: evidence.clone(),
                own_basis: player.basis(candidate, &evidence),
                looks: Looks::SessionEnds,
            }
        })
        .collect()
}

/// Judges the candidates, given each pair's standing in the order of [`pair_questions`].
#[must_use]
pub fn replacements(
    player: Player<'_>,
    question: &ReplacementQuestion,
    standings: &[(PairQuestion, Standing)],
) -> Option<Replacements> {
    let centres = ladder::centres(player, &player.evidence(&question.brief.filter));
    let mut judged: Vec<Judged> = standings
        .iter()
        .map(|standing| judge(player, question, &centres, standing))
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
    Some(Replacements {
        player: player.id.clone(),
        incumbent: player.clubs.get(question.incumbent as usize)?.id.clone(),
        as_of: player.as_of,
        brief: question.brief.clone(),
        candidates: judged.into_iter().map(|one| one.answer).collect(),
        note: NOTE,
    })
}

/// The named clubs, else every neighbour: same surface and ball, a carry centre within four
/// margins, no putter.
fn candidates(player: Player<'_>, question: &ReplacementQuestion, evidence: &Evidence) -> Vec<u32> {
    if !question.candidates.is_empty() {
        return question.candidates.clone();
    }
    let incumbent = player.newest_build(question.incumbent);
    let Some(basis) = player.basis(incumbent, evidence) else { return Vec::new() };
    let centre = |build: Build| carry_centre(player, build, evidence, basis);
    let Some(wanted) = centre(incumbent) else { return Vec::new() };
    let reach = NEIGHBOUR_MARGINS * question.brief.carry_margin_m;
    (0_u32..)
        .zip(player.clubs)
        .filter(|(number, club)| *number != question.incumbent && !club.is_putter())
        .map(|(number, _)| number)
        .filter(|number| {
            centre(player.newest_build(*number)).is_some_and(|own| (own - wanted).abs() <= reach)
        })
        .collect()
}

fn tests_of(clauses: &[Clause]) -> Vec<Test> {
    clauses.iter().flat_map(|clause| clause.tests.iter().copied()).collect()
}

fn judge(
    player: Player<'_>,
    question: &ReplacementQuestion,
    centres: &[(u32, f64)],
    (pair, standing): &(PairQuestion, Standing),
) -> Option<Judged> {
    let builds = PairOfBuilds {
        candidate: pair.candidate,
        incumbent: pair.incumbent,
        evidence: pair.evidence.clone(),
        metrics: LOSSES.iter().map(|(measure, _)| Metric::Measured(*measure)).collect(),
    };
    let gathered = LikeForLike::gather(player, &builds, standing.evidence_from, standing.frozen);
    let hindered = hindered(player, pair, standing);
    let verdict = verdict(pair, standing, &hindered);
    let clauses = question.brief.clauses();
    let outlook = outlook(pair, standing);
    let answer = Candidate {
        club: player.clubs.get(pair.candidate.club as usize)?.id.clone(),
        verdict: word(verdict),
        why: why(verdict, &hindered),
        criteria: criteria(&clauses, standing, &hindered),
        outlook: outlook.map(|o| OutlookAnswer { chance: o.chance, words: o.word().word() }),
        family: Family { candidates: 1, holds: false },
        more_shots: more_shots(pair, standing, verdict),
        missing: missing(player, pair, standing, verdict),
        shots: gathered.shots(),
        sessions: gathered.sessions(),
        left_out: gathered.left_out.clone(),
        run_effect: RunEffectUsed::of(standing.frozen.as_ref()),
        given_up: given_up(player, pair, &gathered),
        ladder_after: ladder::after(player, centres, pair.incumbent.club, pair.candidate.club),
        must_carry: question.brief.must_carry_m.map(|far| must_carry(player, pair, far)),
    };
    let insufficient = matches!(verdict, Verdict::Insufficient(_)) || !hindered.is_empty();
    let least = standing.maxima.tests.iter().map(|running| running.holds.log_e());
    let least_evidence = least
        .collect::<Option<Vec<f64>>>()
        .and_then(|all| all.into_iter().min_by(f64::total_cmp))
        .filter(|_| !insufficient);
    Some(Judged { answer, least_evidence })
}

/// Quantities that have no evidence because the spin of a club was looked up and not measured.
fn hindered(player: Player<'_>, pair: &PairQuestion, standing: &Standing) -> Vec<Quantity> {
    let spin = Tested::Spin;
    let quantity = super::pair::difference(spin);
    let looked_up = [pair.candidate, pair.incumbent].into_iter().any(|build| {
        let mut rows = player.counted(build, &pair.evidence).peekable();
        rows.peek().is_some()
            && rows.all(|row| {
                spin.evidence(row).is_none() && row.measures.get(spin.measure()).is_some()
            })
    });
    let asked = pair.tests.iter().any(|test| test.quantity == quantity);
    if looked_up && asked && standing.estimates.of(quantity).is_none() {
        vec![quantity]
    } else {
        Vec::new()
    }
}

/// The verdict on all tests that can have evidence; one that cannot leaves the whole undecided at
/// best.
fn verdict(pair: &PairQuestion, standing: &Standing, hindered: &[Quantity]) -> Verdict {
    let spread = Spread::of(standing.maxima.spread);
    let tests: Vec<_> = pair
        .tests
        .iter()
        .zip(&standing.maxima.tests)
        .filter(|(test, _)| !hindered.contains(&test.quantity))
        .map(|(_, running)| running.evidence())
        .collect();
    let basis = if hindered.is_empty() {
        standing.basis
    } else {
        super::pair::basis_without(&standing.estimates, &pair.tests, hindered)
    };
    match Verdict::of(&tests, basis, &[spread]) {
        Verdict::Replaces if !hindered.is_empty() => {
            Verdict::Undecided(Open::Evidence { weakest: 0 })
        }
        verdict => verdict,
    }
}

fn word(verdict: Verdict) -> VerdictWord {
    match verdict {
        Verdict::Replaces => VerdictWord::Replaces,
        Verdict::Undecided(_) => VerdictWord::Undecided,
        Verdict::Insufficient(_) => VerdictWord::Insufficient,
        Verdict::DoesNotReplace { .. } => VerdictWord::DoesNotReplace,
    }
}

fn why(verdict: Verdict, hindered: &[Quantity]) -> Option<&'static str> {
    match verdict {
        Verdict::Undecided(Open::Evidence { .. }) if !hindered.is_empty() => {
            Some("spin is not measured")
        }
        other => other.why(),
    }
}

fn criteria(
    clauses: &[Clause],
    standing: &Standing,
    hindered: &[Quantity],
) -> Vec<CriterionAnswer> {
    let all: usize = clauses.iter().map(|clause| clause.tests.len()).sum();
    let mut running = standing.maxima.tests.iter();
    let mut answers = Vec::with_capacity(clauses.len() + 1);
    for clause in clauses {
        let own: Vec<_> = running.by_ref().take(clause.tests.len()).copied().collect();
        answers.extend(criterion(clause, &own, standing, (all, hindered)));
    }
    answers.push(spread_held(standing));
    answers
}

fn criterion(
    clause: &Clause,
    running: &[stats::RunningEvidence],
    standing: &Standing,
    (tests, hindered): (usize, &[Quantity]),
) -> Option<CriterionAnswer> {
    let quantity = clause.tests.first()?.quantity;
    let tested = Tested::ALL.into_iter().find(|t| t.in_statistics() == quantity.measure)?;
    let metric = Metric::Measured(tested.measure());
    let unit = super::measure::unit(tested.measure());
    let bound =
        |side| clause.tests.iter().find(|test| test.side == side).map(|test| test.bound * unit);
    let holds = running.iter().map(|r| r.holds.log_e()).collect::<Option<Vec<f64>>>();
    let least = holds.and_then(|all| all.into_iter().min_by(f64::total_cmp));
    let most_against = running.iter().filter_map(|r| r.broken.log_e()).max_by(f64::total_cmp);
    Some(CriterionAnswer {
        name: clause.criterion,
        metric: metric.name(),
        interval: standing
            .estimates
            .of(quantity)
            .and_then(|estimate| metric.interval(estimate))
            .unwrap_or(Interval::UNKNOWN),
        of: if quantity.of == Of::OwnMean { Figure::OwnMean } else { Figure::Difference },
        at_least: bound(stats::Side::Above),
        at_most: bound(stats::Side::Below),
        state: state(least, most_against, tests),
        evidence: least.map(|log_e| log_e.exp().min(EVIDENCE_CAP)),
        evidence_needed: 1.0 / stats::ALPHA,
        hindered_by: hindered
            .contains(&quantity)
            .then_some("the spin comes from a club setting, which proves nothing"),
    })
}

fn state(least: Option<f64>, most_against: Option<f64>, tests: usize) -> CriterionState {
    // A brief has a handful of tests.
    let disproof = stats::proof() + f64::from(u32::try_from(tests).unwrap_or(u32::MAX)).ln();
    if most_against.is_some_and(|log_e| log_e >= disproof) {
        CriterionState::Broken
    } else if least.is_some_and(|log_e| log_e >= stats::proof()) {
        CriterionState::Met
    } else {
        CriterionState::Open
    }
}

fn spread_held(standing: &Standing) -> CriterionAnswer {
    let log_e = standing.maxima.spread;
    CriterionAnswer {
        name: Criterion::SpreadHeld,
        metric: Measure::Carry.si_name(),
        interval: Interval::UNKNOWN,
        of: Figure::SpreadRatio,
        at_least: None,
        at_most: Some(stats::SPREAD_RATIO),
        state: match Spread::of(log_e) {
            Spread::NotJudged => CriterionState::NotJudged,
            Spread::Held => CriterionState::Held,
            Spread::Worse => CriterionState::Worse,
        },
        evidence: log_e.map(|log_e| log_e.exp().min(EVIDENCE_CAP)),
        evidence_needed: 1.0 / stats::ALPHA,
        hindered_by: None,
    }
}

fn outlook(pair: &PairQuestion, standing: &Standing) -> Option<Outlook> {
    let estimates: Vec<(Quantity, Estimate)> = pair
        .tests
        .iter()
        .filter_map(|test| Some((test.quantity, *standing.estimates.of(test.quantity)?)))
        .collect();
    Outlook::of(&pair.tests, &estimates).ok()
}

/// The largest forecast over the tests; both clubs are hit in turn, so both need as many.
#[must_use]
pub fn more_shots(pair: &PairQuestion, standing: &Standing, verdict: Verdict) -> Option<MoreShots> {
    let shots = match verdict {
        Verdict::Replaces => 0,
        Verdict::Undecided(Open::Evidence { .. } | Open::Sessions) => {
            let needs = pair.tests.iter().zip(&standing.maxima.tests).map(|(test, running)| {
                let estimate = standing.estimates.of(test.quantity)?;
                let history = standing.frozen.map(|frozen| match test.quantity.of {
                    Of::Difference => frozen.run,
                    Of::OwnMean => frozen.day,
                });
                let run_ratio = match run_effect(test.quantity, history) {
                    RunEffect::Sd(sd) => sd / estimate.s,
                    RunEffect::Ratio(ratio) => ratio,
                    RunEffect::None => 0.0,
                };
                let forecast = Forecast {
                    prior: test.quantity.forecast_prior(),
                    run_ratio,
                    shots_per_session: SHOTS_PER_SESSION,
                };
                let so_far = running.holds.log_e().unwrap_or(f64::NEG_INFINITY);
                forecast.further_shots(estimate, test, so_far)
            });
            needs.collect::<Option<Vec<u32>>>()?.into_iter().max()?.max(1)
        }
        Verdict::Undecided(Open::Spread)
        | Verdict::Insufficient(_)
        | Verdict::DoesNotReplace { .. } => return None,
    };
    Some(MoreShots { incumbent: shots, candidate: shots })
}

fn missing(
    player: Player<'_>,
    pair: &PairQuestion,
    standing: &Standing,
    verdict: Verdict,
) -> Vec<Missing> {
    if !matches!(verdict, Verdict::Insufficient(Lacking::Estimate | Lacking::Shots)) {
        return Vec::new();
    }
    let mut missing: Vec<Missing> = Vec::new();
    for test in &pair.tests {
        let Some(tested) =
            Tested::ALL.into_iter().find(|t| t.in_statistics() == test.quantity.measure)
        else {
            continue;
        };
        let have = standing.shots[tested.index()];
        let sides = [(pair.candidate, have[0]), (pair.incumbent, have[1])];
        for (build, have) in sides {
            let Some(club) = player.clubs.get(build.club as usize) else { continue };
            let known =
                |one: &Missing| one.club == club.id && one.metric == tested.measure().si_name();
            if have < MIN_SHOTS && !missing.iter().any(known) {
                missing.push(Missing {
                    club: club.id.clone(),
                    metric: tested.measure().si_name(),
                    have,
                    needed: MIN_SHOTS,
                });
            }
        }
    }
    missing
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
