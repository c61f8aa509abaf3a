//! Measured carries taken to reference air, over HTTP.

use serde_json::{Value, json};

use crate::support::Running;

/// The two clubs of the check data's page (`../data/flight/README.md`), an independent program's: launch,
/// and carry in still air of 20 °C and of 5 °C.
const CLUBS: [(&str, [f64; 3], [f64; 2]); 2] = [
    ("5h", [53.712, 17.0, 5_300.0], [158.0, 156.3]),
    ("4u", [52.970_1, 13.5, 4_200.0], [158.0, 157.1]),
];

/// Twelve shots of each club on a cold day; `change` makes each what it is to be.
fn played(change: impl Fn(usize, &mut Value)) -> Running {
    let service = Running::start();
    let mut lines = String::new();
    for (club, [speed, angle, spin], [_, cold]) in CLUBS {
        for at in 0..12 {
            // Carries that scatter with mean zero, so that there is something to compare.
            let off = [-1.5, 0.5, 1.0][at % 3];
            let mut event = json!({
                "id": format!("{club}-{at}"), "source": "bay-3", "time": "2026-01-11T10:15:04Z",
                "player": "rowan", "club": club, "lie": "mat", "session": format!("visit-{}", at % 2),
                "launch": {"ball_speed_mps": speed, "launch_angle_deg": angle, "spin_rate_rpm": spin},
                "flight": {"carry_m": cold + off, "apex_m": 29.0, "origin": "tracked"},
                "air": {"temperature_c": 5},
            });
            change(at, &mut event);
            lines += &(event.to_string() + "\n");
        }
    }
    let told = service.stream(&lines).json();
    assert_eq!(told["accepted"], 24, "{told}");
    service
}

fn ask(service: &Running, path: &str) -> Value {
    let answer = service.get(&format!("/v1/players/rowan/{path}"));
    assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    answer.json()
}

#[track_caller]
fn near(what: &str, ours: &Value, theirs: f64, tolerance: f64) {
    let ours = ours.as_f64().unwrap_or_else(|| panic!("{what}: {ours} is no number"));
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours}, not {theirs} ± {tolerance}");
}

#[test]
fn a_cold_day_s_carries_are_those_of_reference_air() {
    let service = played(|_, _| {});
    for (club, _, [there, cold]) in CLUBS {
        let as_hit = ask(&service, &format!("clubs/{club}/profile"));
        near("as hit", &as_hit["metrics"]["carry_m"]["mean"], cold, 1e-9);
        assert_eq!((&as_hit["air"], &as_hit["reference_air"]), (&json!("as_hit"), &Value::Null));
        let taken = ask(&service, &format!("clubs/{club}/profile?air=reference"));
        near(club, &taken["metrics"]["carry_m"]["mean"], there, 0.1);
        assert_eq!(taken["metrics"]["apex_m"], as_hit["metrics"]["apex_m"], "all else is as hit");
        let told = &taken["reference_air"];
        assert_eq!((&taken["air"], &told["shots"]), (&json!("reference"), &json!(12)));
        assert_eq!(told["left_out"], json!([]));
        near("°C", &told["air"]["temperature_c"], 20.0, 0.0);
        near("hPa", &told["air"]["pressure_hpa"], 1_013.25, 1e-9);
    }
    let ladder = ask(&service, "ladder");
    near("a gap in the cold", &ladder["gaps"][0]["width_m"], 0.8, 1e-6);
    let taken = ask(&service, "ladder?air=reference");
    near("no gap in reference air", &taken["gaps"][0]["width_m"], 0.0, 0.1);
    assert_eq!(taken["reference_air"]["shots"], 24);
    let compared = "comparisons?incumbent=5h&candidate=4u";
    near("cold", &ask(&service, compared)["differences"]["carry_m"]["estimate"], 0.8, 1e-6);
    let taken = ask(&service, &format!("{compared}&air=reference&units=imperial"));
    near("reference", &taken["differences"]["carry_yd"]["estimate"], 0.0, 0.11);
    near("°F", &taken["reference_air"]["air"]["temperature_f"], 68.0, 1e-9);
}

#[test]
fn a_wind_is_taken_out_too() {
    let service = played(|_, event| {
        event["air"] = json!({"temperature_c": 20});
        event["wind"] = json!({"speed_mph": 20, "from_deg": 0});
        event["flight"]["carry_m"] = json!(if event["club"] == "5h" { 120.0 } else { 133.3 });
    });
    for (club, ..) in CLUBS {
        let taken = ask(&service, &format!("clubs/{club}/profile?air=reference"));
        near(club, &taken["metrics"]["carry_m"]["mean"], 158.0, 0.15);
    }
}

#[test]
fn what_cannot_be_taken_there_is_left_out_and_counted() {
    let service = played(|at, event| match at {
        0 | 1 => event["flight"]["origin"] = json!("modelled"),
        2 => event["flight"]["adjusted_for"] = json!(["air"]),
        3 => drop(event.as_object_mut().unwrap().remove("air")),
        4 => drop(event["launch"].as_object_mut().unwrap().remove("spin_rate_rpm")),
        _ => {}
    });
    let taken = ask(&service, "clubs/5h/profile?air=reference");
    assert_eq!((&taken["counted"], &taken["metrics"]["carry_m"]["n"]), (&json!(12), &json!(7)));
    assert_eq!(taken["reference_air"]["shots"], 7);
    assert_eq!(
        taken["reference_air"]["left_out"],
        json!([
            {"reason": "not_tracked", "shots": 2},
            {"reason": "adjusted", "shots": 1},
            {"reason": "air_unknown", "shots": 1},
            {"reason": "launch_unknown", "shots": 1},
        ])
    );
}

/// Flights in weather rest on launches, and a model on carries as they were hit: the air of measured
/// carries changes neither.
#[test]
fn what_is_flown_in_weather_does_not_depend_on_it() {
    let service = played(|_, _| {});
    let path = "comparisons?incumbent=5h&candidate=4u&conditions=true";
    let as_hit = ask(&service, path)["conditions"].clone();
    assert!(as_hit["reason"].is_null());
    assert_eq!(ask(&service, &format!("{path}&air=reference"))["conditions"], as_hit);
}

#[test]
fn another_air_is_refused_at_its_parameter() {
    let service = played(|_, _| {});
    for path in ["clubs/5h/profile?", "ladder?", "comparisons?incumbent=5h&candidate=4u&"] {
        let answer = service.get(&format!("/v1/players/rowan/{path}air=warm"));
        assert_eq!(answer.status, 422, "{path}");
        assert_eq!(answer.problem()["errors"][0]["parameter"], "air", "{path}");
    }
}

/// Half of the shots on a cold day and half on another. A slot is judged in reference air where the air of
/// the two differs much, and as hit where it does not.
#[test]
fn a_slot_is_judged_in_reference_air_where_the_air_of_the_shots_differs() {
    let cold_and = |degrees: i32| {
        played(move |at, event| {
            if at % 2 == 1 {
                event["air"]["temperature_c"] = json!(degrees);
            }
        })
    };
    let place = "replacements?incumbent=5h&candidate=4u";
    let slot = format!("{place}&slot_low_m=150&slot_high_m=165");
    let (hot, mild) = (cold_and(30), cold_and(8));
    // At 5 °C the club carries 157.1 m of 158.0, at 8 °C some 157.3; at 30 °C it would carry more than 158.0,
    // so that what it carried is taken down again.
    for (service, query, air, held) in [
        (&hot, slot.clone(), "reference", 156.9..157.6),
        (&mild, slot.clone(), "as_hit", 157.09..157.11),
        (&hot, format!("{slot}&air=as_hit"), "as_hit", 157.09..157.11),
        (&mild, format!("{slot}&air=reference"), "reference", 157.7..158.1),
        // Without a slot it is a difference.
        (&hot, place.to_owned(), "as_hit", 0.79..0.81),
    ] {
        let told = ask(service, &query);
        assert_eq!(told["air"], air, "{query}");
        let shots = if air == "reference" { json!(12) } else { Value::Null };
        assert_eq!(told["reference_air"]["shots"], shots, "{query}");
        let criteria = told["candidates"][0]["criteria"].as_array().unwrap();
        let criterion = criteria.iter().find(|one| one["name"] == "carry_held").unwrap();
        let estimate = criterion["estimate"].as_f64().unwrap();
        assert!(held.contains(&estimate), "{query}: {estimate}");
    }
    // One carry that cannot be taken there, and all stay as they were hit.
    let one_modelled = played(|at, event| {
        event["air"]["temperature_c"] = json!(if at % 2 == 1 { 30 } else { 5 });
        if at == 7 {
            event["flight"]["origin"] = json!("modelled");
        }
    });
    assert_eq!(ask(&one_modelled, &slot)["air"], "as_hit");
}
