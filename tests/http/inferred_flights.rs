//! What is flown from spins that no device measured says so, wherever it is told.

use serde_json::{Value, json};

use crate::support::Running;

/// Two clubs that both carry 158.0 m in still air, and what a shot of each does there: carry, apex, descent
/// (`../data/flight/README.md` has the launches; the flights are those of the service).
const CLUBS: [(&str, [f64; 3]); 2] =
    [("5h", [53.712, 17.0, 5_300.0]), ("4u", [52.970_1, 13.5, 4_200.0])];

fn flown([speed, angle, spin]: [f64; 3], service: &Running) -> Value {
    let asked = json!({"launch": {
        "ball_speed_mps": speed, "launch_angle_deg": angle, "spin_rate_rpm": spin,
    }});
    let answer = service.send("POST", "/v1/flights", &asked.to_string());
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

/// One visit of twelve tracked shots of each club; `change` makes each what it is to be.
fn played(change: impl Fn(&str, usize, &mut Value)) -> Running {
    let service = Running::start();
    let mut lines = String::new();
    for (club, launch) in CLUBS {
        let flight = flown(launch, &service);
        let [speed, angle, spin] = launch;
        for at in 0..12 {
            let mut event = json!({
                "id": format!("{club}-{at}"), "source": "bay-3", "player": "rowan", "club": club,
                "time": format!("2026-04-11T10:{at:02}:04Z"), "lie": "mat", "session": "one",
                "launch": {
                    "ball_speed_mps": speed, "launch_angle_deg": angle, "spin_rate_rpm": spin,
                },
                "flight": {
                    "carry_m": flight["carry_m"], "apex_m": flight["apex_m"],
                    "descent_angle_deg": flight["descent_angle_deg"], "origin": "tracked",
                },
            });
            change(club, at, &mut event);
            lines += &(event.to_string() + "\n");
        }
    }
    let told = service.stream(&lines).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(24), &json!(0)), "{told}");
    service
}

const PAIR: &str = "incumbent=5h&candidate=4u";
const COMPARED: &str = "/v1/players/rowan/comparisons";

fn conditions(service: &Running) -> Value {
    let answer = service.get(&format!("{COMPARED}?{PAIR}&conditions=true"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()["conditions"].clone()
}

fn pictures(service: &Running) -> [String; 2] {
    ["flights", "wind"].map(|picture| {
        let answer = service.get(&format!("{COMPARED}/{picture}.svg?{PAIR}"));
        assert_eq!(answer.status, 200, "{}", answer.text());
        answer.text().to_string()
    })
}

const SAID: &str = "rests on inferred data";

#[test]
fn measured_spins_are_not_called_inferred() {
    let service = played(|_, _, _| {});
    let told = conditions(&service);
    assert_eq!(told["inferred"], false);
    for club in ["incumbent", "candidate"] {
        assert_eq!(
            (&told[club]["spin_inferred"], &told[club]["spin_solved"]),
            (&json!(0), &Value::Null)
        );
    }
    assert!(!told["words"].as_str().unwrap().contains(SAID), "{}", told["words"]);
    assert!(pictures(&service).iter().all(|picture| !picture.contains(SAID)));
}

#[test]
fn a_comparison_in_weather_that_rests_on_solved_spins_has_the_flag_and_their_interval() {
    let service = played(|club, _, event| {
        if club == "4u" {
            event["launch"].as_object_mut().unwrap().remove("spin_rate_rpm");
        }
    });
    let told = conditions(&service);
    assert_eq!(told["inferred"], true);
    assert_eq!(told["incumbent"]["spin_solved"], Value::Null);
    let solved = &told["candidate"]["spin_solved"];
    assert_eq!((&solved["shots"], &solved["inferred"]), (&json!(12), &json!(true)));
    let [low, high] = ["low_rpm", "high_rpm"].map(|end| solved[end].as_f64().unwrap());
    assert!(low < 4_200.0 && 4_200.0 < high && high - low < 3_000.0, "{solved}");
    let words = told["words"].as_str().unwrap();
    assert!(words.contains("The spin of 12 of 12 strikes of 4u was not measured"), "{words}");
    for picture in pictures(&service) {
        assert!(picture.contains("Not every spin of the 4u was measured"), "{picture}");
    }
}

#[test]
fn so_has_one_that_rests_on_spins_learned_from_a_club_s_other_shots_or_told_by_its_device() {
    let learned = played(|club, at, event| {
        if club == "5h" && at >= 8 {
            event["launch"].as_object_mut().unwrap().remove("spin_rate_rpm");
            event.as_object_mut().unwrap().remove("flight");
        }
    });
    let worked_out = played(|club, at, event| {
        if club == "5h" && at >= 8 {
            event["launch"]["spin_origin"] = json!("from_flight");
        }
    });
    for service in [learned, worked_out] {
        let told = conditions(&service);
        let club = &told["incumbent"];
        assert_eq!(told["inferred"], true, "{club}");
        assert_eq!((&club["spin_inferred"], &club["spin_solved"]), (&json!(4), &Value::Null));
        let words = told["words"].as_str().unwrap();
        assert!(words.contains("The spin of 4 of 12 strikes of 5h was not measured"), "{words}");
        assert!(pictures(&service).iter().all(|picture| picture.contains(SAID)));
    }
}
