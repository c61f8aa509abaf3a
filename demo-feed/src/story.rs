//! The service's answers in plain sentences. Every figure and every outcome comes from an answer or
//! from the shots themselves; what the scenario was made for is only compared, never said.

use crate::answers::{
    Calibration, Candidate, ClubFlight, Criterion, FlownThere, Inversion, Ladder, Missing,
    Replacements, Verdict,
};
use crate::flights::Season;
use crate::scenario::{HEADWIND_MPH, MUST_CARRY_M, name_of};

/// Where the estimates end: said once, after the verdicts.
pub(crate) const CAUTION: &str = "These are estimates of means, in the conditions that were hit. They do \
not say where the next ball lands: never take a safe distance from them.";
/// How many inversions are told before the rest is only counted.
const INVERSIONS_TOLD: usize = 4;

/// One line a candidate, in the order of the answer: the verdict as it stands.
#[must_use]
pub(crate) fn running(answer: &Replacements) -> Vec<String> {
    let incumbent = name_of(&answer.incumbent);
    answer
        .candidates
        .iter()
        .map(|candidate| {
            format!("{:<12} {}", name_of(&candidate.club), standing(candidate, &incumbent))
        })
        .collect()
}

fn standing(candidate: &Candidate, incumbent: &str) -> String {
    match candidate.verdict {
        Verdict::Replaces => format!("replaces the {incumbent}"),
        Verdict::DoesNotReplace => {
            let mut broken: Vec<_> = broken(candidate).map(title).collect();
            broken.dedup();
            format!("does not replace the {incumbent} (broken: {})", broken.join(", "))
        }
        Verdict::Undecided => {
            format!("undecided{}{}", outlook(candidate), more_shots(candidate, incumbent))
        }
        Verdict::Insufficient => too_few(candidate),
    }
}

/// What an insufficient verdict waits for. A chance has no place beside it: nothing can be said yet.
fn too_few(candidate: &Candidate) -> String {
    let mut fewest: Vec<&Missing> = Vec::new();
    for one in &candidate.missing {
        match fewest.iter_mut().find(|known| known.club == one.club) {
            Some(known) if one.have < known.have => *known = one,
            Some(_) => {}
            None => fewest.push(one),
        }
    }
    let has =
        |one: &&Missing| format!("the {} has {} of {}", name_of(&one.club), one.have, one.needed);
    let lacking: Vec<_> = fewest.iter().map(has).collect();
    let drifted = candidate.left_out.iter().any(|shots| shots.reason == "before_drift");
    let since = if drifted { "since a club may have changed" } else { "yet" };
    match lacking.as_slice() {
        [] => format!("too few like-for-like shots {since}"),
        some => format!("too few like-for-like shots {since}: {}", some.join(", ")),
    }
}

fn outlook(candidate: &Candidate) -> String {
    let Some(outlook) = &candidate.outlook else { return String::new() };
    let words = outlook.words.as_deref().unwrap_or("no word for it");
    match outlook.chance {
        Some(chance) if chance < 0.01 => format!(", outlook: {words} (under 1 %)"),
        Some(chance) => format!(", outlook: {words} ({:.0} %)", chance * 100.0),
        None => String::new(),
    }
}

fn more_shots(candidate: &Candidate, incumbent: &str) -> String {
    let Some(more) = candidate.more_shots else { return String::new() };
    let shots = if more.candidate == more.incumbent {
        format!("{} more shots of each club", more.candidate)
    } else {
        format!("{} more shots of it and {} of the {incumbent}", more.candidate, more.incumbent)
    };
    match more.high {
        Some(high) if high == more.low => format!(", about {shots}"),
        Some(high) => format!(", about {shots} (as likely as not {} to {high})", more.low),
        None => format!(", about {shots} (perhaps {}, perhaps far more)", more.low),
    }
}

/// The last word on one candidate: the verdict, and the criterion that decided it with its numbers.
#[must_use]
pub(crate) fn closing(candidate: &Candidate, incumbent: &str) -> Vec<String> {
    let club = name_of(&candidate.club);
    let incumbent = name_of(incumbent);
    match candidate.verdict {
        Verdict::Replaces => {
            let mut lines = vec![format!("The {club} replaces the {incumbent}.")];
            let last = weakest(candidate);
            lines.extend(last.map(|c| format!("Proven last: {}", figures(c))));
            lines.extend(also_met(candidate, last));
            lines
        }
        Verdict::DoesNotReplace => {
            let mut lines = vec![format!("The {club} does not replace the {incumbent}.")];
            lines.extend(broken(candidate).map(|c| format!("Broken: {}", figures(c))));
            if lines.len() == 1 {
                lines.push(String::from("The answer names no broken criterion."));
            }
            lines
        }
        Verdict::Undecided => {
            let open = format!("The {club}: undecided{}.", outlook(candidate));
            let why = candidate.until_proof.as_ref().map(|why| why.words.clone());
            let furthest = weakest(candidate).filter(|c| c.state == "open");
            let furthest = furthest.map(|c| format!("Furthest from proof: {}", figures(c)));
            [open].into_iter().chain(furthest).chain(why).collect()
        }
        Verdict::Insufficient => vec![format!("The {club}: {}.", too_few(candidate))],
    }
}

fn broken(candidate: &Candidate) -> impl Iterator<Item = &Criterion> {
    candidate.criteria.iter().filter(|criterion| criterion.state == "broken")
}

/// The criterion with the least evidence: the one that a proof waits for. The spread is none: it
/// needs no proof, and can only stand in the way.
fn weakest(candidate: &Candidate) -> Option<&Criterion> {
    let needs_proof = |c: &&Criterion| matches!(c.state.as_str(), "met" | "open" | "broken");
    let judged = candidate.criteria.iter().filter(|c| c.evidence.is_some()).filter(needs_proof);
    judged.min_by(|a, b| a.evidence.unwrap_or(0.0).total_cmp(&b.evidence.unwrap_or(0.0)))
}

/// The other criteria that are met, each with its estimate alone.
fn also_met(candidate: &Candidate, told: Option<&Criterion>) -> Option<String> {
    let others = candidate.criteria.iter().filter(|c| c.state == "met" && Some(*c) != told);
    let short = |c: &Criterion| {
        let unit = Unit::of(&c.metric);
        let estimate = unit.number(c.estimate?);
        Some(format!("{} ({} {estimate} {})", title(c), metric(c), unit.symbol))
    };
    let others: Vec<_> = others.filter_map(short).collect();
    (!others.is_empty()).then(|| format!("Also met: {}.", others.join(", ")))
}

/// A criterion with its numbers: estimate and interval against what was asked.
fn figures(criterion: &Criterion) -> String {
    let unit = Unit::of(&criterion.metric);
    let number = |value: Option<f64>| value.map_or_else(|| "unknown".into(), |v| unit.number(v));
    let asked = match (criterion.at_least, criterion.at_most) {
        (Some(low), Some(high)) => format!("from {} to {}", unit.number(low), unit.number(high)),
        (Some(low), None) => format!("at least {}", unit.number(low)),
        (None, Some(high)) => format!("at most {}", unit.number(high)),
        (None, None) => String::from("nothing in numbers"),
    };
    // The evidence is for the criterion: beside a broken one it would only puzzle.
    let evidence = match (criterion.evidence, criterion.evidence_needed) {
        _ if criterion.state == "broken" => String::new(),
        (Some(e), Some(needed)) if e < 10.0 => {
            format!(", evidence {e:.2} where {needed:.0} proves")
        }
        (Some(e), Some(needed)) => format!(", evidence {e:.0} where {needed:.0} proves"),
        _ => String::new(),
    };
    format!(
        "{}. Difference in {} {} {} (95 % interval {} to {}), asked {asked}{evidence}.",
        title(criterion),
        metric(criterion),
        number(criterion.estimate),
        unit.symbol,
        number(criterion.low),
        number(criterion.high),
    )
}

fn title(criterion: &Criterion) -> String {
    criterion.name.replace('_', " ")
}

fn metric(criterion: &Criterion) -> String {
    let name = &criterion.metric;
    let bare = name.rsplit_once('_').map_or(name.as_str(), |(bare, _)| bare);
    bare.replace('_', " ")
}

/// How a metric's figures are written.
struct Unit {
    symbol: &'static str,
    decimals: usize,
}

impl Unit {
    fn of(metric: &str) -> Self {
        let (symbol, decimals) = match metric.rsplit_once('_').map(|(_, suffix)| suffix) {
            Some("m") => ("m", 1),
            Some("deg") => ("degrees", 1),
            Some("rpm") => ("rpm", 0),
            _ => ("", 2),
        };
        Self { symbol, decimals }
    }

    fn number(&self, value: f64) -> String {
        format!("{value:+.*}", self.decimals)
    }
}

/// What each club keeps of its carry into the wind, as the service flies it, and what that rests on.
#[must_use]
pub(crate) fn into_the_wind(flights: &[ClubFlight]) -> Vec<String> {
    let carry = |there: &Option<FlownThere>| Some(there.as_ref()?.typical?.carry_m);
    let told = |flight: &ClubFlight| {
        let (wind_m, still_m) = (carry(&flight.asked)?, carry(&flight.reference)?);
        let club = name_of(&flight.club);
        let basis = basis(&flight.calibration);
        Some(format!("{club:<12} {wind_m:.0} m, without wind {still_m:.0} m ({basis})"))
    };
    let air = flights.first().map_or_else(String::new, |flight| {
        let air = flight.conditions.air;
        format!(" at {:.0} °C and {:.0} hPa", air.temperature_c, air.pressure_hpa)
    });
    let mut lines = vec![format!("Carry into a headwind of {HEADWIND_MPH} mph{air}, computed:")];
    lines.extend(flights.iter().filter_map(told));
    lines.extend(flights.first().map(|flight| flight.caution.clone()));
    lines
}

/// What the drag and lift of a computed flight are from.
fn basis(calibration: &Calibration) -> String {
    match calibration.source.as_str() {
        "own" => format!("drag and lift fitted to its own {} tracked shots", calibration.shots),
        "default" => String::from("drag and lift of the default model"),
        other => format!("drag and lift by calibration `{other}`"),
    }
}

/// Why the low club is not safe, or that it is: the share of strikes, mishits included, that come
/// up short where nothing rolls. Counted from the shots that were sent.
#[must_use]
pub(crate) fn weak_strikes(season: &Season, club: &str, incumbent: &str) -> String {
    let short = |id| Short::of(&season.carries_m(id));
    let (its, theirs) = (short(club), short(incumbent));
    let club = name_of(club);
    let conclusion = if its.share() > theirs.share() {
        format!("Its weak strikes make the {club} the less safe of the two there")
    } else {
        format!("By that measure the {club} is no less safe")
    };
    format!(
        "On soaked ground nothing rolls. Short of {MUST_CARRY_M:.0} m in the air, mishits included: \
         {its} of the {club}, {theirs} of the {}. {conclusion}.",
        name_of(incumbent)
    )
}

/// How many of a club's strikes come up short.
struct Short {
    short: usize,
    all: usize,
}

impl Short {
    fn of(carries_m: &[f64]) -> Self {
        let short = carries_m.iter().filter(|&&carry_m| carry_m < MUST_CARRY_M).count();
        Self { short, all: carries_m.len() }
    }

    /// In percent; 0 of nothing.
    fn share(&self) -> usize {
        (200 * self.short + self.all).checked_div(2 * self.all).unwrap_or(0)
    }
}

impl std::fmt::Display for Short {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} of {} strikes ({} %)", self.short, self.all, self.share())
    }
}

/// The proven inversions of the ladder, those with the incumbent first: lofts that promise more
/// carry than they give.
#[must_use]
pub(crate) fn inversions(ladder: &Ladder, incumbent: &str) -> Vec<String> {
    let mut proven: Vec<_> = ladder.inversions.iter().filter(|pair| pair.proven).collect();
    proven.sort_by_key(|pair| !pair.clubs.iter().any(|club| club == incumbent));
    let mut lines: Vec<_> =
        proven.iter().take(INVERSIONS_TOLD).map(|pair| inversion(pair)).collect();
    match proven.len().saturating_sub(INVERSIONS_TOLD) {
        0 if proven.is_empty() => lines.push(String::from("The ladder proves no inversion.")),
        0 => {}
        more => lines.push(format!("{more} more such pairs are in the ladder's answer.")),
    }
    lines
}

fn inversion(pair: &Inversion) -> String {
    let strong = usize::from(pair.loft_deg[1] < pair.loft_deg[0]);
    let weak = 1 - strong;
    format!(
        "The {} ({} degrees) carries {:.1} m, the {} ({} degrees) {:.1} m: proven that the \
         stronger loft carries no more than 5 yards (4.6 m) further.",
        name_of(&pair.clubs[strong]),
        pair.loft_deg[strong],
        pair.carry_m[strong],
        name_of(&pair.clubs[weak]),
        pair.loft_deg[weak],
        pair.carry_m[weak],
    )
}

#[cfg(test)]
mod tests;
