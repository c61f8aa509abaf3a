//! Acts on shots, as readers are told of them.

use serde_json::json;

use crate::{
    QUIET,
    listener::{Listener, ids},
    shot,
    support::Running,
};

fn with_three() -> Running {
    let service = Running::start();
    let lines = [shot("1", "rowan", "5h"), shot("2", "rowan", "5h"), shot("3", "robin", "7i")];
    assert_eq!(service.stream(&lines.join("\n")).json()["accepted"], 3);
    service
}

#[test]
fn a_correction_shows_the_shot_as_it_is_now() {
    let service = with_three();
    let mut all = Listener::follow(service.address, "/v1/live");
    let patch = r#"{"set_aside":{"reason":"phone rang"}}"#;
    let item = service.send("PATCH", "/v1/shots/bay-3/2", patch).json();
    let told = all.next();
    assert_eq!((told.kind.as_str(), told.id), ("correction", Some(4)));
    let wanted =
        json!({"sequence": 4, "act": "correct", "shots": [item], "left": [], "more": false});
    assert_eq!(told.data, wanted);
}

#[test]
fn a_shot_that_changes_hands_comes_to_one_reader_and_leaves_another() {
    let service = with_three();
    let follow = |query: &str| Listener::follow(service.address, &format!("/v1/live?{query}"));
    let mut rowan = follow("player=rowan&kind=correction");
    let mut robin = follow("player=robin&kind=correction");
    let mut elsewhere = {
        service.send("PUT", "/v1/sources/bay-4", "{}");
        follow("source=bay-4")
    };
    let set = json!({"filter": {"source": "bay-3", "player": "rowan", "last": 1}, "set": {"player": "robin"}});
    assert_eq!(service.send("POST", "/v1/assignments", &set.to_string()).json()["changed"], 1);
    let (left, came) = (rowan.next().data, robin.next().data);
    assert_eq!((&left["shots"], &left["left"]), (&json!([]), &json!([2])));
    assert_eq!((&came["shots"][0]["sequence"], &came["left"]), (&json!(2), &json!([])));
    assert_eq!(came["shots"][0]["player"], "robin");
    assert_eq!(elsewhere.within(QUIET), None);
}

#[test]
fn what_is_erased_leaves_every_reader_and_no_resumed_stream_tells_of_it() {
    let service = with_three();
    let mut robin = Listener::follow(service.address, "/v1/live?player=robin&kind=correction");
    assert_eq!(
        service.ask(b"DELETE /v1/shots/bay-3/1 HTTP/1.1\r\nHost: localhost\r\n\r\n").status,
        204
    );
    let told = robin.next();
    assert_eq!((&told.data["act"], &told.data["left"]), (&json!("erase_shot"), &json!([1])));
    let mut again = Listener::resume(service.address, "/v1/live", 0);
    let told = again.take(3);
    assert_eq!(ids(&told), [2, 3, 4]);
    assert!(!told.iter().any(|event| event.data["event"]["id"] == "1"), "{told:?}");
}

#[test]
fn an_erased_player_is_told_to_all_without_a_name() {
    let service = with_three();
    let mut robin = Listener::follow(service.address, "/v1/live?player=robin&kind=correction");
    let erase = b"DELETE /v1/players/rowan?shots=erase HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_eq!(service.ask(erase).status, 204);
    let told = robin.next();
    assert_eq!((&told.data["act"], &told.data["more"]), (&json!("erase_player"), &json!(true)));
    assert!(!told.data.to_string().contains("rowan"));
    let mut again = Listener::resume(service.address, "/v1/live", 0);
    assert_eq!(ids(&again.take(2)), [3, 4]);
}

#[test]
fn an_act_on_very_many_says_that_there_is_more() {
    let service = Running::start();
    let lines: Vec<String> = (0..150).map(|n| shot(&n.to_string(), "rowan", "5h")).collect();
    service.stream(&lines.join("\n"));
    let mut all = Listener::follow(service.address, "/v1/live");
    let set = json!({"filter": {"source": "bay-3"}, "set": {"lie": "mat"}});
    assert_eq!(service.send("POST", "/v1/assignments", &set.to_string()).json()["changed"], 150);
    let told = all.next().data;
    assert_eq!((told["shots"].as_array().unwrap().len(), &told["more"]), (100, &json!(true)));
}
