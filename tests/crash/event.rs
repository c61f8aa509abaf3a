//! Events as senders compose them, in more than one spelling.

use crate::dice::Dice;

const PLAYERS: [&str; 2] = ["\"rowan\"", "\"marit\""];
const CLUBS: [&str; 3] = ["\"5h\"", "\"4i\"", "\"7w\""];
const LIES: [&str; 3] = ["\"mat\"", "\"mat\"", "\"fairway\""];
const BALLS: [&str; 3] = ["\"range-a\"", "\"range-a\"", "\"course-b\""];

/// White space that may stand between two tokens.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Layout {
    /// None that ends a line.
    Line,
    /// Any that JSON has.
    Page,
}

impl Layout {
    fn gaps(self) -> &'static [&'static str] {
        match self {
            Self::Line => &["", "", " ", "\t "],
            Self::Page => &["", "", " ", "\n", "\r\n  ", "\t"],
        }
    }
}

/// Members of one event, their values as JSON text.
#[derive(Debug, Clone)]
pub(crate) struct Event(Vec<(&'static str, String)>);

impl Event {
    /// A shot with its player and club, most often on a mat.
    pub(crate) fn assigned(source: &str, id: &str, dice: &mut Dice) -> Self {
        let mut event = Self::waiting(source, id, dice);
        // One name in eight is escaped: the same name, spelled in another way.
        let player = if dice.once_in(8) { "\"r\\u006fwan\"" } else { dice.one(&PLAYERS) };
        event.0.push(("player", player.to_owned()));
        event.0.push(("club", (*dice.one(&CLUBS)).to_owned()));
        event
    }

    /// A shot that says neither player nor club.
    pub(crate) fn waiting(source: &str, id: &str, dice: &mut Dice) -> Self {
        let (day, minute) = (1 + dice.below(9), dice.below(1_440));
        let time = format!("\"2026-04-{day:02}T{:02}:{:02}:07+02:00\"", minute / 60, minute % 60);
        let (speed, launch) = (dice.number(46, 56), dice.number(10, 20));
        let spin = 3_000 + dice.below(3_000);
        let mut members = vec![
            ("id", format!("\"{id}\"")),
            ("source", format!("\"{source}\"")),
            ("time", time),
            ("lie", (*dice.one(&LIES)).to_owned()),
            ("ball", (*dice.one(&BALLS)).to_owned()),
            (
                "launch",
                format!(
                    r#"{{"ball_speed_mps":{speed},"launch_angle_deg":{launch},"spin_rate_rpm":{spin}}}"#
                ),
            ),
            ("flight", format!(r#"{{"carry_m":{},"origin":"tracked"}}"#, dice.number(130, 175))),
        ];
        if dice.once_in(3) {
            members.push(("clubhead", format!(r#"{{"speed_mps":{}}}"#, dice.number(36, 39))));
        }
        if dice.once_in(4) {
            let length = dice.place(3_000);
            let note = "\u{e9}\u{1f3cc}\\n".repeat(length / 8);
            members.push(("ext", format!(r#"{{"note":"{note}","n":[1.0,1e0,null]}}"#)));
        }
        Self(members)
    }

    /// The same identity with other content.
    pub(crate) fn otherwise(&self) -> Self {
        self.with("flight", r#"{"carry_m":1.25}"#)
    }

    /// The same identity with content that no shot may have.
    pub(crate) fn invalid(&self) -> Self {
        self.with("flight", r#"{"carry_m":-3}"#)
    }

    fn with(&self, name: &str, value: &str) -> Self {
        let mut other = self.clone();
        for (member, text) in &mut other.0 {
            if *member == name {
                value.clone_into(text);
            }
        }
        other
    }

    /// The event as text: members in any order, white space as it comes.
    pub(crate) fn spelled(&self, layout: Layout, dice: &mut Dice) -> String {
        let mut members = self.0.clone();
        dice.shuffle(&mut members);
        let mut text = String::from("{");
        for (at, (name, value)) in members.iter().enumerate() {
            let mut gap = || *dice.one(layout.gaps());
            let comma = if at == 0 { "" } else { "," };
            text.extend([comma, gap(), "\"", name, "\"", gap(), ":", gap(), value, gap()]);
        }
        text.push('}');
        text
    }
}
