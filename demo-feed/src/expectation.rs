//! What the shots were made for, set against what the service answers.

use crate::answers::{Candidate, Replacements, Verdict};
use crate::scenario::{self, Part, name_of};

/// Where the answer is not what the shots were made for; empty where it is.
#[must_use]
pub(crate) fn departures(answer: &Replacements) -> Vec<String> {
    scenario::candidates()
        .into_iter()
        .filter_map(|(club, part)| {
            let told = answer.candidates.iter().find(|candidate| candidate.club == club);
            match told {
                None => Some(format!("The answer leaves out the {}.", name_of(club))),
                Some(candidate) => departure(candidate, part),
            }
        })
        .collect()
}

fn departure(candidate: &Candidate, part: Part) -> Option<String> {
    let (verdict, must_break): (_, &[&str]) = match part {
        Part::Replaces => (Verdict::Replaces, &[]),
        Part::Short => (Verdict::DoesNotReplace, &["carry_held"]),
        Part::High => (Verdict::DoesNotReplace, &["launch_lower", "spin_lower"]),
        Part::Low => (Verdict::DoesNotReplace, &["not_too_low"]),
    };
    let breaks =
        |name: &str| candidate.criteria.iter().any(|c| c.name == name && c.state == "broken");
    let club = name_of(&candidate.club);
    if candidate.verdict != verdict {
        let (meant, said) = (words(verdict), words(candidate.verdict));
        return Some(format!("The {club} was made for `{meant}`, the answer is `{said}`."));
    }
    let unbroken = must_break.iter().find(|name| !breaks(name))?;
    Some(format!(
        "The {club} was made to break {}, which is not broken.",
        unbroken.replace('_', " ")
    ))
}

/// A verdict as the contract spells it.
fn words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Replaces => "replaces",
        Verdict::DoesNotReplace => "does_not_replace",
        Verdict::Undecided => "undecided",
        Verdict::Insufficient => "insufficient",
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use serde_json::json;

    fn candidate(club: &str, verdict: &str, broken: &[&str]) -> Candidate {
        let broken = broken
            .iter()
            .map(|name| json!({"name": name, "metric": "carry_m", "state": "broken"}))
            .collect::<Vec<_>>();
        let answer = json!({"club": club, "verdict": verdict, "criteria": broken});
        serde_json::from_value(answer).unwrap()
    }

    fn as_told() -> Replacements {
        Replacements {
            incumbent: String::from("5h"),
            candidates: vec![
                candidate("4u", "replaces", &[]),
                candidate("4i", "does_not_replace", &["carry_held"]),
                candidate("9w", "does_not_replace", &["launch_lower", "spin_lower"]),
                candidate("3u", "does_not_replace", &["not_too_low"]),
            ],
        }
    }

    #[test]
    fn the_story_as_told_has_no_departures() {
        assert_eq!(departures(&as_told()), Vec::<String>::new());
    }

    #[test]
    fn another_verdict_another_reason_and_a_missing_club_are_departures() {
        let mut answer = as_told();
        answer.candidates[0].verdict = Verdict::Undecided;
        answer.candidates[2].criteria.remove(1);
        answer.candidates.remove(3);
        assert_eq!(
            departures(&answer),
            [
                "The 4-utility was made for `replaces`, the answer is `undecided`.",
                "The 9-wood was made to break spin lower, which is not broken.",
                "The answer leaves out the 3-utility.",
            ]
        );
    }
}
