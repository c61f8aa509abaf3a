//! Forgiveness, the picture from above, and workability of one club.

use serde_json::{Value, json};

use super::world::{Hits, hits, number, played, words};

fn profile(service: &crate::support::Running, more: &str) -> Value {
    let answer = service.get(&format!("/v1/players/rowan/clubs/5h/profile?{more}"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

fn meant(profile: &Value, meant: &str) -> Value {
    let all = profile["workability"].as_array().unwrap();
    all.iter().find(|entry| entry["meant"] == meant).unwrap().clone()
}

#[test]
fn mishits_are_named_and_their_cost_is_told() {
    let service = played(&[Hits { each: 16, thin_each: Some(12), ..hits("5h", 158.0) }]);
    let told = profile(&service, "");
    let forgiveness = &told["forgiveness"];
    assert_eq!(forgiveness["mishit_rate"], told["mishit_rate"]);
    assert_eq!(forgiveness["mishit_kinds"], json!({"thin": 4, "topped": 0, "other": 0}));
    assert_eq!(told["mishits"], 4);
    let said = words(forgiveness);
    assert!(
        said.starts_with("4 of its 48 strikes went wrong (8 %), 4 thin, and a mishit costs 2"),
        "{said}"
    );
}

#[test]
fn strikes_that_nobody_could_judge_are_counted_apart() {
    let service = played(&[hits("5h", 158.0)]);
    let plain = r#"{"source":"bay-3","time":"2026-04-09T10:15:00Z","id":"no-speed","player":"rowan","club":"5h","session":"spring-0","lie":"mat","ball":"range-b","flight":{"carry_m":150}}"#;
    assert_eq!(service.stream(plain).json()["accepted"], 1);
    let forgiveness = profile(&service, "")["forgiveness"].clone();
    assert_eq!(
        (&forgiveness["unscreened"], &forgiveness["mishit_rate"]["n"]),
        (&json!(1), &json!(15))
    );
}

#[test]
fn an_ellipse_holds_the_share_that_was_asked_for_and_says_what_it_really_holds() {
    let service = played(&[Hits { each: 30, ..hits("5h", 158.0) }]);
    let [usual, half] = ["", "share=0.5"].map(|asked| profile(&service, asked)["ellipse"].clone());
    assert_eq!((&usual["share"], &half["share"]), (&json!(0.8), &json!(0.5)));
    assert_eq!(usual["n"], 90);
    assert!(number(&half["semi_major_m"]) < number(&usual["semi_major_m"]));
    // Axes of the two shares by the law of two normal figures: √(−2 log(1 − share)).
    let ratio = number(&usual["semi_major_m"]) / number(&half["semi_major_m"]);
    assert!((ratio - (0.2_f64.ln() / 0.5_f64.ln()).sqrt()).abs() < 1e-9, "{ratio}");
    assert!(number(&half["inside"]) < number(&usual["inside"]));
    assert!((number(&usual["inside_share"]) - number(&usual["inside"]) / 90.0).abs() < 1e-12);
    for wrong in ["share=0", "share=1", "share=80", "share=most"] {
        let refused = service.get(&format!("/v1/players/rowan/clubs/5h/profile?{wrong}"));
        assert_eq!(refused.problem()["errors"][0]["parameter"], "share", "{wrong}");
    }
}

#[test]
fn a_flight_is_told_against_the_stock_flight_and_how_often_it_came_off() {
    let service = played(&[
        Hits { each: 10, ..hits("5h", 158.0) },
        Hits { intent: json!({"height": "low"}), apex_m: 24.0, ..hits("5h", 151.0) },
        Hits { intent: json!({"shape": "draw"}), curve_m: -7.0, ..hits("5h", 155.0) },
        Hits { intent: json!({"shape": "fade"}), curve_m: -1.0, ..hits("5h", 155.0) },
    ]);
    let told = profile(&service, "");
    let low = meant(&told, "low");
    assert_eq!(
        (&low["shots"], &low["sessions"], &low["judged_by"]),
        (&json!(15), &json!(3), &json!("apex_m"))
    );
    assert!((number(&low["differences"]["apex_m"]["estimate"]) + 5.0).abs() < 1e-9, "{low:#}");
    assert!((number(&low["differences"]["carry_m"]["estimate"]) + 7.0).abs() < 1e-9);
    assert_eq!(low["success"]["share"], 1.0);
    assert!(words(&low).starts_with("Flighted down, it flies 5 m lower ("), "{}", words(&low));
    // A right-hander's draw curves left. The fades went left, too, and none of them as meant.
    assert_eq!(meant(&told, "draw")["success"]["share"], 1.0);
    assert_eq!(meant(&told, "fade")["success"]["share"], 0.0);
    assert_eq!(words(&meant(&told, "high")), "It was never flighted up.");
    // For a left-hander it is the other way round.
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan","hand":"left"}"#);
    let told = profile(&service, "");
    assert_eq!(meant(&told, "draw")["success"]["share"], 0.0);
    // Of a hand that nobody stated nothing is guessed.
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    let draw = meant(&profile(&service, ""), "draw");
    assert_eq!((&draw["success"]["n"], &draw["judged_by"]), (&json!(0), &Value::Null));
    assert!(words(&draw).contains("state which hand"), "{}", words(&draw));
}
