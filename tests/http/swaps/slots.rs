//! The ladder after a swap, and the loft that would fit a slot.

use serde_json::{Value, json};

use super::world::{candidate, hits, number, played, words};

#[test]
fn a_swap_opens_and_closes_gaps_and_makes_clubs_clash() {
    // Before: 140, 158. After: 140, 141. The 18 m close, and the two carry the same.
    let service = played(&[hits("5h", 158.0), hits("4u", 141.0), hits("6i", 140.0)]);
    let after = candidate(&service, "")["ladder_after"].clone();
    assert_eq!(after["opened"], json!([]));
    let closed = &after["closed"][0];
    assert_eq!((&closed["from"], &closed["to"]), (&json!("6i"), &json!("5h")));
    assert!((number(&closed["width_m"]) - 18.0).abs() < 1e-9);
    assert_eq!(after["overlaps"], json!(["6i"]));
    let clash = &after["clashes"][0];
    assert_eq!(clash["club"], "6i");
    assert!((number(&clash["differs_by"]["carry_m"]) - 1.0).abs() < 1e-9);
    assert_eq!(
        words(&after),
        "With 4-utility in place of 5-hybrid, the gap of 18 m between 6-iron and 5-hybrid is gone and \
         4-utility carries the same as 6-iron."
    );
    // The other way round: 140, 141 before; 140, 158 after.
    let service = played(&[hits("5h", 141.0), hits("4u", 158.0), hits("6i", 140.0)]);
    let after = candidate(&service, "")["ladder_after"].clone();
    assert_eq!((&after["opened"][0]["to"], &after["closed"]), (&json!("4u"), &json!([])));
    assert_eq!(after["overlaps_gone"], json!(["6i"]));
}

#[test]
fn a_wide_gap_that_stays_is_neither_new_nor_closed() {
    let service = played(&[hits("5h", 158.0), hits("4u", 159.0), hits("6i", 140.0)]);
    let after = candidate(&service, "")["ladder_after"].clone();
    assert_eq!((&after["opened"], &after["closed"]), (&json!([]), &json!([])));
    assert_eq!(after["gaps"][0]["wide"], true);
}

#[test]
fn between_two_siblings_a_straight_line_says_which_loft_would_fit() {
    let service = played(&[hits("5h", 158.0), hits("4u", 164.0), hits("6i", 152.0)]);
    assert_eq!(candidate(&service, "")["fitting_loft"], Value::Null, "no family");
    for (club, loft) in [("4u", 22.0), ("6i", 28.0)] {
        let sibling = json!({"name": club, "kind": "utility", "model": "demo", "loft_deg": loft, "demo": true});
        service.send("PUT", &format!("/v1/players/rowan/clubs/{club}"), &sibling.to_string());
    }
    let fits = candidate(&service, "")["fitting_loft"].clone();
    // 6 m more at 22°, 6 m less at 28°: even at 25°.
    assert!((number(&fits["loft_deg"]) - 25.0).abs() < 1e-9, "{fits:#}");
    assert!(number(&fits["low"]) < 25.0 && 25.0 < number(&fits["high"]));
    assert_eq!((&fits["from"], &fits["lofts_deg"]), (&json!(["4u", "6i"]), &json!([22.0, 28.0])));
    assert_eq!(fits["estimate"], true);
    assert!(number(&fits["differs_by"]["launch_angle_deg"]).abs() < 1e-9);
    assert!(words(&fits).contains("a loft of 25°"), "{}", words(&fits));
    // A slot in place of the incumbent's own carry: 161 m is a quarter of the way from 164 to 152.
    let slot = candidate(&service, "&slot_low_m=160&slot_high_m=162")["fitting_loft"].clone();
    assert!((number(&slot["loft_deg"]) - 23.5).abs() < 1e-9, "{slot:#}");
    // Far beyond both lofts nothing is said.
    let far = candidate(&service, "&slot_low_m=139&slot_high_m=141")["fitting_loft"].clone();
    assert_eq!(far, Value::Null);
}
