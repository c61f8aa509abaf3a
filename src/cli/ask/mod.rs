//! The commands that ask a running service one question: a sentence first, then a table; or the
//! service's answer as it is.

mod compare;
mod figure;
mod ladder;
mod profile;
mod table;
mod weather;

use std::{
    fmt::Write as _,
    io::{self, Write as _},
};

use bytes::Bytes;
use clap::Args;
use serde_json::Value;

use super::{
    Exit,
    address::{Address, Service, run},
};

pub(super) use compare::{Arguments as Compare, run as compare};
pub(super) use ladder::{Arguments as Ladder, run as ladder};
pub(super) use profile::{Arguments as Profile, run as profile};

/// What all of them are told.
#[derive(Debug, Args)]
pub(super) struct Asking {
    #[command(flatten)]
    address: Address,
    #[command(flatten)]
    units: UnitsAsked,
    /// Print the service's answer as it is, for scripts.
    #[arg(long)]
    json: bool,
}

/// The flag that says in which units.
#[derive(Debug, Clone, Args)]
pub(super) struct UnitsAsked {
    /// The units of the answer: si, or imperial for yards, feet for heights, and miles an hour.
    #[arg(long, env = "EVENCARRY_UNITS", default_value = "si", value_name = "UNITS",
        value_parser = units)]
    units: &'static str,
}

impl UnitsAsked {
    /// As the service spells them.
    pub(super) fn as_str(&self) -> &'static str {
        self.units
    }
}

/// An empty variable is as good as none.
fn units(text: &str) -> Result<&'static str, String> {
    match text {
        "si" | "" => Ok("si"),
        "imperial" => Ok("imperial"),
        _ => Err(String::from("give si or imperial")),
    }
}

/// A question: the parts of its path, and its query.
struct Question<'a> {
    path: Vec<&'a str>,
    query: Vec<(&'a str, &'a str)>,
}

/// Puts questions, and prints the answers as `told` tells them together, or as they are.
fn ask(
    asking: &Asking,
    questions: &[Question<'_>],
    told: impl Fn(&[Value]) -> String,
) -> Result<(), Exit> {
    let service = Service::at(&asking.address)?;
    let answers = run(async {
        let mut answers = Vec::new();
        for Question { path, query } in questions {
            let mut query = query.clone();
            query.push(("units", asking.units.as_str()));
            answers.push(service.answer(path, &query).await?);
        }
        Ok(answers)
    })?;
    let text = if asking.json { as_they_are(&answers) } else { told(&read(&answers)?).into() };
    // A reader that is gone needs no words.
    drop(io::stdout().write_all(&text));
    Ok(())
}

fn as_they_are(answers: &[Bytes]) -> Vec<u8> {
    answers.iter().flat_map(|answer| answer.iter().copied().chain([b'\n'])).collect()
}

fn read(answers: &[Bytes]) -> Result<Vec<Value>, Exit> {
    let read = answers.iter().map(|answer| serde_json::from_slice(answer));
    read.collect::<Result<_, _>>().map_err(|error| {
        let sentence = format!("the answer cannot be read: {error}: is it this service's release?");
        Exit::new(Exit::OTHER_RELEASE, sentence)
    })
}

/// The entries of a list; none of anything else.
fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

/// A text that is there, else a dash.
fn or_dash(text: &Value) -> &str {
    text.as_str().unwrap_or("–")
}

/// Adds a line.
fn line(told: &mut String, text: impl AsRef<str>) {
    // Writing to a text cannot fail.
    let _ = writeln!(told, "{}", text.as_ref());
}
