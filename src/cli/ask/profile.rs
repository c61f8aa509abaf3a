//! `evencarry profile`

use clap::Args;
use serde_json::Value;

use super::{
    Asking, Question, ask,
    figure::{bounds, figure, is_of, said},
    line, list, or_dash,
    table::Table,
};
use crate::cli::Exit;

/// Say what a club does: every measure with its spread, and what a mishit costs.
#[derive(Debug, Args)]
pub(in crate::cli) struct Arguments {
    /// The player's id.
    player: String,
    /// The club's id.
    club: String,
    /// Only shots from this lie.
    #[arg(long)]
    lie: Option<String>,
    /// Only shots with this ball.
    #[arg(long)]
    ball: Option<String>,
    #[command(flatten)]
    asking: Asking,
}

/// The measures that people ask for first; the others follow by name.
const FIRST: [&str; 8] =
    ["carry", "total", "launch_angle", "spin_rate", "apex", "descent_angle", "side", "ball_speed"];

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let Arguments { player, club, lie, ball, asking } = arguments;
    let mut query = Vec::new();
    query.extend(lie.as_deref().map(|lie| ("lie", lie)));
    query.extend(ball.as_deref().map(|ball| ("ball", ball)));
    let path = vec!["v1", "players", player, "clubs", club, "profile"];
    ask(asking, &[Question { path, query }], |answers| told(&answers[0]))
}

fn told(profile: &Value) -> String {
    let mut told = String::new();
    let (player, club) = (or_dash(&profile["player"]), or_dash(&profile["club"]));
    let (surface, ball) = (or_dash(&profile["surface"]), or_dash(&profile["ball"]));
    line(&mut told, format!("{player}, {club}, from {surface}, ball {ball}:"));
    line(
        &mut told,
        format!(
            "{} of {} shots counted, in {} visits; mishits: {}, set aside: {}.",
            profile["counted"],
            profile["shots"],
            profile["sessions"],
            profile["mishits"],
            profile["set_aside"],
        ),
    );
    line(&mut told, or_dash(&profile["words"]));
    if let Some(sentence) = profile["forgiveness"]["words"].as_str() {
        line(&mut told, sentence);
    }
    // What was never tried needs no words here.
    let worked = list(&profile["workability"]).filter(|worked| worked["shots"] != 0);
    for sentence in worked.filter_map(|worked| worked["words"].as_str()) {
        line(&mut told, sentence);
    }
    let table = metrics(&profile["metrics"]);
    if !table.is_empty() {
        told.push('\n');
        told.push_str(&table.text());
    }
    told
}

/// The measures that there is anything of.
fn metrics(metrics: &Value) -> Table {
    let mut table = Table::of(&["", "", "n", "median", "10 % to 90 %", "mean", "95 % bounds"]);
    let mut known: Vec<(&String, &Value)> = metrics.as_object().into_iter().flatten().collect();
    known.retain(|(_, metric)| metric["n"].as_u64().is_some_and(|n| n > 0));
    known.sort_by_key(|(member, _)| {
        let first = FIRST.iter().position(|name| is_of(member, name));
        (first.unwrap_or(FIRST.len()), (*member).clone())
    });
    for (member, metric) in known {
        let (name, unit) = said(member);
        let of = |what: &str| figure(member, &metric[what]);
        let most = format!("{} to {}", of("p10"), of("p90"));
        table.row([
            name,
            unit.to_owned(),
            metric["n"].to_string(),
            of("median"),
            most,
            of("mean"),
            bounds(member, metric),
        ]);
    }
    table
}
