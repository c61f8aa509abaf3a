//! `evencarry compare`

use clap::Args;
use serde_json::Value;

use super::{
    Asking, Question, ask,
    figure::{bounds, figure, said, written},
    line, list, or_dash,
    table::Table,
    weather::in_weather,
};
use crate::cli::Exit;

/// Say whether a club can take another's place, under the usual brief, and how the two differ.
///
/// Differences are candidate minus incumbent, like for like. With --json two answers are printed, one a
/// line: that of `/comparisons`, then that of `/replacements`.
#[derive(Debug, Args)]
pub(in crate::cli) struct Arguments {
    /// The player's id.
    player: String,
    /// The id of the club whose place is wanted.
    incumbent: String,
    /// The id of the club that is tried.
    candidate: String,
    /// Fly both clubs in weather too: in wind from ahead, from behind and across, and in the cold on soaked
    /// ground. Computed, and in no verdict.
    #[arg(long)]
    weather: bool,
    #[command(flatten)]
    asking: Asking,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let Arguments { player, incumbent, candidate, weather, asking } = arguments;
    let question = |leaf| Question {
        path: vec!["v1", "players", player, leaf],
        query: vec![("incumbent", incumbent), ("candidate", candidate)],
    };
    let mut questions = [question("comparisons"), question("replacements")];
    if *weather {
        questions[0].query.push(("conditions", "true"));
    }
    ask(asking, &questions, |answers| told(&answers[0], &answers[1]))
}

fn told(comparison: &Value, replacements: &Value) -> String {
    let mut told = String::new();
    let judged = &replacements["candidates"][0];
    line(&mut told, or_dash(&judged["words"]));
    for sentence in sentences(replacements, judged) {
        line(&mut told, sentence);
    }
    let (sessions, shots) = (&comparison["sessions"], &comparison["shots"]);
    line(
        &mut told,
        format!(
            "\nDifferences like for like, in {sessions} visits: {} shots against {}.\n",
            shots["candidate"], shots["incumbent"]
        ),
    );
    told.push_str(&differences(&comparison["differences"]).text());
    told.push('\n');
    told.push_str(&criteria(&judged["criteria"]).text());
    if comparison["conditions"].is_object() {
        told.push('\n');
        told.push_str(&in_weather(&comparison["conditions"]));
    }
    told
}

/// What else is said: what lacks for proof, what is given up, what becomes of the ladder, what to hit.
fn sentences<'a>(replacements: &'a Value, judged: &'a Value) -> Vec<&'a str> {
    let mut told: Vec<&str> = Vec::new();
    told.extend(judged["until_proof"]["words"].as_str());
    told.extend(list(&judged["given_up"]).filter_map(|loss| loss["words"].as_str()));
    told.extend(judged["ladder_after"]["words"].as_str());
    told.extend(replacements["advice"]["words"].as_str());
    told
}

fn differences(differences: &Value) -> Table {
    let mut table = Table::of(&["", "", "difference", "95 % bounds"]);
    for (member, interval) in differences.as_object().into_iter().flatten() {
        let (name, unit) = said(member);
        let estimate = figure(member, &interval["estimate"]);
        table.row([name, unit.to_owned(), estimate, bounds(member, interval)]);
    }
    table
}

fn criteria(criteria: &Value) -> Table {
    let mut table = Table::of(&["criterion", "of", "state", "evidence", "needed"]);
    for criterion in list(criteria) {
        let (metric, _) = said(or_dash(&criterion["metric"]));
        table.row([
            or_dash(&criterion["name"]).replace('_', " "),
            metric,
            or_dash(&criterion["state"]).replace('_', " "),
            evidence(&criterion["evidence"]),
            evidence(&criterion["evidence_needed"]),
        ]);
    }
    table
}

/// Evidence beyond a million is as good as a million.
fn evidence(value: &Value) -> String {
    match value.as_f64() {
        Some(evidence) if evidence > 1e6 => String::from("> 1,000,000"),
        Some(evidence) => written(evidence, usize::from(evidence < 10.0)),
        None => String::from("–"),
    }
}
