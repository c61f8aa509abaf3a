//! Who is told of what.

use crate::{
    QUIET,
    listener::{Listener, ids},
    shot, shot_from,
    support::Running,
};

#[test]
fn a_shot_is_told_once_it_is_stored_as_the_list_shows_it() {
    let service = Running::start();
    let mut all = Listener::follow(service.address, "/v1/live");
    for id in ["a", "b"] {
        assert_eq!(service.send("POST", "/v1/shots", &shot(id, "rowan", "5h")).status, 201);
    }
    let told = all.take(2);
    assert_eq!(ids(&told), [1, 2]);
    let listed = service.get("/v1/shots").json();
    for (event, item) in told.iter().zip(listed["items"].as_array().unwrap()) {
        assert_eq!((event.kind.as_str(), &event.data), ("shot", item));
    }
}

#[test]
fn an_event_of_many_lines_is_told_on_one() {
    let service = Running::start();
    let mut all = Listener::follow(service.address, "/v1/live");
    let pretty = shot_from("bay-3", ("a", "rowan", "5h"), r#","ext":{"text":"x"}"#)
        .replace(',', ",\r\n  ")
        .replace(r#""text":"x""#, "\"text\"\r:\n\"two\\nlines\"");
    assert_eq!(service.send("POST", "/v1/shots", &pretty).status, 201);
    assert_eq!(all.next().data["event"]["ext"]["text"], "two\nlines");
}

#[test]
fn each_reader_is_told_of_what_it_follows_and_of_nothing_else() {
    let service = Running::start();
    let lines = [
        shot_from("bay-3", ("1", "rowan", "5h"), ""),
        shot_from("bay-3", ("2", "rowan", "7i"), ""),
        shot_from("bay-4", ("3", "robin", "5h"), ""),
    ];
    service.stream(&lines.join("\n"));
    let follow = |query: &str| Listener::follow(service.address, &format!("/v1/live?{query}"));
    let mut readers: Vec<(Listener, Vec<u64>)> = [
        ("", vec![4, 5, 6, 7, 8]),
        ("kind=shot&player=rowan", vec![4, 5, 7]),
        ("kind=shot&player=rowan&club=7i", vec![5]),
        ("kind=shot&club=5h", vec![4, 6, 7]),
        ("source=bay-4", vec![6, 7]),
        ("kind=correction", vec![8]),
        ("kind=shot&kind=correction&player=rowan", vec![4, 5, 7, 8]),
    ]
    .into_iter()
    .map(|(query, told)| (follow(query), told))
    .collect();
    let lines = [
        shot_from("bay-3", ("4", "rowan", "5h"), ""),
        shot_from("bay-3", ("5", "rowan", "7i"), ""),
        shot_from("bay-4", ("6", "robin", "5h"), ""),
        shot_from("bay-4", ("7", "rowan", "5h"), ""),
    ];
    assert_eq!(service.stream(&lines.join("\n")).json()["accepted"], 4);
    let patch = r#"{"set_aside":{"reason":"phone rang"}}"#;
    assert_eq!(service.send("PATCH", "/v1/shots/bay-3/1", patch).status, 200);
    for (reader, told) in &mut readers {
        assert_eq!(ids(&reader.take(told.len())), *told);
        assert_eq!(reader.within(QUIET), None);
    }
}

#[test]
fn a_shot_that_waits_for_its_player_is_told_to_who_follows_its_source() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    let mut bay = Listener::follow(service.address, "/v1/live?source=bay-3");
    let mut player = Listener::follow(service.address, "/v1/live?player=rowan&kind=shot");
    let waiting =
        r#"{"id":"2","source":"bay-3","time":"2026-04-11T10:15:04Z","flight":{"carry_m":150}}"#;
    assert_eq!(service.send("POST", "/v1/shots", waiting).json()["status"], "unassigned");
    let told = bay.next();
    assert_eq!((told.id, told.data["player"].is_null()), (Some(2), true));
    assert_eq!(player.within(QUIET), None);
}

#[test]
fn what_is_asked_wrongly_is_told_with_its_parameter() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    for (query, parameter) in [
        ("player=robin", "player"),
        ("player=rowan&club=9i", "club"),
        ("source=bay-9", "source"),
        ("player=rowan&incumbent=9i", "incumbent"),
        ("player=rowan&incumbent=5h&candidate=9i", "candidate"),
        ("kind=swing", "kind"),
        ("kind=verdict&player=rowan", "kind"),
        ("after=x", "after"),
        ("after=0&until=2", "until"),
        ("players=rowan", "players"),
    ] {
        let refused = service.get(&format!("/v1/live?{query}"));
        assert_eq!(refused.status, 422, "{query}");
        assert_eq!(refused.problem()["errors"][0]["parameter"], parameter, "{query}");
    }
}
