//! Many readers at one time. How fast it goes is a bench's to say.

use crate::{
    listener::{Listener, ids},
    shot_from,
    support::Running,
};

const READERS: usize = 200;
const PLAYERS: usize = 10;
const ROUNDS: usize = 20;

#[test]
fn two_hundred_readers_have_each_what_they_follow() {
    let service = Running::start();
    let player = |n: usize| format!("p{}", n % PLAYERS);
    let from = |n: usize| shot_from("bay-3", (&format!("s{n}"), &player(n), "5h"), "");
    let lines: Vec<String> = (0..PLAYERS).map(from).collect();
    service.stream(&lines.join("\n"));
    let follow = |n: usize| {
        // One in four follows everybody.
        let query = if n.is_multiple_of(4) {
            String::new()
        } else {
            format!("player={}&kind=shot", player(n))
        };
        Listener::follow(service.address, &format!("/v1/live?{query}"))
    };
    let mut readers: Vec<Listener> = (0..READERS).map(follow).collect();
    for n in PLAYERS..PLAYERS * (ROUNDS + 1) {
        assert_eq!(service.send("POST", "/v1/shots", &from(n)).status, 201);
    }
    let all = (PLAYERS..PLAYERS * (ROUNDS + 1)).map(|n| (n + 1) as u64);
    for (n, reader) in readers.iter_mut().enumerate() {
        let own = |sequence: &u64| (sequence - 1) % PLAYERS as u64 == (n % PLAYERS) as u64;
        let wanted: Vec<u64> = all.clone().filter(|at| n.is_multiple_of(4) || own(at)).collect();
        assert_eq!(ids(&reader.take(wanted.len())), wanted, "reader {n}");
    }
}
