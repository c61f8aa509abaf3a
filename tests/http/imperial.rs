//! `units=imperial`: the same answers in yards, feet, miles an hour.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::support::{Running, shot};

/// Members of the answers' descriptions whose names hold no unit that changes.
const FACTORS: [(&str, &str, f64); 4] = [
    // 1 yd = 0.9144 m and 1 ft = 0.3048 m (international agreement of 1959); 1 mi = 1,760 yd.
    ("_m", "_yd", 0.9144),
    ("_m", "_ft", 0.3048),
    ("_mps", "_mph", 0.447_04),
    // NIST Special Publication 811 (2008), appendix B.8: inch of mercury, conventional.
    ("_hpa", "_inhg", 33.863_89),
];

fn filled() -> Running {
    let service = Running::start();
    let mut lines = String::new();
    for n in 0..192_u32 {
        let (club, carry) = if n % 2 == 0 { ("4i", 158.0) } else { ("5h", 157.0) };
        let (spread, visit) = (f64::from(n * 7 % 11) / 3.0, n / 24);
        let launch = if n % 2 == 0 { 16.0 } else { 13.5 };
        let line = shot(&format!("{n:03}"))
            .replace("\"5h\"", &format!("\"{club}\",\"session\":\"visit-{visit}\""))
            .replace("\"carry_m\":158.3", &format!(
                "\"carry_m\":{},\"total_m\":{},\"side_m\":{},\"apex_m\":{},\"descent_angle_deg\":{},\"landing_speed_mps\":{},\"hang_time_s\":6.1,\"origin\":\"tracked\"",
                carry + spread, carry + 2.0 * spread, spread - 2.0, if n % 2 == 0 { 30.0 } else { 27.0 } + spread, 44.0 - spread, 24.0 + spread
            ))
            .replace("16.8", &(launch + spread / 10.0).to_string())
            .replace("5240", &(5240 - n % 2 * 900 + n * 13 % 90).to_string());
        lines += &(line + "\n");
    }
    assert_eq!(service.stream(&lines).json()["refused"], 0);
    for (club, loft) in [("4i", 22.0), ("5h", 24.0)] {
        let path = format!("/v1/players/rowan/clubs/{club}");
        service.send("PUT", &path, &json!({"name": club, "loft_deg": loft}).to_string());
    }
    service
}

const PATHS: [(&str, &str); 9] = [
    ("/v1/players/{player}/clubs/{club}/profile", "/v1/players/rowan/clubs/5h/profile?by=month"),
    ("/v1/players/{player}/ladder", "/v1/players/rowan/ladder?"),
    ("/v1/players/{player}/drifts", "/v1/players/rowan/drifts?"),
    ("/v1/players/{player}/comparisons", "/v1/players/rowan/comparisons?incumbent=4i&candidate=5h"),
    (
        "/v1/players/{player}/comparisons",
        "/v1/players/rowan/comparisons?incumbent=4i&candidate=5h&conditions=true",
    ),
    ("/v1/players/{player}/ladder", "/v1/players/rowan/ladder?air=reference"),
    ("/v1/players/{player}/replacements", "/v1/players/rowan/replacements?incumbent=4i"),
    (
        "/v1/players/{player}/replacements",
        "/v1/players/rowan/replacements?incumbent=4i&candidate=5h&must_carry_m=150&slot_low_m=150&slot_high_m=170&descent_floor_deg=40&mix=mat:100",
    ),
    (
        "/v1/players/{player}/replacements",
        "/v1/players/rowan/replacements?incumbent=5h&from=2030-01-01",
    ),
];

/// The name in imperial units and the factor, if the name changes.
fn renamed(name: &str) -> Option<(String, f64)> {
    let height = ["apex", "altitude", "elevation", "height"]
        .iter()
        .any(|end| name.ends_with(&format!("{end}_m")));
    FACTORS.iter().filter(|(_, imperial, _)| (*imperial == "_ft") == height).find_map(
        |(si, imperial, factor)| Some((format!("{}{imperial}", name.strip_suffix(si)?), *factor)),
    )
}

/// Holds an answer in imperial units against the one in SI, number by number; `factor` is that of the
/// unit which stands above. Counts the numbers that were converted.
fn compare(si: &Value, imperial: &Value, factor: Option<f64>, at: &str) -> usize {
    match (si, imperial) {
        (Value::Object(si), Value::Object(other)) => {
            assert_eq!(si.len(), other.len(), "{at}");
            let metric = si.get("metric").and_then(Value::as_str).and_then(renamed);
            let ratio = si.get("of") == Some(&json!("spread_ratio"));
            // The unit in `metric` is that of the figures beside it, and of nothing further below.
            let of_metric = metric.as_ref().map(|(_, factor)| *factor).filter(|_| !ratio);
            si.iter()
                .map(|(name, value)| {
                    let at = format!("{at}/{name}");
                    if name == "metric" {
                        let expected =
                            metric.as_ref().map_or(value.clone(), |(name, _)| json!(name));
                        assert_eq!(other[name], expected, "{at}");
                        return 0;
                    }
                    // Sentences say their figures in the units asked for.
                    if name == "words" && value != &other[name] {
                        let said = other[name].as_str().unwrap();
                        assert!([" yd", " ft", " mph"].iter().any(|u| said.contains(u)), "{at}");
                        return 0;
                    }
                    if name == "units" {
                        assert_eq!((value, &other[name]), (&json!("si"), &json!("imperial")));
                        return 0;
                    }
                    // 212 °F are 100 °C, and a degree of the one is 5/9 of the other.
                    if let Some(stem) = name.strip_suffix("_c") {
                        let renamed = &other[&format!("{stem}_f")];
                        let [c, f] = [value, renamed].map(|n| n.as_f64().unwrap());
                        assert!((f - 32.0 - c * 9.0 / 5.0).abs() < 1e-9, "{at}");
                        return 1;
                    }
                    let counts = ["n", "have", "needed", "evidence", "evidence_needed"];
                    let beside = of_metric.filter(|_| !value.is_object()).or(factor);
                    let beside = beside.filter(|_| !counts.contains(&name.as_str()));
                    let (name, factor) = renamed(name)
                        .map_or((name.clone(), beside), |(name, factor)| (name, Some(factor)));
                    compare(value, other.get(&name).expect(&at), factor, &at)
                })
                .sum()
        }
        (Value::Array(si), Value::Array(other)) => {
            assert_eq!(si.len(), other.len(), "{at}");
            si.iter().zip(other).map(|(si, other)| compare(si, other, factor, at)).sum()
        }
        (Value::Number(si), Value::Number(other)) if factor.is_some() => {
            let (si, other) = (si.as_f64().unwrap(), other.as_f64().unwrap());
            let back = other * factor.unwrap();
            assert!((back - si).abs() <= si.abs() * 1e-12, "{at}: {other} is not {si}");
            1
        }
        _ => {
            assert_eq!(si, imperial, "{at}");
            0
        }
    }
}

#[test]
fn every_number_is_the_one_in_si_by_the_factors_of_the_definitions() {
    let service = filled();
    for (_, path) in PATHS {
        let si = service.get(path);
        let said = service.get(&format!("{path}&units=si"));
        assert_eq!(si.body, said.body, "{path}");
        let imperial = service.get(&format!("{path}&units=imperial"));
        assert_eq!(imperial.status, 200, "{path}");
        let converted = compare(&si.json(), &imperial.json(), None, "");
        assert!(converted > 0, "{path}: {converted}");
        assert_eq!(imperial.body, service.get(&format!("{path}&units=imperial")).body);
        assert_eq!(names(si.text()), names(imperial.text()), "{path}: the order of members");
    }
    let refused = service.get("/v1/players/rowan/ladder?units=metric");
    assert_eq!(refused.problem()["errors"][0]["parameter"], "units");
}

/// The names of all members in the order of the text, without their units.
fn names(text: &str) -> Vec<String> {
    let bare = |name: &str| {
        ["_m", "_yd", "_ft", "_mps", "_mph", "_hpa", "_inhg", "_c", "_f"]
            .iter()
            .find_map(|unit| name.strip_suffix(unit))
            .unwrap_or(name)
            .to_owned()
    };
    text.split("\":").filter_map(|part| part.rsplit('"').next()).map(bare).collect()
}

#[test]
fn the_brief_comes_back_in_the_trades_own_figures() {
    let service = filled();
    let place = service
        .get("/v1/players/rowan/replacements?incumbent=4i&candidate=5h&units=imperial")
        .json();
    assert!((place["brief"]["carry_margin_yd"].as_f64().unwrap() - 5.0).abs() < 1e-12);
    assert_eq!(place["brief"]["launch_lower_by_deg"], 1.5);
    let criteria = place["candidates"][0]["criteria"].as_array().unwrap();
    assert_eq!(
        (&criteria[0]["name"], &criteria[0]["metric"]),
        (&json!("carry_held"), &json!("carry_yd"))
    );
    assert!((criteria[0]["at_most"].as_f64().unwrap() - 5.0).abs() < 1e-9);
    let ladder = service.get("/v1/players/rowan/ladder?units=imperial").json();
    assert!((ladder["wide_above_yd"].as_f64().unwrap() - 15.0).abs() < 1e-9);
}

#[test]
fn answers_in_both_systems_are_as_described() {
    let service = filled();
    let spec = service.get("/openapi.json").json();
    for (path, at) in PATHS {
        let mut schema =
            spec["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["schema"]
                .clone();
        assert_eq!(schema["discriminator"]["propertyName"], "units", "{path}");
        schema["components"] = spec["components"].clone();
        // Exactly one of the two schemas takes an answer, since `oneOf` says so.
        let validator = jsonschema::draft202012::new(&schema).unwrap();
        for units in ["si", "imperial"] {
            let answer = service.get(&format!("{at}&units={units}")).json();
            let faults: Vec<String> =
                validator.iter_errors(&answer).map(|fault| fault.to_string()).collect();
            assert!(faults.is_empty(), "{at} {units}: {faults:?}");
            // And by name, so that a twin that lost its members would be seen.
            let name = schema["discriminator"]["mapping"][units].as_str().unwrap();
            let named = json!({"$ref": name, "components": spec["components"]});
            assert!(jsonschema::draft202012::is_valid(&named, &answer), "{name}");
        }
    }
}

/// The names of all members that a schema and what it refers to have.
fn members(
    schema: &Value,
    spec: &Value,
    seen: &mut BTreeSet<String>,
    names: &mut BTreeSet<String>,
) {
    match schema {
        Value::Object(object) => {
            if let Some(name) = object.get("$ref").and_then(Value::as_str)
                && seen.insert(name.to_owned())
            {
                members(spec.pointer(name.trim_start_matches('#')).unwrap(), spec, seen, names);
            }
            if let Some(Value::Object(properties)) = object.get("properties") {
                names.extend(properties.keys().cloned());
            }
            object.values().for_each(|value| members(value, spec, seen, names));
        }
        Value::Array(items) => items.iter().for_each(|item| members(item, spec, seen, names)),
        _ => {}
    }
}

#[test]
fn every_member_of_every_answer_is_renamed_or_known_to_stay() {
    let service = Running::start();
    let spec = service.get("/openapi.json").json();
    let schemas = &spec["components"]["schemas"];
    for name in ["Profile", "Ladder", "Drifts", "Comparison", "Replacements"] {
        let names_of = |name: &str| {
            let mut names = BTreeSet::new();
            members(&schemas[name], &spec, &mut BTreeSet::new(), &mut names);
            names
        };
        let (si, imperial) = (names_of(name), names_of(&format!("{name}Imperial")));
        let expected: BTreeSet<String> = si
            .iter()
            .map(|name| {
                let temperature = name.strip_suffix("_c").map(|stem| format!("{stem}_f"));
                let renamed = renamed(name).map(|(renamed, _)| renamed);
                renamed.or(temperature).unwrap_or(name.clone())
            })
            .collect();
        assert_eq!(imperial, expected, "{name}");
        for member in &si {
            let unit = member.rsplit_once('_').map(|(_, unit)| unit);
            let known = match unit {
                Some("m" | "mps" | "hpa") => renamed(member).is_some(),
                Some("c") => true,
                Some("deg" | "rpm" | "s" | "mm") => renamed(member).is_none(),
                // Ends that are words and no units.
                _ => {
                    renamed(member).is_none()
                        && !matches!(unit, Some("yd" | "ft" | "mph" | "f" | "inhg"))
                }
            };
            assert!(known, "{name}: what becomes of {member}?");
        }
    }
}

#[test]
fn every_figure_of_a_summary_is_converted_or_known_to_stay() {
    let spec = Running::start().get("/openapi.json").json();
    let converted = ["mean", "centre", "median", "sd", "p10", "p90", "estimate", "low", "high"];
    for name in ["MetricSummary", "Interval"] {
        let mut names = BTreeSet::new();
        members(&spec["components"]["schemas"][name], &spec, &mut BTreeSet::new(), &mut names);
        assert!(!names.is_empty());
        for member in names {
            assert!(
                converted.contains(&&*member) || ["n", "inferred"].contains(&&*member),
                "{member}"
            );
        }
    }
}
