//! What players, clubs and sources are called: asked when one is met, and again after a while.

use std::{
    collections::BTreeMap,
    time::{Duration, Instant},
};

use serde_json::Value;

use super::{events::Event, told::list};
use crate::cli::address::Service;

/// How long a name is taken for the present one.
const FRESH: Duration = Duration::from_mins(1);

/// The names that are known, each with when it was asked, by the path where that was.
#[derive(Debug, Default)]
pub(super) struct Names {
    known: BTreeMap<Vec<String>, (String, Instant)>,
}

impl Names {
    /// Asks for the names of what an event speaks of. What has none, or cannot be asked now, is called by
    /// its id.
    pub(super) async fn learn(&mut self, service: &Service, event: &Event) {
        for path in spoken_of(event) {
            if self.known.get(&path).is_some_and(|(_, asked)| asked.elapsed() < FRESH) {
                continue;
            }
            let parts: Vec<&str> = path.iter().map(String::as_str).collect();
            let name = match service.answer(&parts, &[]).await {
                Ok(answer) => name_of(&answer),
                Err(exit) if exit.may_pass() => continue,
                Err(_) => None,
            };
            let id = || path.last().cloned().unwrap_or_default();
            let name = name.unwrap_or_else(id);
            self.known.insert(path, (name, Instant::now()));
        }
    }

    pub(super) fn player<'a>(&'a self, player: &'a str) -> &'a str {
        self.name(&player_at(player), player)
    }

    pub(super) fn club<'a>(&'a self, player: &str, club: &'a str) -> &'a str {
        self.name(&club_at(player, club), club)
    }

    pub(super) fn source<'a>(&'a self, source: &'a str) -> &'a str {
        self.name(&source_at(source), source)
    }

    fn name<'a>(&'a self, path: &[String], id: &'a str) -> &'a str {
        self.known.get(path).map_or(id, |(name, _)| name)
    }
}

fn name_of(answer: &[u8]) -> Option<String> {
    let document: Value = serde_json::from_slice(answer).ok()?;
    document["name"].as_str().map(str::to_owned)
}

/// Where each thing is that an event speaks of.
fn spoken_of(Event { kind, data, .. }: &Event) -> Vec<Vec<String>> {
    let shots: Vec<&Value> = match kind.as_str() {
        "shot" => vec![data],
        "correction" => list(&data["shots"]).collect(),
        _ => Vec::new(),
    };
    let compared: Vec<&Value> = match kind.as_str() {
        "verdict" => list(&data["candidates"]).map(|judged| &judged["club"]).collect(),
        "trial" => list(&data["candidates"]).collect(),
        _ => Vec::new(),
    };
    let hit = shots.iter().map(|shot| (&shot["player"], &shot["club"]));
    let compared = compared.into_iter().chain([&data["incumbent"]]);
    let clubs = hit.chain(compared.map(|club| (&data["player"], club)));
    let mut paths = Vec::new();
    for (player, club) in clubs {
        let Some(player) = player.as_str() else { continue };
        paths.push(player_at(player));
        paths.extend(club.as_str().map(|club| club_at(player, club)));
    }
    let sources = shots.iter().filter_map(|shot| shot["event"]["source"].as_str());
    paths.extend(sources.map(source_at));
    paths
}

fn player_at(player: &str) -> Vec<String> {
    at(&["players", player])
}

fn club_at(player: &str, club: &str) -> Vec<String> {
    at(&["players", player, "clubs", club])
}

fn source_at(source: &str) -> Vec<String> {
    at(&["sources", source])
}

fn at(parts: &[&str]) -> Vec<String> {
    ["v1"].iter().chain(parts).map(|part| (*part).to_owned()).collect()
}
