//! What is given up: lie by lie, by mishits, by flights that are meant; and who covers it.

use serde_json::{Value, json};

use super::world::{Hits, candidate, given_up, hits, number, played, words};

fn from(lie: &'static str, hits: Hits) -> Hits {
    Hits { lie, ..hits }
}

fn meant(intent: Value, hits: Hits) -> Hits {
    Hits { intent, ..hits }
}

fn of_lie(candidate: &Value, lie: &str) -> Value {
    let all = given_up(candidate, "lie");
    let found = all.iter().find(|entry| entry["from_lie"]["lie"] == lie);
    found.unwrap_or_else(|| panic!("nothing of {lie}: {candidate:#}")).clone()
}

#[test]
fn a_lie_is_told_with_its_own_differences_and_in_a_sentence() {
    let service = played(&[
        hits("5h", 158.0),
        hits("4u", 159.0),
        from("heavy_rough", hits("5h", 150.0)),
        from("heavy_rough", Hits { apex_m: 26.0, ..hits("4u", 138.0) }),
    ]);
    let rough = of_lie(&candidate(&service, ""), "heavy_rough");
    // Every visit has the same scatter: means of 150 and 138, apexes of 29 and 26.
    assert!((number(&rough["estimate"]) + 12.0).abs() < 1e-9, "{rough:#}");
    let told = &rough["from_lie"];
    assert!((number(&told["differences"]["apex_m"]["estimate"]) + 3.0).abs() < 1e-9);
    assert_eq!((&told["state"], &told["sessions"]), (&json!("compared"), &json!(3)));
    assert_eq!(told["shots"], json!({"incumbent": 15, "candidate": 15}));
    // The figures of the sentence are those beside it.
    let carry = &told["differences"]["carry_m"];
    let (low, high) = (number(&carry["low"]), number(&carry["high"]));
    assert!(low < -12.0 && -12.0 < high && high < 0.0, "{carry}");
    let said = words(&rough);
    assert!(said.starts_with("From heavy rough 4-utility carries 12 m less ("), "{said}");
    assert!(said.contains(") and flies 3 m lower ("), "{said}");
}

#[test]
fn a_sentence_says_what_is_not_proven_as_seeming() {
    let service = played(&[
        Hits { visits: 0..1, ..hits("5h", 158.0) },
        Hits { visits: 0..1, ..hits("4u", 157.0) },
    ]);
    let mat = of_lie(&candidate(&service, ""), "mat");
    // Five shots of each bound nothing yet.
    assert_eq!(words(&mat), "From the mat 4-utility seems to carry 1 m less.");
    assert_eq!(mat["covered_by"], Value::Null);
}

#[test]
fn sentences_are_in_the_readers_units_and_figures_beside_them_too() {
    let service = played(&[
        hits("5h", 158.0),
        hits("4u", 158.0),
        from("sand", hits("5h", 140.0)),
        from("sand", hits("4u", 140.0 - 9.144)),
    ]);
    let sand = of_lie(&candidate(&service, "&units=imperial"), "sand");
    assert!(
        words(&sand).starts_with("From sand 4-utility carries 10 yd less ("),
        "{}",
        words(&sand)
    );
    assert!((number(&sand["from_lie"]["differences"]["carry_yd"]["estimate"]) + 10.0).abs() < 1e-9);
}

#[test]
fn a_lie_that_the_candidate_was_never_hit_from_is_said_and_who_covers_it() {
    let service = played(&[
        hits("5h", 158.0),
        hits("4u", 158.0),
        hits("6i", 152.0),
        from("heavy_rough", hits("5h", 150.0)),
        from("heavy_rough", hits("6i", 146.0)),
    ]);
    let rough = of_lie(&candidate(&service, ""), "heavy_rough");
    assert_eq!(rough["from_lie"]["state"], "not_hit");
    assert_eq!(rough["from_lie"]["hit"], json!({"incumbent": 15, "candidate": 0}));
    assert_eq!(rough["estimate"], Value::Null);
    assert_eq!(
        words(&rough),
        "4-utility was never hit from heavy rough; 5-hybrid was, 15 times: what is lost there is \
         unknown."
    );
    // Where the question leaves shots out, it is of the others that it speaks.
    let lately = of_lie(&candidate(&service, "&from=2026-04-02"), "heavy_rough");
    assert!(
        words(&lately).starts_with("4-utility was, among the shots that count here, never hit"),
        "{}",
        words(&lately)
    );
    let cover = &rough["covered_by"];
    assert_eq!((&cover["club"], &cover["shots"]), (&json!("6i"), &json!(15)));
    assert!((number(&cover["means"]["carry_m"]) - 146.0).abs() < 1e-9);
    assert!((number(&cover["differences"]["carry_m"]["estimate"]) + 4.0).abs() < 1e-9);
    assert!(
        words(cover).starts_with(
            "6-iron stands in from heavy rough: it carries 4 m shorter there than 5-hybrid, over 15 shots"
        ),
        "{}",
        words(cover)
    );
}

#[test]
fn a_lie_that_both_were_hit_from_apart_is_no_comparison() {
    let service = played(&[
        hits("5h", 158.0),
        hits("4u", 158.0),
        from("sand", Hits { visits: 0..1, ..hits("5h", 140.0) }),
        from("sand", Hits { visits: 1..2, ..hits("4u", 120.0) }),
    ]);
    let sand = of_lie(&candidate(&service, ""), "sand");
    assert_eq!(sand["from_lie"]["state"], "not_compared");
    assert_eq!(sand["from_lie"]["differences"], json!({}));
    assert_eq!(
        words(&sand),
        "From sand there are no good shots of both in one visit with the same ball: hit both to know."
    );
}

#[test]
fn a_lie_from_which_every_strike_went_wrong_is_not_one_that_was_never_hit() {
    let wrong = |club| Hits { each: 1, thin_each: Some(1), ..hits(club, 140.0) };
    let service = played(&[
        hits("5h", 158.0),
        hits("4u", 158.0),
        from("heavy_rough", hits("5h", 150.0)),
        from("heavy_rough", wrong("4u")),
    ]);
    let rough = of_lie(&candidate(&service, ""), "heavy_rough");
    assert_eq!(rough["from_lie"]["state"], "not_compared");
    assert_eq!(rough["from_lie"]["hit"], json!({"incumbent": 15, "candidate": 3}));
}

#[test]
fn a_lost_lie_that_no_other_club_serves_says_so() {
    let lost = [
        hits("5h", 158.0),
        hits("4u", 158.0),
        from("heavy_rough", hits("5h", 150.0)),
        from("heavy_rough", hits("4u", 130.0)),
    ];
    let alone = played(&lost);
    let cover = of_lie(&candidate(&alone, ""), "heavy_rough")["covered_by"].clone();
    assert_eq!(cover["club"], Value::Null);
    assert_eq!(
        words(&cover),
        "No other club of the bag was hit from heavy rough at least 5 times."
    );
    let mut far = lost.to_vec();
    far.push(from("heavy_rough", hits("6i", 120.0)));
    let far = played(&far);
    let cover = of_lie(&candidate(&far, ""), "heavy_rough")["covered_by"].clone();
    assert_eq!(cover["club"], Value::Null);
    assert!(
        words(&cover).contains("6-iron, the nearest, carries 30 m shorter"),
        "{}",
        words(&cover)
    );
    // A bag without that club has nobody at all.
    far.send("PUT", "/v1/players/rowan/bags/spring", r#"{"name":"Spring","clubs":["5h"]}"#);
    let cover = of_lie(&candidate(&far, "&bag=spring"), "heavy_rough")["covered_by"].clone();
    assert!(words(&cover).contains("No other club of the bag was hit"), "{}", words(&cover));
    let unknown = far.get("/v1/players/rowan/replacements?incumbent=5h&bag=autumn");
    assert_eq!(unknown.problem()["errors"][0]["parameter"], "bag");
}

#[test]
fn more_mishits_and_dearer_ones_are_given_up() {
    let service = played(&[
        Hits { each: 20, ..hits("5h", 158.0) },
        Hits { each: 20, thin_each: Some(6), ..hits("4u", 158.0) },
    ]);
    let mishits = given_up(&candidate(&service, ""), "forgiveness");
    let rate = mishits.iter().find(|entry| entry["metric"] == "mishit_rate").unwrap();
    // Every sixth of sixty.
    assert!((number(&rate["estimate"]) - 10.0 / 60.0).abs() < 1e-9, "{rate:#}");
    assert_eq!(rate["rates"][0]["club"], "4u");
    assert_eq!(
        words(rate),
        "More of 4-utility's strikes go wrong: 17 % against 0 % of 5-hybrid's."
    );
    let own = &rate["forgiveness"][0];
    assert_eq!(own["mishit_kinds"], json!({"thin": 10, "topped": 0, "other": 0}));
    // 158 m on average against 130 m, but for the scatter of the shots that are left.
    assert!((number(&own["mishit_cost"]["carry_m"]["estimate"]) - 28.0).abs() < 0.5, "{own:#}");
    assert_eq!(own["mishit_cost"]["n"], 10);
}

#[test]
fn a_flight_that_the_candidate_does_less_of_or_never_did_is_given_up() {
    let low = || json!({"height": "low"});
    let service = played(&[
        Hits { each: 8, ..hits("5h", 158.0) },
        Hits { each: 8, ..hits("4u", 158.0) },
        meant(low(), Hits { apex_m: 19.0, ..hits("5h", 152.0) }),
        meant(low(), Hits { apex_m: 28.0, ..hits("4u", 157.0) }),
        meant(json!({"shape": "draw"}), Hits { curve_m: -6.0, ..hits("5h", 156.0) }),
    ]);
    let flights = given_up(&candidate(&service, ""), "workability");
    let of = |meant: &str| {
        let found = flights.iter().find(|entry| entry["workability"][0]["meant"] == meant);
        found.unwrap_or_else(|| panic!("nothing of {meant}: {flights:#?}")).clone()
    };
    let low = of("low");
    // Ten metres down against one: the scatter of the stock flights is the same for both.
    assert_eq!(low["metric"], "apex_m");
    assert!((number(&low["estimate"]) - 9.0).abs() < 0.2, "{low:#}");
    assert_eq!(low["workability"][1]["success"]["share"], 1.0);
    assert!(
        words(&low).starts_with("Flighted down: 4-utility leaves its stock flight by"),
        "{}",
        words(&low)
    );
    assert!(low["covered_by"].is_object());
    let draw = of("draw");
    assert_eq!(draw["workability"][0]["shots"], 0);
    assert_eq!(
        words(&draw),
        "4-utility was never drawn; 5-hybrid was, 15 times: whether it can be is unknown."
    );
    assert_eq!(flights.len(), 2, "what the incumbent was never asked for is no loss");
}
