//! Events as lines for people.

use std::collections::BTreeMap;

use serde_json::Value;

use super::events::Event;
use crate::{
    cli::ask::verdict,
    shot::{self, Measure, Units, spoken},
};

/// What was told of answers that come again and again: only what has changed is told anew.
#[derive(Debug, Default)]
pub(super) struct Told {
    last: BTreeMap<String, String>,
}

impl Told {
    /// The lines of an event; none where it says nothing new.
    pub(super) fn lines(&mut self, event: &Event, units: &str) -> Vec<String> {
        let units = if units == "imperial" { Units::Imperial } else { Units::Si };
        let Event { kind, data, .. } = event;
        match kind.as_str() {
            "shot" => vec![shot_line(data, units)],
            "correction" => correction(data, units),
            "verdict" => self.verdicts(data),
            "trial" => self.trial(data),
            "drift" => self.drifts(data),
            "reset" => vec![format!("begun anew: {}", text(&data["detail"]))],
            "cut" => vec![format!("cut: {}", text(&data["detail"]))],
            _ => Vec::new(),
        }
    }

    fn verdicts(&mut self, data: &Value) -> Vec<String> {
        let incumbent = text(&data["incumbent"]);
        let new = list(&data["candidates"]).filter_map(|judged| {
            let key = format!("verdict {incumbent} {}", judged["club"]);
            self.news(key, format!("verdict  {}", verdict(incumbent, judged)))
        });
        new.collect()
    }

    fn trial(&mut self, data: &Value) -> Vec<String> {
        let (id, incumbent) = (text(&data["id"]), text(&data["incumbent"]));
        let mut lines: Vec<String> = Vec::new();
        lines.extend(
            self.news(format!("trial {id}"), format!("trial    {id} is {}", text(&data["state"]))),
        );
        for judged in list(&data["standings"]) {
            let line = format!("trial    {id}: {}", verdict(incumbent, judged));
            lines.extend(self.news(format!("trial {id} {}", judged["club"]), line));
        }
        let next = &data["hitting_order"]["next"];
        if let Some(club) = next["club"].as_str() {
            let line = format!("trial    {id}: hit {club} next");
            lines.extend(self.news(format!("trial {id} next"), line));
        }
        lines
    }

    fn drifts(&mut self, data: &Value) -> Vec<String> {
        let moved = list(&data["clubs"]).filter(|club| club["state"] == "may_have_drifted");
        let new = moved.filter_map(|club| {
            let line = format!("drift    {}", text(&club["words"]));
            self.news(format!("drift {}", club["club"]), line)
        });
        new.collect()
    }

    /// A line, if it is not the last of its subject.
    fn news(&mut self, subject: String, line: String) -> Option<String> {
        let before = self.last.insert(subject, line.clone());
        (before.as_ref() != Some(&line)).then_some(line)
    }
}

fn correction(data: &Value, units: Units) -> Vec<String> {
    let act = text(&data["act"]).replace('_', " ");
    let shown = list(&data["shots"]).map(|shot| format!("{act}: {}", shot_line(shot, units)));
    let mut lines: Vec<String> = shown.collect();
    let left: Vec<String> = list(&data["left"]).map(Value::to_string).collect();
    if !left.is_empty() {
        lines.push(format!("{act}: no longer to be shown here: {}", left.join(", ")));
    }
    if data["more"] == true {
        lines.push(format!("{act}: more has changed than is told here"));
    }
    lines
}

/// A shot: when, who, with what, and what is known of its flight.
fn shot_line(item: &Value, units: Units) -> String {
    let event = &item["event"];
    let time = event["time"].as_str().and_then(|time| time.get(11..19)).unwrap_or("–");
    let who = |name: &str| item[name].as_str().unwrap_or("–");
    let mut parts = vec![
        time.to_owned(),
        format!("{:<8}", text(&event["source"])),
        format!("{:<10}", who("player")),
        format!("{:<6}", who("club")),
    ];
    if let Ok(event) = shot::parse(event.to_string().as_bytes()) {
        parts.extend(measures(&event, units));
    }
    let flags: Vec<&str> = list(&item["flags"]).filter_map(Value::as_str).collect();
    if !flags.is_empty() {
        parts.push(format!("[{}]", flags.join(", ")));
    }
    if let Some(reason) = item["set_aside"]["reason"].as_str() {
        parts.push(format!("set aside: {reason}"));
    }
    parts.join("  ")
}

fn measures(event: &shot::Event, units: Units) -> Vec<String> {
    let of = |measure, say: &dyn Fn(f64) -> String, what: &str| {
        event.measures.get(measure).map(|value| format!("{what} {}", say(value)))
    };
    [
        of(Measure::Carry, &|metres| units.distance(metres), "carry"),
        of(Measure::LaunchAngle, &spoken::angle, "launch"),
        of(Measure::SpinRate, &spoken::spin, "spin"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("–")
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn event(kind: &str, data: Value) -> Event {
        Event { kind: kind.to_owned(), id: None, data }
    }

    #[test]
    fn a_shot_is_told_in_the_units_asked_for_whatever_it_was_sent_in() {
        let item = json!({
            "event": {
                "id": "1", "source": "bay-3", "time": "2026-04-11T10:15:04+02:00",
                "launch": {"ball_speed_mph": 116, "launch_angle_deg": 16.8, "spin_rate_rpm": 5243},
                "flight": {"carry_yd": 173},
            },
            "player": "rowan", "club": "5h", "flags": ["mishit"], "set_aside": null,
        });
        assert_eq!(
            Told::default().lines(&event("shot", item.clone()), "si"),
            [
                "10:15:04  bay-3     rowan       5h      carry 158 m  launch 16.8°  spin 5240 rpm  [mishit]"
            ]
        );
        assert!(
            Told::default().lines(&event("shot", item), "imperial")[0].contains("carry 173 yd")
        );
    }

    #[test]
    fn an_answer_is_told_when_it_says_something_new() {
        let mut told = Told::default();
        let answer = |word: &str| {
            let judged = json!({"club": "4u", "verdict": "undecided", "outlook": {"words": word}});
            event("verdict", json!({"incumbent": "5h", "candidates": [judged]}))
        };
        let first = told.lines(&answer("even"), "si");
        assert_eq!(first, ["verdict  4u in place of 5h: undecided, even."]);
        assert!(told.lines(&answer("even"), "si").is_empty());
        assert_eq!(told.lines(&answer("likely"), "si").len(), 1);
    }
}
