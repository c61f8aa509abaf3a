//! What a source's document says of shots that do not say it themselves.

use serde_json::json;

use crate::support::{Running, shot};

/// A shot of a club whose head speed is told as well.
fn swing(id: &str, club: &str) -> String {
    shot(id)
        .replace("\"5h\"", &format!("\"{club}\""))
        .replace("\"flight\"", "\"clubhead\":{\"speed_mps\":37.0},\"flight\"")
}

#[test]
fn a_source_says_how_its_figures_come_about_unless_the_shot_does() {
    let service = Running::start();
    let source = json!({"name": "Bay 3", "flight_origin": "tracked",
                        "spin_origin": "from_club_setting", "speed_origin": "from_ball"});
    service.send("PUT", "/v1/sources/bay-3", &source.to_string());
    service.send("POST", "/v1/shots", &swing("1", "5h"));
    let own = swing("2", "4i")
        .replace("\"carry_m\"", "\"origin\":\"modelled\",\"carry_m\"")
        .replace("\"spin_rate_rpm\"", "\"spin_origin\":\"measured\",\"spin_rate_rpm\"")
        .replace("\"clubhead\":{", "\"clubhead\":{\"speed_origin\":\"measured\",");
    service.send("POST", "/v1/shots", &own);
    let inferred = |club: &str| {
        let profile = service.get(&format!("/v1/players/rowan/clubs/{club}/profile")).json();
        ["carry_m", "spin_rate_rpm", "clubhead_speed_mps"]
            .map(|metric| profile["metrics"][metric]["inferred"].clone())
    };
    assert_eq!(inferred("5h"), [json!(false), json!(true), json!(true)], "as the source says");
    assert_eq!(inferred("4i"), [json!(true), json!(false), json!(false)], "as the shot says");
}

#[test]
fn a_sources_document_counts_for_the_shots_after_it() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    let source = json!({"name": "Bay 3", "zone": "Europe/Madrid", "flight_origin": "tracked"});
    service.send("PUT", "/v1/sources/bay-3", &source.to_string());
    service.send("POST", "/v1/shots", &shot("2").replace("\"5h\"", "\"4i\""));
    let inferred = |club: &str| {
        service.get(&format!("/v1/players/rowan/clubs/{club}/profile")).json()["metrics"]["carry_m"]
            ["inferred"]
            .clone()
    };
    assert_eq!((inferred("5h"), inferred("4i")), (json!(true), json!(false)));
    assert_eq!(service.get("/v1/sources/bay-3").json()["zone"], "Europe/Madrid");
}
