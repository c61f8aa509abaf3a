//! What answers say of themselves in sentences: the word of the verdict, with the figures beside it.

use serde_json::Value;

use super::world::{candidate, hits, number, played, words};

/// A figure as sentences say it.
fn said(figure: f64, unit: &str) -> String {
    let size = figure.abs();
    let rounded = if size < 10.0 { (size * 10.0).round() / 10.0 } else { size.round() };
    format!("{rounded} {unit}")
}

fn criterion<'a>(candidate: &'a Value, name: &str) -> &'a Value {
    candidate["criteria"].as_array().unwrap().iter().find(|one| one["name"] == name).unwrap()
}

#[test]
fn a_verdict_is_said_with_its_figures_in_the_readers_units() {
    let service = played(&[hits("5h", 158.0), hits("4u", 150.0)]);
    for (more, unit) in [("", "m"), ("&units=imperial", "yd")] {
        let judged = candidate(&service, more);
        let carry = number(&criterion(&judged, "carry_held")["estimate"]);
        assert!(carry < 0.0, "{judged}");
        let told = words(&judged);
        assert!(told.contains(&format!("carries {} less", said(carry, unit))), "{told}");
        assert!(told.contains("4-utility") && told.contains("5-hybrid"), "{told}");
    }
}

#[test]
fn what_is_proven_not_to_be_so_is_named() {
    let mut far = hits("4u", 120.0);
    far.visits = 0..9;
    let mut old = hits("5h", 158.0);
    old.visits = 0..9;
    let judged = candidate(&played(&[old, far]), "");
    assert_eq!(judged["verdict"], "does_not_replace");
    let told = words(&judged);
    assert!(
        told.starts_with("4-utility cannot take the place of 5-hybrid: the carries are not even."),
        "{told}"
    );
}

#[test]
fn too_few_shots_are_no_verdict() {
    let mut few = hits("4u", 158.0);
    (few.visits, few.each) = (0..1, 2);
    let judged = candidate(&played(&[hits("5h", 158.0), few]), "");
    assert_eq!(judged["verdict"], "insufficient");
    assert!(words(&judged).starts_with("Too little was hit like for like"), "{}", words(&judged));
}

#[test]
fn a_ladder_and_a_profile_say_what_they_show() {
    let service = played(&[hits("5h", 158.0), hits("6i", 120.0)]);
    let ladder = service.get("/v1/players/rowan/ladder").json();
    let told = words(&ladder);
    assert!(told.starts_with("The bag carries from 120 m (6-iron) to 158 m (5-hybrid)."), "{told}");
    assert!(told.contains("One gap is wide: 38 m from 6-iron to 5-hybrid."), "{told}");
    let profile = service.get("/v1/players/rowan/clubs/5h/profile?units=imperial").json();
    let mean = number(&profile["metrics"]["carry_yd"]["estimate"]);
    let told = words(&profile);
    assert!(told.starts_with(&format!("5-hybrid carries {}", said(mean, "yd"))), "{told}");
    assert!(told.contains("15 shots in 3 visits, hit off the mat"), "{told}");
    let never = service.get("/v1/players/rowan/clubs/4u/profile").json();
    assert_eq!(words(&never), "No shot of 4-utility counts yet.");
    let same =
        played(&[hits("5h", 158.0), hits("6i", 157.0)]).get("/v1/players/rowan/ladder").json();
    assert!(words(&same).contains("6-iron and 5-hybrid carry the same."), "{}", words(&same));
}
