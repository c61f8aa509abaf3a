//! What was told can be asked.

use crate::{listener::Listener, shot, support::Running};

#[test]
fn a_question_asked_after_an_event_knows_of_the_shot() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("0", "rowan", "5h"));
    let mut reader = Listener::follow(service.address, "/v1/live?player=rowan&kind=shot");
    for n in 1..=100 {
        service.send("POST", "/v1/shots", &shot(&n.to_string(), "rowan", "5h"));
        let told = reader.next().id.unwrap();
        let profile = service.get("/v1/players/rowan/clubs/5h/profile").json();
        assert!(profile["as_of"].as_u64().unwrap() >= told, "{told}: {profile}");
        assert_eq!(profile["shots"], n + 1);
        let listed = service.get(&format!("/v1/shots?after={}", told - 1)).json();
        assert_eq!(listed["items"][0]["sequence"], told);
    }
}
