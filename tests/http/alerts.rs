//! The rules of `deploy/` ask for figures that there are.

use std::collections::BTreeSet;

use crate::{
    exposition::Exposition,
    support::{Running, shot},
};

/// The names of figures in a text of rules.
fn asked_for(text: &str) -> BTreeSet<&str> {
    let of_a_name = |letter: char| letter.is_ascii_lowercase() || letter == '_';
    let words = text.split(|letter| !of_a_name(letter));
    words.filter(|word| word.starts_with("evencarry_") || word.starts_with("process_")).collect()
}

#[test]
fn every_figure_that_a_rule_asks_for_is_on_the_page() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/deploy/alerts.yml");
    let rules = std::fs::read_to_string(path).unwrap();
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    let page = Exposition::parse(service.get("/metrics").text());
    let samples = page.0.values().flat_map(|family| &family.samples);
    let known: BTreeSet<&str> = samples.map(|(name, ..)| name.as_str()).collect();
    let asked = asked_for(&rules);
    assert!(asked.len() >= 6, "{asked:?}");
    for name in asked {
        assert!(known.contains(name), "{name}");
    }
    for (name, label, value) in [
        ("evencarry_store_state", "state", "accepting"),
        ("evencarry_http_requests_total", "status", "5xx"),
    ] {
        assert!(rules.contains(&format!("{name}{{{label}=\"{value}\"}}")));
        let has = |labels: &crate::exposition::Labels| {
            labels.get(label).is_some_and(|known| known == value)
        };
        let mut rows = page.0.values().flat_map(|family| &family.samples);
        assert!(rows.any(|(known, labels, _)| known == name && has(labels)), "{name} {value}");
    }
}
