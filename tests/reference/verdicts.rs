//! Verdicts, families, spreads' standing, outlooks and briefs.

use evencarry::stats::{
    Basis, CarryCriterion, Criteria, Evidence, LaunchLimit, Measure, Outlook, OutlookWord, Spread,
    Test, Verdict, holm,
};
use serde_json::Value;

use crate::case::{cases, estimate, list, number, quantity, test, whole};

fn spread_words(value: Option<&Value>) -> Vec<Spread> {
    value.map_or(Vec::new(), |maxima| {
        list(maxima).iter().map(|log_e| Spread::of(log_e.as_f64())).collect()
    })
}

#[test]
fn verdicts_from_running_maxima() {
    for case in cases("verdict") {
        let evidence = |test: &Value| {
            test.get("state").is_none().then(|| Evidence {
                holds: number(&test["log_e_holds"]),
                broken: number(&test["log_e_broken"]),
            })
        };
        let tests: Vec<_> = list(&case.input["running"]).iter().map(evidence).collect();
        let basis = Basis {
            candidate_shots: whole(&case.input["n_a"]),
            incumbent_shots: whole(&case.input["n_b"]),
            sessions: whole(&case.input["sessions"]),
        };
        let spreads = spread_words(case.input.get("spread"));
        let verdict = Verdict::of(&tests, basis, &spreads);
        assert_eq!(Some(verdict.word()), case.output["verdict"].as_str(), "{}", case.name);
        assert_eq!(verdict.why(), case.output["why"].as_str(), "{}", case.name);
        let words: Vec<_> = spreads.iter().map(|spread| spread.word()).collect();
        assert_eq!(serde_json::json!(words), case.output["spread"], "{}", case.name);
    }
}

#[test]
fn families_of_candidates() {
    for case in cases("holm") {
        let log_e: Vec<_> = list(&case.input["log_e_running_max"])
            .iter()
            .map(|log_e| Some(number(log_e)))
            .collect();
        let Some(family) = case.succeeds(holm(&log_e)) else { continue };
        assert_eq!(family.len(), list(&case.output["proven"]).len());
        for (index, member) in family.iter().enumerate() {
            assert_eq!(
                Some(member.proven),
                case.output["proven"][index].as_bool(),
                "{}",
                case.name
            );
            let expected = &case.output["adjusted_p"][index];
            case.close("p", member.adjusted_p, expected, case.tolerance("default_relative"));
        }
    }
}

#[test]
fn a_candidate_without_evidence_makes_the_others_wait() {
    let alone = holm(&[Some(3.2)]).unwrap();
    let beside_another = holm(&[Some(3.2), None]).unwrap();
    assert!(alone[0].proven && !beside_another[0].proven);
    assert!((beside_another[1].adjusted_p - 1.0).abs() < 1e-15);
}

#[test]
fn standings_of_spread() {
    for case in cases("spread_state") {
        let standing = Spread::of(case.input["log_e_worse_running_max"].as_f64());
        assert_eq!(Some(standing.word()), case.output.as_str(), "{}", case.name);
    }
}

#[test]
fn words_of_chances() {
    for case in cases("outlook_word") {
        assert_eq!(Some(OutlookWord::of(number(&case.input["p"])).word()), case.output.as_str());
    }
}

#[test]
fn outlooks_on_a_brief() {
    for case in cases("outlook") {
        let tests: Vec<Test> = list(&case.input["brief"]).iter().map(test).collect();
        let given = case.input["estimates"].as_object().unwrap();
        let present = given.iter().filter(|(_, value)| value.get("state").is_none());
        let estimates: Vec<_> =
            present.map(|(name, value)| (quantity(name), estimate(value))).collect();
        let outlook = Outlook::of(&tests, &estimates);
        if case.name == "insufficient" {
            // The estimate that is missing carries its own reason; the outlook only says that it is.
            assert!(outlook.is_err());
            continue;
        }
        let Some(outlook) = case.succeeds(outlook) else { continue };
        let tolerance = case.tolerance("outlook");
        case.close("chance", outlook.chance, &case.output["chance"], tolerance);
        assert_eq!(Some(outlook.word().word()), case.output["word"].as_str());
        let parts = case.output["by_measure"].as_object().unwrap();
        assert_eq!(parts.len(), outlook.by_quantity.len());
        for (name, expected) in parts {
            let (_, chance) = outlook
                .by_quantity
                .iter()
                .find(|(of, _)| *of == quantity(name))
                .expect("the quantity");
            case.close(name, *chance, expected, tolerance);
        }
    }
}

/// Criteria as the data file writes them: what is left out is the default, null leaves a criterion out.
fn criteria(input: &Value) -> Criteria {
    let mut criteria = Criteria::default();
    let optional =
        |name: &str, default: Option<f64>| input.get(name).map_or(default, Value::as_f64);
    if let Some(slot) = input.get("slot") {
        criteria.carry = Some(CarryCriterion::Slot(number(&slot[0]), number(&slot[1])));
    }
    criteria.launch_lower_by_deg = optional("launch_lower_by", criteria.launch_lower_by_deg);
    if input.get("launch_drop_at_most").is_some_and(Value::is_null) {
        criteria.launch_limit = None;
    }
    if let Some(floor) = input.get("launch_floor") {
        criteria.launch_limit = Some(LaunchLimit::Floor(number(floor)));
    }
    criteria.spin_lower_by_rpm = optional("spin_lower_by", criteria.spin_lower_by_rpm);
    criteria.spin_drop_at_most_rpm = optional("spin_drop_at_most", criteria.spin_drop_at_most_rpm);
    criteria.floor = input.get("descent_floor").map(|floor| (Measure::Other(0), number(floor)));
    criteria
}

#[test]
fn the_one_sided_tests_of_a_brief() {
    for case in cases("brief_tests") {
        let expected: Vec<Test> = list(case.output).iter().map(test).collect();
        assert_eq!(criteria(case.input).tests(), expected, "{}", case.name);
    }
    let no_carry = Criteria { carry: None, ..Criteria::default() };
    assert_eq!(no_carry.tests(), Criteria::default().tests()[2..]);
}
