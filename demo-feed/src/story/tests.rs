//! The last words on sample answers.

#![allow(clippy::unwrap_used)]
use super::*;
use crate::answers::{LeftOut, MoreShots, UntilProof};
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
        "more_shots": {"incumbent": 30, "candidate": 34, "low": 22, "high": 60}, "missing": [],
        "left_out": [], "given_up": []});
    serde_json::from_value(answer).unwrap()
}

#[test]
fn a_running_verdict_says_outlook_and_shots_still_needed() {
    let candidates = vec![candidate("4u", "undecided", &[])];
    let answer = Replacements { incumbent: String::from("5h"), candidates };
    assert_eq!(
        running(&answer),
        ["4-utility    undecided, outlook: leaning for (79 %), about 34 more shots of it and 30 \
          of the 5-hybrid (as likely as not 22 to 60)"]
    );
}

#[test]
fn a_running_verdict_without_outlook_or_plan_says_neither() {
    let mut early = candidate("4u", "undecided", &[]);
    early.outlook = None;
    early.more_shots = None;
    let answer = Replacements { incumbent: String::from("5h"), candidates: vec![early] };
    assert_eq!(running(&answer), ["4-utility    undecided"]);
}

#[test]
fn a_plan_for_both_clubs_alike_is_told_once_and_an_open_end_is_told() {
    let mut open = candidate("4u", "undecided", &[]);
    open.outlook = None;
    open.more_shots = Some(MoreShots { incumbent: 40, candidate: 40, low: 22, high: None });
    let answer = Replacements { incumbent: String::from("5h"), candidates: vec![open] };
    let line =
        "4-utility    undecided, about 40 more shots of each club (perhaps 22, perhaps far more)";
    assert_eq!(running(&answer), [line]);
}

#[test]
fn too_few_shots_are_counted_a_club_and_stand_beside_no_chance() {
    let missing = |club: &str, have| Missing { club: club.to_owned(), have, needed: 8 };
    let mut early = candidate("3u", "insufficient", &[]);
    early.missing = vec![missing("3u", 6), missing("5h", 7), missing("3u", 5)];
    let few = "too few like-for-like shots yet: the 3-utility has 5 of 8, the 5-hybrid has 7 of 8";
    assert_eq!(closing(&early, "5h"), [format!("The 3-utility: {few}.")]);
    early.left_out = vec![LeftOut { reason: String::from("before_drift") }];
    let answer = Replacements { incumbent: String::from("5h"), candidates: vec![early] };
    let since = few.replace("yet", "since a club may have changed");
    assert_eq!(running(&answer), [format!("3-utility    {since}")]);
}

#[test]
fn flights_into_the_wind_say_what_they_rest_on_and_their_caution_once() {
    let flight = |club: &str, wind_m: Option<f64>, source: &str| -> ClubFlight {
        let there = |carry_m: f64| json!({"typical": {"carry_m": carry_m}});
        let answer = json!({"club": club, "asked": wind_m.map(there), "reference": there(151.2),
            "conditions": {"air": {"temperature_c": 20, "pressure_hpa": 1013.25}},
            "calibration": {"source": source, "shots": 87}, "caution": "An estimate."});
        serde_json::from_value(answer).unwrap()
    };
    let flights = [
        flight("5h", Some(118.03), "own"),
        flight("4u", Some(131.08), "default"),
        flight("4i", None, "default"),
    ];
    assert_eq!(
        into_the_wind(&flights),
        [
            "Carry into a headwind of 20 mph at 20 °C and 1013 hPa, computed:",
            "5-hybrid     118 m, without wind 151 m (drag and lift fitted to its own 87 tracked \
             shots)",
            "4-utility    131 m, without wind 151 m (drag and lift of the default model)",
            "An estimate.",
        ]
    );
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
fn what_is_open_says_why_in_the_answers_words() {
    let carry = |state| criterion("carry_held", "carry_m", [0.4, -5.1, 5.9], state);
    let mut open = candidate("4u", "undecided", &[carry("open")]);
    let why = "No proof yet.".to_owned();
    open.until_proof = Some(UntilProof { words: why.clone() });
    let lines = closing(&open, "5h");
    assert_eq!(lines[0], "The 4-utility: undecided, outlook: leaning for (79 %).");
    assert!(lines[1].starts_with("Furthest from proof: carry held. "), "{}", lines[1]);
    assert_eq!(lines[2], why);
    // Where each criterion is met, and doubt remains, none is furthest from proof.
    open.criteria[0].state = String::from("met");
    assert_eq!(closing(&open, "5h")[1..], [why]);
}

#[test]
fn weak_strikes_are_counted_from_the_shots_themselves() {
    let season = Season::new(crate::flights::TYPICAL_SEED);
    let short = season.carries_m("3u").iter().filter(|&&carry_m| carry_m < 148.0).count();
    let line = weak_strikes(&season, "3u", "5h");
    assert!(line.contains(&format!(": {short} of 60 strikes (25 %) of the 3-utility")), "{line}");
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
        ["The 4-iron (21 degrees) carries 141.7 m, the 5-hybrid (25 degrees) 156.9 m: proven \
          that the stronger loft carries no more than 5 yards (4.6 m) further."]
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
    assert_eq!(lines[INVERSIONS_TOLD], "1 more such pairs are in the ladder's answer.");
}
