//! The service's answers in plain sentences. Every figure and every outcome comes from an answer or
//! from the shots themselves; what the scenario was made for is only compared, never said.

use crate::answers::{Candidate, Criterion, Inversion, Ladder, Replacements, Verdict};
use crate::flights::Season;
use crate::scenario::{MUST_CARRY_M, name_of};

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
        Verdict::Insufficient => {
            format!("too few like-for-like shots yet{}", outlook(candidate))
        }
    }
}

fn outlook(candidate: &Candidate) -> String {
    let Some(outlook) = &candidate.outlook else { return String::new() };
    let words = outlook.words.as_deref().unwrap_or("no word for it");
    match outlook.chance {
        Some(chance) => format!(", outlook: {words} ({:.0} %)", chance * 100.0),
        None => String::new(),
    }
}

fn more_shots(candidate: &Candidate, incumbent: &str) -> String {
    candidate.more_shots.map_or_else(String::new, |more| {
        format!(
            ", about {} more shots of it and {} of the {incumbent}",
            more.candidate, more.incumbent
        )
    })
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
            let open = format!("The {club}: {}.", standing(candidate, &incumbent));
            let why = weakest(candidate).map(|c| format!("Furthest from proof: {}", figures(c)));
            [open].into_iter().chain(why).collect()
        }
        Verdict::Insufficient => {
            let lacking = match &candidate.missing {
                serde_json::Value::Null => String::new(),
                missing => format!(" Missing: {missing}"),
            };
            vec![format!("The {club}: too few like-for-like shots.{lacking}")]
        }
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
        more => lines.push(format!("The ladder proves {more} more.")),
    }
    lines
}

fn inversion(pair: &Inversion) -> String {
    let strong = usize::from(pair.loft_deg[1] < pair.loft_deg[0]);
    let weak = 1 - strong;
    format!(
        "The {} ({} degrees) carries {:.1} m, the {} ({} degrees) {:.1} m: the stronger loft is \
         proven not to carry further by more than the margin.",
        name_of(&pair.clubs[strong]),
        pair.loft_deg[strong],
        pair.carry_m[strong],
        name_of(&pair.clubs[weak]),
        pair.loft_deg[weak],
        pair.carry_m[weak],
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use serde_json::{Value, json};

    fn criterion(name: &str, metric: &str, numbers: [f64; 3], state: &str) -> Value {
        let [estimate, low, high] = numbers;
        json!({"name": name, "metric": metric, "estimate": estimate, "low": low, "high": high,
               "at_least": null, "at_most": -1.5, "state": state, "evidence": 0.02,
               "evidence_needed": 20})
    }

    fn candidate(club: &str, verdict: &str, criteria: &[Value]) -> Candidate {
        let answer = json!({"club": club, "verdict": verdict, "criteria": criteria,
            "outlook": {"chance": 0.786, "words": "leaning for"},
            "family": {"candidates": 4, "holds": false},
            "more_shots": {"incumbent": 30, "candidate": 34}, "missing": null, "given_up": []});
        serde_json::from_value(answer).unwrap()
    }

    #[test]
    fn a_running_verdict_says_outlook_and_shots_still_needed() {
        let candidates = vec![candidate("4u", "undecided", &[])];
        let answer = Replacements { incumbent: String::from("5h"), candidates };
        assert_eq!(
            running(&answer),
            [
                "4-utility    undecided, outlook: leaning for (79 %), about 34 more shots of it and 30 \
              of the 5-hybrid"
            ]
        );
    }

    #[test]
    fn a_running_verdict_without_outlook_or_plan_says_neither() {
        let mut early = candidate("4u", "insufficient", &[]);
        early.outlook = None;
        early.more_shots = None;
        let answer = Replacements { incumbent: String::from("5h"), candidates: vec![early] };
        assert_eq!(running(&answer), ["4-utility    too few like-for-like shots yet"]);
    }

    #[test]
    fn a_refusal_names_every_broken_criterion_with_its_numbers() {
        let launch = criterion("launch_lower", "launch_angle_deg", [0.1, -0.5, 0.7], "broken");
        let spin = criterion("spin_lower", "spin_rate_rpm", [12.0, -150.0, 170.0], "broken");
        assert_eq!(
            closing(&candidate("9w", "does_not_replace", &[launch, spin]), "5h"),
            [
                "The 9-wood does not replace the 5-hybrid.",
                "Broken: launch lower. Difference in launch angle +0.1 degrees (95 % interval -0.5 \
                 to +0.7), asked at most -1.5.",
                "Broken: spin lower. Difference in spin rate +12 rpm (95 % interval -150 to +170), \
                 asked at most -2.",
            ]
        );
    }

    #[test]
    fn a_replacement_names_the_criterion_that_was_proven_last() {
        let sample = json!({"club": "4u", "verdict": "replaces", "criteria": [
            {"name": "spin_lower", "metric": "spin_rate_rpm", "estimate": -968.6, "low": -1138.5,
             "high": -798.7, "at_least": null, "at_most": -500, "state": "met", "evidence": 1e9,
             "evidence_needed": 20},
            {"name": "carry_held", "metric": "carry_m", "estimate": -0.4, "low": -3.16,
             "high": 2.36, "at_least": -4.572, "at_most": 4.572, "state": "met",
             "evidence": 44_123.0, "evidence_needed": 20},
            {"name": "spread_held", "metric": "carry_m", "estimate": 1.0, "low": null, "high": null,
             "at_least": null, "at_most": 1.25, "state": "held", "evidence": 0.3,
             "evidence_needed": 20}],
            "outlook": null, "more_shots": null});
        let lines = closing(&serde_json::from_value(sample).unwrap(), "5h");
        assert_eq!(lines[0], "The 4-utility replaces the 5-hybrid.");
        assert_eq!(
            lines[1],
            "Proven last: carry held. Difference in carry -0.4 m (95 % interval -3.2 to +2.4), asked \
             from -4.6 to +4.6, evidence 44123 where 20 proves."
        );
        assert_eq!(lines[2], "Also met: spin lower (spin rate -969 rpm).");
    }

    #[test]
    fn an_unknown_end_of_an_interval_is_unknown_and_not_nought() {
        let mut open =
            candidate("4u", "undecided", &[criterion("carry_held", "carry_m", [0.0; 3], "open")]);
        open.criteria[0].low = None;
        let lines = closing(&open, "5h");
        assert!(lines[1].contains("(95 % interval unknown to +0.0)"), "{}", lines[1]);
    }

    #[test]
    fn weak_strikes_are_counted_from_the_shots_themselves() {
        let season = Season::new(crate::flights::TYPICAL_SEED);
        let short = season.carries_m("3u").iter().filter(|&&carry_m| carry_m < 148.0).count();
        let line = weak_strikes(&season, "3u", "5h");
        assert!(
            line.contains(&format!(": {short} of 60 strikes (25 %) of the 3-utility")),
            "{line}"
        );
        assert!(line.ends_with("the less safe of the two there."), "{line}");
        let turned = weak_strikes(&season, "5h", "3u");
        assert!(turned.ends_with("the 5-hybrid is no less safe."), "{turned}");
    }

    #[test]
    fn an_inversion_names_the_stronger_loft_first_whatever_the_order() {
        let ladder = json!({"inversions": [
            {"clubs": ["5h", "4i"], "loft_deg": [25, 21], "carry_m": [156.9, 141.7], "proven": true},
            {"clubs": ["5h", "9w"], "loft_deg": [25, 24], "carry_m": [156.9, 157.0], "proven": false}]});
        assert_eq!(
            inversions(&serde_json::from_value(ladder).unwrap(), "5h"),
            ["The 4-iron (21 degrees) carries 141.7 m, the 5-hybrid (25 degrees) 156.9 m: the \
              stronger loft is proven not to carry further by more than the margin."]
        );
        assert_eq!(
            inversions(&Ladder { inversions: Vec::new() }, "5h"),
            ["The ladder proves no inversion."]
        );
    }

    #[test]
    fn a_running_refusal_names_each_broken_criterion_once() {
        let low = ["launch_angle_deg", "spin_rate_rpm"]
            .map(|metric| criterion("not_too_low", metric, [-7.1, -7.8, -6.4], "broken"));
        let candidates = vec![candidate("3u", "does_not_replace", &low)];
        let answer = Replacements { incumbent: String::from("5h"), candidates };
        let line = "3-utility    does not replace the 5-hybrid (broken: not too low)";
        assert_eq!(running(&answer), [line]);
    }

    #[test]
    fn inversions_with_the_incumbent_come_first_and_the_rest_is_counted() {
        let pair = |club: &str| Inversion {
            clubs: [String::from("4i"), club.to_owned()],
            loft_deg: [21.0, 25.0],
            carry_m: [141.7, 156.9],
            proven: true,
        };
        let ladder = Ladder { inversions: ["9w", "4u", "6i", "7i", "5h"].map(pair).to_vec() };
        let lines = inversions(&ladder, "5h");
        assert_eq!(lines.len(), INVERSIONS_TOLD + 1);
        assert!(lines[0].contains("the 5-hybrid"), "{}", lines[0]);
        assert_eq!(lines[INVERSIONS_TOLD], "The ladder proves 1 more.");
    }
}
