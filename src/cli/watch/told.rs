//! Events as lines for people.

use std::collections::BTreeMap;

use serde_json::Value;

use super::{events::Event, names::Names, verdict::verdict};
use crate::shot::{self, Measure, Units, spoken};

/// What was told of answers that come again and again: only what has changed is told anew.
#[derive(Debug, Default)]
pub(super) struct Told {
    last: BTreeMap<String, String>,
}

impl Told {
    /// The lines of an event; none where it says nothing new.
    pub(super) fn lines(&mut self, event: &Event, units: &str, names: &Names) -> Vec<String> {
        let units = if units == "imperial" { Units::Imperial } else { Units::Si };
        let Event { kind, data, .. } = event;
        match kind.as_str() {
            "shot" => vec![shot_line(data, units, names)],
            "correction" => correction(data, units, names),
            "verdict" => self.verdicts(data, names),
            "trial" => self.trial(data, names),
            "drift" => self.drifts(data),
            "reset" => vec![format!("begun anew: {}", text(&data["detail"]))],
            "cut" => vec![format!("cut: {}", text(&data["detail"]))],
            _ => Vec::new(),
        }
    }

    fn verdicts(&mut self, data: &Value, names: &Names) -> Vec<String> {
        let (player, incumbent) = (text(&data["player"]), text(&data["incumbent"]));
        let new = list(&data["candidates"]).filter_map(|judged| {
            let (line, says) = verdict(judged, player, names);
            let subject = format!("verdict {incumbent} {}", judged["club"]);
            self.is_news(subject, says).then(|| format!("verdict  {line}"))
        });
        new.collect()
    }

    fn trial(&mut self, data: &Value, names: &Names) -> Vec<String> {
        let (player, id) = (text(&data["player"]), text(&data["id"]));
        let (state, trial) = (text(&data["state"]), format!("trial {id}"));
        let called = self.called(data, names);
        let mut lines: Vec<String> = Vec::new();
        if self.is_news(trial.clone(), state.to_owned()) {
            lines.push(format!("trial    {called}: {state}"));
        }
        for judged in list(&data["standings"]) {
            let (line, says) = verdict(judged, player, names);
            if self.is_news(format!("{trial} {}", judged["club"]), says) {
                lines.push(format!("trial    {called}: {line}"));
            }
        }
        let next = data["hitting_order"]["next"]["club"].as_str();
        let next = next.filter(|_| state == "open").map(|club| names.club(player, club));
        // What is to be hit is said anew when the trial goes on.
        if self.is_news(format!("{trial} next"), next.unwrap_or_default().to_owned()) {
            lines.extend(next.map(|club| format!("trial    {called}: hit {club} next")));
        }
        lines
    }

    /// What a trial is called: its name, else its clubs. Of one that was taken out, what it was called.
    fn called(&mut self, data: &Value, names: &Names) -> String {
        let (player, id) = (text(&data["player"]), text(&data["id"]));
        let club = |club: &Value| names.club(player, text(club)).to_owned();
        let tried: Vec<String> = list(&data["candidates"]).map(club).collect();
        let subject = format!("trial {id} is called");
        let called = match data["name"].as_str() {
            Some(name) => name.to_owned(),
            None if tried.is_empty() => {
                self.last.get(&subject).cloned().unwrap_or_else(|| id.to_owned())
            }
            None => format!("{} for {}", tried.join(", "), club(&data["incumbent"])),
        };
        self.last.insert(subject, called.clone());
        called
    }

    fn drifts(&mut self, data: &Value) -> Vec<String> {
        let moved = list(&data["clubs"]).filter(|club| club["state"] == "may_have_drifted");
        let new = moved.filter_map(|club| {
            let words = text(&club["words"]);
            let is_news = self.is_news(format!("drift {}", club["club"]), words.to_owned());
            is_news.then(|| format!("drift    {words}"))
        });
        new.collect()
    }

    /// Whether this is not what was said last of its subject.
    fn is_news(&mut self, subject: String, says: String) -> bool {
        let before = self.last.insert(subject, says.clone());
        before != Some(says)
    }
}

fn correction(data: &Value, units: Units, names: &Names) -> Vec<String> {
    let act = text(&data["act"]).replace('_', " ");
    let shown =
        list(&data["shots"]).map(|shot| format!("{act}: {}", shot_line(shot, units, names)));
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
fn shot_line(item: &Value, units: Units, names: &Names) -> String {
    let event = &item["event"];
    let time = event["time"].as_str().and_then(|time| time.get(11..19)).unwrap_or("–");
    let (player, club) = (text(&item["player"]), text(&item["club"]));
    let mut parts = vec![
        time.to_owned(),
        format!("{:<8}", names.source(text(&event["source"]))),
        format!("{:<10}", names.player(player)),
        format!("{:<12}", names.club(player, club)),
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

pub(super) fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("–")
}

pub(super) fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn event(kind: &str, data: Value) -> Event {
        Event { kind: kind.to_owned(), id: None, data }
    }

    fn lines(told: &mut Told, event: &Event, units: &str) -> Vec<String> {
        told.lines(event, units, &Names::default())
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
        let shot = event("shot", item);
        assert_eq!(
            lines(&mut Told::default(), &shot, "si"),
            [
                "10:15:04  bay-3     rowan       5h            carry 158 m  launch 16.8°  spin 5240 rpm  [mishit]"
            ]
        );
        assert!(lines(&mut Told::default(), &shot, "imperial")[0].contains("carry 173 yd"));
    }

    #[test]
    fn an_answer_is_told_when_it_says_something_new_and_not_when_a_figure_moves() {
        let mut told = Told::default();
        let answer = |outlook: &str, words: &str| {
            let judged = json!({"club": "4u", "verdict": "undecided", "words": words, "outlook": {"words": outlook}});
            event("verdict", json!({"player": "rowan", "incumbent": "5h", "candidates": [judged]}))
        };
        let first = lines(&mut told, &answer("even", "It carries 2 m less."), "si");
        assert_eq!(first, ["verdict  It carries 2 m less. Outlook: even."]);
        assert!(lines(&mut told, &answer("even", "It carries 3 m less."), "si").is_empty());
        assert_eq!(lines(&mut told, &answer("likely", "It carries 3 m less."), "si").len(), 1);
    }

    #[test]
    fn a_trial_that_is_paused_or_taken_out_says_no_more_what_to_hit() {
        let mut told = Told::default();
        let mut trial = json!({
            "id": "t7", "player": "rowan", "incumbent": "5h", "candidates": ["4u"], "state": "open",
            "standings": [], "hitting_order": {"next": {"club": "4u"}},
        });
        let open = ["trial    4u for 5h: open", "trial    4u for 5h: hit 4u next"];
        assert_eq!(lines(&mut told, &event("trial", trial.clone()), "si"), open);
        trial["state"] = json!("paused");
        let paused = lines(&mut told, &event("trial", trial.clone()), "si");
        assert_eq!(paused, ["trial    4u for 5h: paused"]);
        trial["state"] = json!("open");
        assert_eq!(lines(&mut told, &event("trial", trial), "si"), open);
        let gone = json!({"id": "t7", "player": "rowan", "state": "removed", "as_of": 9});
        assert_eq!(lines(&mut told, &event("trial", gone), "si"), ["trial    4u for 5h: removed"]);
    }
}
