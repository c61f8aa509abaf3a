//! Two clubs: how they scatter, what to hit next, and a mix of lies.

use serde_json::{Value, json};

use super::world::{Hits, candidate, hits, number, played, words};
use crate::support::Running;

fn comparison(service: &Running, more: &str) -> Value {
    let path = format!("/v1/players/rowan/comparisons?incumbent=5h&candidate=4u{more}");
    let answer = service.get(&path);
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

#[test]
fn clubs_that_never_met_are_insufficient_and_told_what_to_hit_next() {
    let service = played(&[
        Hits { visits: 0..2, ..hits("5h", 158.0) },
        Hits { visits: 2..3, lie: "sand", ..hits("4u", 150.0) },
    ]);
    let told = comparison(&service, "");
    assert_eq!((&told["state"], &told["differences"]), (&json!("insufficient"), &json!({})));
    assert_eq!(told["left_out"], json!([{"reason": "no_partner", "shots": 15}]));
    let next = &told["next"];
    assert_eq!(next["clubs"], json!([{"club": "5h", "shots": 8}, {"club": "4u", "shots": 8}]));
    assert_eq!((&next["lie"], &next["ball"]), (&json!("mat"), &json!("range-b")));
    assert_eq!(
        words(next),
        "For a first word on 4-utility alone, hit 5-hybrid and 4-utility in turn in one visit, 8 shots each, from the mat, with range ball."
    );
    let judged = candidate(&service, "");
    assert_eq!((&judged["verdict"], &judged["next"]), (&json!("insufficient"), next));
}

#[test]
fn with_enough_shots_there_is_nothing_to_hit_next() {
    let service = played(&[hits("5h", 158.0), hits("4u", 157.0)]);
    let told = comparison(&service, "");
    assert_eq!((&told["state"], &told["next"]), (&json!("compared"), &Value::Null));
    let few = played(&[
        Hits { visits: 0..1, ..hits("5h", 158.0) },
        Hits { visits: 0..1, ..hits("4u", 157.0) },
    ]);
    // Five of each stand: three are lacking.
    assert_eq!(comparison(&few, "")["next"]["clubs"][1], json!({"club": "4u", "shots": 3}));
}

#[test]
fn spreads_are_a_ratio_with_ends_and_ellipses_are_told_of_both() {
    let service =
        played(&[Hits { each: 30, ..hits("5h", 158.0) }, Hits { each: 30, ..hits("4u", 157.0) }]);
    let told = comparison(&service, "");
    for (at, metric) in ["carry_m", "side_m"].into_iter().enumerate() {
        let spread = &told["spread"][at];
        assert_eq!((&spread["metric"], &spread["of"]), (&json!(metric), &json!("spread_ratio")));
        // The same scatter: the ratio is one, and its ends lie on both sides.
        assert!((number(&spread["estimate"]) - 1.0).abs() < 1e-9);
        assert!(number(&spread["low"]) < 1.0 && 1.0 < number(&spread["high"]), "{spread}");
        assert_eq!(spread["state"], "held");
    }
    assert!((number(&told["incumbent_ellipse"]["carry_m"]) - 159.0).abs() < 1e-9);
    assert!((number(&told["candidate_ellipse"]["carry_m"]) - 158.0).abs() < 1e-9);
    let criteria = candidate(&service, "")["criteria"].clone();
    let held =
        criteria.as_array().unwrap().iter().find(|one| one["name"] == "spread_held").unwrap();
    assert_eq!(held["estimate"], told["spread"][0]["estimate"]);
    assert_eq!(held["high"], told["spread"][0]["high"]);
    // Under twenty shots of each there is none.
    let few = played(&[hits("5h", 158.0), hits("4u", 157.0)]);
    assert_eq!(comparison(&few, "")["spread"][0]["estimate"], Value::Null);
    assert_eq!(comparison(&few, "")["spread"][0]["state"], "not_judged");
}

#[test]
fn a_mix_of_lies_is_reckoned_from_each_lies_own_figures() {
    let rough = |club, carry_m| Hits { lie: "light_rough", ..hits(club, carry_m) };
    let service =
        played(&[hits("5h", 158.0), hits("4u", 160.0), rough("5h", 150.0), rough("4u", 140.0)]);
    for told in [
        comparison(&service, "&mix=mat:75,light_rough:25")["mix"].clone(),
        candidate(&service, "&mix=mat:75,light_rough:25")["mix"].clone(),
    ] {
        // By hand: 0.75 × 158 + 0.25 × 150 = 156 and 0.75 × 160 + 0.25 × 140 = 155.
        assert!((number(&told["incumbent"]["carry_m"]) - 156.0).abs() < 1e-9, "{told:#}");
        assert!((number(&told["candidate"]["carry_m"]) - 155.0).abs() < 1e-9);
        let carry = &told["differences"]["carry_m"];
        assert!((number(&carry["estimate"]) + 1.0).abs() < 1e-9);
        assert!(number(&carry["low"]) < -1.0 && number(&carry["high"]) > -1.0);
        // Two thirds of the distance between lies is spread of its own.
        assert!(
            number(&told["candidate"]["carry_sd_m"]) > number(&told["incumbent"]["carry_sd_m"])
        );
        assert!(
            words(&told).starts_with("Over this mix of lies 4-utility carries 1 m less ("),
            "{}",
            words(&told)
        );
    }
    let lacking = comparison(&service, "&mix=mat:50,sand:50")["mix"].clone();
    assert_eq!((&lacking["lacking"], &lacking["candidate"]), (&json!(["sand"]), &Value::Null));
    assert_eq!(lacking["differences"], json!({}));
    assert_eq!(comparison(&service, "")["mix"], Value::Null);
    for wrong in ["mat:50", "mat:50,mat:50", "moss:100", "mat"] {
        let path = format!("/v1/players/rowan/comparisons?incumbent=5h&candidate=4u&mix={wrong}");
        assert_eq!(service.get(&path).problem()["errors"][0]["parameter"], "mix", "{wrong}");
    }
}
