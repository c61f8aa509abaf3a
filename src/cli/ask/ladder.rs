//! `evencarry ladder`

use clap::Args;
use serde_json::Value;

use super::{
    Asking, Question, ask,
    figure::{bounds, figure, measured, said},
    line, list, or_dash,
    table::Table,
};
use crate::cli::Exit;

/// Lay a bag out as a ladder of carries, with wide gaps, overlaps, and lofts that disagree with carries.
#[derive(Debug, Args)]
pub(in crate::cli) struct Arguments {
    /// The player's id.
    player: String,
    /// The clubs of this bag; all that are owned unless given.
    #[arg(long)]
    bag: Option<String>,
    /// Only shots from this lie.
    #[arg(long)]
    lie: Option<String>,
    /// Only shots with this ball.
    #[arg(long)]
    ball: Option<String>,
    #[command(flatten)]
    asking: Asking,
}

/// The measures of a rung.
const SHOWN: [&str; 4] = ["carry", "launch_angle", "spin_rate", "descent_angle"];

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let Arguments { player, bag, lie, ball, asking } = arguments;
    let mut query = Vec::new();
    query.extend(bag.as_deref().map(|bag| ("bag", bag)));
    query.extend(lie.as_deref().map(|lie| ("lie", lie)));
    query.extend(ball.as_deref().map(|ball| ("ball", ball)));
    let path = vec!["v1", "players", player, "ladder"];
    ask(asking, &[Question { path, query }], |answers| told(&answers[0]))
}

fn told(ladder: &Value) -> String {
    let mut told = String::new();
    let (player, surface) = (or_dash(&ladder["player"]), or_dash(&ladder["surface"]));
    let (clubs, allowed) = (&ladder["limit"]["clubs"], &ladder["limit"]["allowed"]);
    let ball = or_dash(&ladder["ball"]);
    line(
        &mut told,
        format!("{player}, from {surface}, ball {ball}: {clubs} clubs of {allowed} allowed."),
    );
    line(&mut told, or_dash(&ladder["words"]));
    let table = rungs(ladder);
    if !table.is_empty() {
        told.push('\n');
        told.push_str(&table.text());
    }
    told
}

/// The longest club first.
fn rungs(ladder: &Value) -> Table {
    let rungs: Vec<&Value> = list(&ladder["rungs"]).collect();
    let members: Vec<&str> = SHOWN.iter().filter_map(|name| member_of(&rungs, name)).collect();
    let headings = members.iter().map(|member| {
        let (name, unit) = said(member);
        format!("{name} {unit}")
    });
    let mut all = vec![String::from("club"), String::from("loft °"), String::from("n")];
    all.extend(headings);
    all.extend([String::from("95 % bounds"), String::from("to the next")]);
    let mut table = Table::of(&all.iter().map(String::as_str).collect::<Vec<_>>());
    for rung in rungs.into_iter().rev() {
        let carry = members.first().copied().unwrap_or_default();
        let of = |member: &&str| figure(member, &rung["metrics"][*member]["centre"]);
        let club = or_dash(&rung["club"]);
        let next = list(&ladder["gaps"]).find(|gap| gap["to"] == club);
        let mut row = vec![
            club.to_owned(),
            figure("loft_deg", &rung["loft_deg"]),
            rung["metrics"][carry]["n"].to_string(),
        ];
        row.extend(members.iter().map(of));
        row.push(bounds(carry, &rung["metrics"][carry]));
        row.push(next.map_or_else(String::new, width));
        table.row(row);
    }
    table
}

/// The member that a measure has in the units of the answer.
fn member_of<'a>(rungs: &[&'a Value], name: &str) -> Option<&'a str> {
    let found = rungs.iter().find_map(|rung| measured(&rung["metrics"], name));
    found.map(|(member, _)| member)
}

/// The width of a gap with its unit.
fn width(gap: &Value) -> String {
    let members = gap.as_object().into_iter().flatten();
    let width = members.into_iter().find(|(member, _)| member.starts_with("width_"));
    width.map_or_else(
        || String::from("–"),
        |(member, value)| format!("{} {}", figure(member, value), said(member).1),
    )
}
