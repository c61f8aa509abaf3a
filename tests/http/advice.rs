//! What to hit on the next visit, why a verdict is no proof yet, and how far an early chance can be trusted.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::support::Running;

/// Carry in m, launch in degrees, spin in rpm.
type Flight = [f64; 3];

const WANTED: (&str, Flight) = ("5h", [158.0, 16.8, 5_200.0]);
/// Carries the same, launches lower and spins less.
const FITS: (&str, Flight) = ("4u", [158.4, 13.5, 4_200.0]);

/// A visit with so many shots of each club in turn, with a spread that has no mean.
fn visit(service: &Running, day: u32, shots: u32, clubs: &[(&str, Flight)]) {
    let mut lines = String::new();
    for shot in 0..shots {
        for (place, (club, [carry, launch, spin])) in clubs.iter().enumerate() {
            let off = |prime: u32| {
                let at = (shot * prime + day + 3 * u32::try_from(place).unwrap()) % 7;
                f64::from(at) / 3.0 - 1.0
            };
            let event = json!({
                "id": format!("{day}-{shot}-{club}"), "source": "bay-3", "player": "rowan", "club": club,
                "time": format!("2026-04-{day:02}T10:{shot:02}:00+02:00"),
                "lie": "mat", "ball": "range-b",
                "launch": {"ball_speed_mps": 52.0 + off(3), "launch_angle_deg": launch + 1.2 * off(2),
                           "spin_rate_rpm": spin + 250.0 * off(4)},
                "flight": {"carry_m": carry + 6.0 * off(5), "origin": "tracked"},
            });
            writeln!(lines, "{event}").unwrap();
        }
    }
    assert_eq!(service.stream(&lines).json()["refused"], 0);
}

fn judged(service: &Running, query: &str) -> Value {
    let answer = service.get(&format!("/v1/players/rowan/replacements?incumbent=5h{query}"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

/// The clubs of an advice in their order.
fn order(answer: &Value) -> Vec<String> {
    let blocks = answer["advice"]["order"].as_array().unwrap();
    blocks.iter().map(|block| block["club"].as_str().unwrap().to_owned()).collect()
}

/// Balls of each club in an advice: none is asked for more than ten, nor a visit for more than thirty.
fn check_shares(answer: &Value, clubs: &[&str]) {
    let advice = &answer["advice"];
    let blocks = advice["order"].as_array().unwrap();
    let balls = |club: Option<&str>| -> u64 {
        let of_club = |block: &&Value| club.is_none_or(|club| block["club"] == club);
        blocks.iter().filter(of_club).map(|block| block["balls"].as_u64().unwrap()).sum()
    };
    for club in clubs {
        assert!((5..=10).contains(&balls(Some(club))), "{club}: {advice}");
    }
    assert_eq!(clubs.iter().map(|club| balls(Some(club))).sum::<u64>(), balls(None), "{advice}");
    assert_eq!(advice["balls"], balls(None));
    assert!(balls(None) <= 30 && advice["at_most"] == 30, "{advice}");
}

#[test]
fn a_first_visit_says_what_is_missing_and_what_to_hit_next() {
    let service = Running::start();
    visit(&service, 1, 5, &[WANTED, FITS]);
    service.send("PUT", "/v1/players/rowan/clubs/5h", r#"{"name":"5-hybrid"}"#);
    service.send("PUT", "/v1/players/rowan/clubs/4u", r#"{"name":"4-utility"}"#);
    service.send("PUT", "/v1/balls/range-b", r#"{"name":"the range ball"}"#);
    let answer = judged(&service, "&candidate=4u");
    let candidate = &answer["candidates"][0];
    assert_eq!(candidate["verdict"], "insufficient");
    assert_eq!(
        candidate["until_proof"]["words"],
        "Too few like-for-like shots to say anything: 4-utility has 5 of 8, 5-hybrid has 5 of 8."
    );
    assert_eq!(candidate["until_proof"]["criterion"], Value::Null);
    // Three of each lack: five of each are enough, and it is the other one's turn to begin.
    assert_eq!(order(&answer), ["4u", "5h"]);
    let advice = &answer["advice"];
    assert_eq!(
        (&advice["lie"], &advice["ball"], &advice["wet"]),
        (&json!("mat"), &json!("range-b"), &json!(false))
    );
    assert_eq!(
        advice["words"],
        "Next visit, once warm, hit 10 balls off the mat with the range ball, 5 at a time: 4-utility, \
         5-hybrid. Then stop: many short visits prove more than a few long ones."
    );
    check_shares(&answer, &["5h", "4u"]);
    // An early chance is there already, and what such a word was worth.
    let outlook = &candidate["outlook"];
    assert!((0.0..=1.0).contains(&outlook["chance"].as_f64().unwrap()));
    assert!(outlook["calibration"]["of_the_prior"].is_number(), "{outlook}");
}

#[test]
fn what_decides_is_named_with_its_evidence_and_what_would_prove_it() {
    let service = Running::start();
    visit(&service, 1, 10, &[WANTED, FITS]);
    visit(&service, 2, 10, &[WANTED, FITS]);
    let answer = judged(&service, "&candidate=4u");
    let candidate = &answer["candidates"][0];
    assert_eq!(candidate["verdict"], "undecided");
    let until = &candidate["until_proof"];
    assert_eq!((&until["criterion"], &until["metric"]), (&json!("carry_held"), &json!("carry_m")));
    let carry = &candidate["criteria"][0];
    assert_eq!((&until["evidence"], &carry["state"]), (&carry["evidence"], &json!("open")));
    assert_eq!(until["evidence_needed"], 20.0);
    let more = &candidate["more_shots"];
    let words = until["words"].as_str().unwrap();
    assert!(
        words.starts_with("No proof yet: evidence that the carries are even stands at "),
        "{words}"
    );
    assert!(
        words.contains(&format!("About {} more shots of each club", more["candidate"])),
        "{words}"
    );
    // The range holds the plan.
    let (low, high) = (more["low"].as_u64().unwrap(), more["high"].as_u64());
    let shots = more["candidate"].as_u64().unwrap();
    assert!(low <= shots && high.is_none_or(|high| shots <= high), "{more}");
    assert_eq!(order(&answer), ["5h", "4u", "4u", "5h"]);
    check_shares(&answer, &["5h", "4u"]);
    let imperial = judged(&service, "&candidate=4u&units=imperial");
    assert_eq!(imperial["candidates"][0]["until_proof"]["metric"], "carry_yd");
    assert_eq!(imperial["candidates"][0]["more_shots"], *more);
}

#[test]
fn several_candidates_share_a_visit_and_what_is_hopeless_takes_no_part() {
    let service = Running::start();
    let clubs = [
        WANTED,
        FITS,
        ("4i", [157.0, 14.0, 4_400.0]),
        ("7w", [159.0, 13.0, 4_100.0]),
        // Flies as high and spins as much.
        ("6i", [157.5, 17.0, 5_300.0]),
    ];
    visit(&service, 1, 8, &clubs);
    let answer = judged(&service, "&candidate=6i&candidate=4i&candidate=7w&candidate=4u");
    let clubs = order(&answer);
    assert!(!clubs.contains(&String::from("6i")), "{clubs:?}");
    check_shares(&answer, &["5h", "4u", "4i", "7w"]);
    // The incumbent and the most promising have the room that is left.
    let best = answer["candidates"][0]["club"].as_str().unwrap();
    let blocks = |club: &str| clubs.iter().filter(|one| *one == club).count();
    assert_eq!((blocks("5h"), blocks(best), clubs.len()), (2, 2, 6));
    let two = judged(&service, "&candidate=4i&candidate=4u");
    assert_eq!(two["advice"]["balls"], 30);
    check_shares(&two, &["5h", "4u", "4i"]);
}

#[test]
fn nothing_is_advised_where_a_verdict_stands_or_no_shot_would_help() {
    let service = Running::start();
    for day in 1..=16 {
        visit(&service, day, 6, &[WANTED, FITS, ("9w", [140.0, 19.0, 7_000.0])]);
    }
    let answer = judged(&service, "&candidate=4u&candidate=9w");
    for candidate in answer["candidates"].as_array().unwrap() {
        let verdict = candidate["verdict"].as_str().unwrap();
        assert!(["replaces", "does_not_replace"].contains(&verdict), "{candidate}");
        assert_eq!(candidate["until_proof"], Value::Null);
    }
    assert_eq!(answer["advice"], Value::Null);
}

#[test]
fn spin_that_was_looked_up_is_said_to_prove_nothing() {
    let service = Running::start();
    let document = json!({"name": "bay 3", "spin_origin": "from_club_setting"});
    service.send("PUT", "/v1/sources/bay-3", &document.to_string());
    visit(&service, 1, 10, &[WANTED, FITS]);
    let answer = judged(&service, "&candidate=4u");
    let words = answer["candidates"][0]["until_proof"]["words"].as_str().unwrap();
    assert!(words.contains("whose spin was measured"), "{words}");
    assert_eq!(answer["advice"], Value::Null);
}

#[test]
fn balls_are_advised_from_where_both_clubs_were_hit() {
    let service = Running::start();
    // The incumbent is mostly hit from the fairway; together they were on the mat.
    for day in 1..=3 {
        visit(&service, day, 8, &[WANTED]);
    }
    let filter = json!({"filter": {"player": "rowan", "last": 24}, "set": {"lie": "fairway"}});
    assert_eq!(service.send("POST", "/v1/assignments", &filter.to_string()).json()["changed"], 24);
    visit(&service, 4, 6, &[WANTED, FITS]);
    assert_eq!(judged(&service, "&candidate=4u")["advice"]["lie"], "mat");
    // Where the brief asks for another lie, that is what is hit.
    let from_rough = judged(&service, "&candidate=4u&lie=light_rough");
    assert_eq!(from_rough["advice"]["lie"], "light_rough");
    assert!(from_rough["advice"]["words"].as_str().unwrap().contains("from light rough"));
}

#[test]
fn each_word_of_an_outlook_comes_with_what_was_true_of_it() {
    let service = Running::start();
    let clubs = [
        WANTED,
        FITS,
        ("4i", [157.0, 15.0, 4_700.0]),
        ("7w", [162.0, 14.6, 4_500.0]),
        ("6i", [150.0, 17.0, 5_300.0]),
    ];
    visit(&service, 1, 8, &clubs);
    // Source: tables of 10,000 simulated first visits, 15 shots a club: the chance stated, the share
    // true of the prior, of any neighbour, of a careful pick.
    let tables = [
        ("unlikely", json!([0.01, 0.01, 0.00, 0.25])),
        ("leaning against", json!([0.21, 0.17, 0.14, 0.62])),
        ("even", json!([0.50, 0.53, 0.36, 0.86])),
        ("leaning for", json!([0.77, 0.75, 0.68, 0.96])),
        ("likely", json!([0.91, 0.94, null, 0.99])),
    ];
    let names = ["stated", "of_the_prior", "of_any_neighbour", "of_a_careful_pick"];
    let mut words = Vec::new();
    let query = "&candidate=4u&candidate=4i&candidate=7w&candidate=6i";
    for candidate in judged(&service, query)["candidates"].as_array().unwrap() {
        let outlook = &candidate["outlook"];
        let word = outlook["words"].as_str().unwrap().to_owned();
        let (_, shares) = tables.iter().find(|(known, _)| *known == word).unwrap();
        for (name, share) in names.iter().zip(shares.as_array().unwrap()) {
            assert_eq!(outlook["calibration"][*name], *share, "{word}, {name}");
        }
        words.push(word);
    }
    words.dedup();
    assert!(words.len() > 1, "{words:?}");
}
