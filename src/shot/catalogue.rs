//! The documents of the catalogue: players, clubs, bags and balls.
//!
//! Each is replaced whole. `from_json` reads what a client sent and refuses it with every fault;
//! serde writes and reads the form kept, with absent members left out. Lengths may be sent in
//! metres or yards, like the event's; they are kept in metres.

use super::fault::Rejection;
use super::names::{BallId, ClubId, PlayerId};
use super::reading::{Reading, Text, day, document, object};
use super::units::Dimension;
use super::words::{BallKind, ClubKind, Hand};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Lofts of clubs, degrees: from a flat blade to the most lofted wedge, and beyond both.
pub const LOFT_DEG: (f64, f64) = (0.0, 80.0);
/// Lie angles of clubs, degrees: beyond any that is made.
pub const LIE_DEG: (f64, f64) = (30.0, 90.0);
/// Lengths of clubs, m: from a child's to the longest that was ever played, and beyond both.
pub const LENGTH_M: (f64, f64) = (0.3, 1.6);
/// Marks of a rating.
pub const MARKS: (u32, u32) = (1, 5);
/// The most clubs in a bag: the rules' 14 are told of, not forced.
pub const BAG_MAX: usize = 100;
/// The most builds of a club.
pub const BUILDS_MAX: usize = 100;

/// A player.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Player {
    /// What the player is called.
    pub name: String,
    /// The side they play from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<Hand>,
    /// Anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notes: Option<String>,
}

/// A club of a player.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Club {
    /// What it is called.
    pub name: String,
    /// What kind it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<ClubKind>,
    /// Its model.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model: Option<String>,
    /// The loft stamped on it, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loft_deg: Option<f64>,
    /// The loft measured on it, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured_loft_deg: Option<f64>,
    /// Its lie angle, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lie_deg: Option<f64>,
    /// Its length, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// Its shaft.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shaft: Option<String>,
    /// How its adjustable parts are set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub setting: Option<String>,
    /// Whether it is tried, not owned.
    #[serde(default)]
    pub demo: bool,
    /// Anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notes: Option<String>,
    /// The player's marks, kept and shown, never scored.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ratings: Option<Ratings>,
    /// Its changes in the order of their days; each starts new evidence.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub builds: Vec<Build>,
}

/// A player's marks for a club, 1 to 5.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ratings {
    /// How it looks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub look: Option<u8>,
    /// How it feels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feel: Option<u8>,
    /// How far it is trusted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trust: Option<u8>,
}

/// A change of a club: regripped, bent, reshafted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Build {
    /// The first day with it.
    pub from: Date,
    /// What was changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub what: Option<String>,
}

/// A bag of a player.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bag {
    /// What it is called.
    pub name: String,
    /// The clubs in it, each once.
    #[serde(default)]
    pub clubs: Vec<ClubId>,
}

/// A ball.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ball {
    /// What it is called.
    pub name: String,
    /// What kind it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<BallKind>,
    /// Its batch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub batch: Option<String>,
}

impl Player {
    /// The entry of a player that only a shot has named: called by the id.
    #[must_use]
    pub fn bare(id: &PlayerId) -> Self {
        Self { name: id.to_string(), hand: None, notes: None }
    }

    /// Reads the document of a player.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a player", |from| {
            let name = title(from);
            let hand = from.word("hand");
            let notes = from.text("notes", Text::Notes);
            Some(Self { name: name?, hand, notes })
        })
    }
}

impl Club {
    /// The entry of a club that only a shot has named: called by the id.
    #[must_use]
    pub fn bare(id: &ClubId) -> Self {
        Self {
            name: id.to_string(),
            kind: None,
            model: None,
            loft_deg: None,
            measured_loft_deg: None,
            lie_deg: None,
            length_m: None,
            shaft: None,
            setting: None,
            demo: false,
            notes: None,
            ratings: None,
            builds: Vec::new(),
        }
    }

    /// Reads the document of a club.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a club", |from| {
            let name = title(from);
            let club = Self {
                name: String::new(),
                kind: from.word("kind"),
                model: from.text("model", Text::Line),
                loft_deg: from.quantity("loft", Dimension::Angle, LOFT_DEG),
                measured_loft_deg: from.quantity("measured_loft", Dimension::Angle, LOFT_DEG),
                lie_deg: from.quantity("lie", Dimension::Angle, LIE_DEG),
                length_m: from.quantity("length", Dimension::Length, LENGTH_M),
                shaft: from.text("shaft", Text::Line),
                setting: from.text("setting", Text::Line),
                demo: from.truth("demo").unwrap_or_default(),
                notes: from.text("notes", Text::Notes),
                ratings: from.object("ratings", |ratings| Some(Ratings::read(ratings))),
                builds: builds(from),
            };
            Some(Self { name: name?, ..club })
        })
    }
}

impl Ratings {
    fn read(from: &mut Reading<'_, '_>) -> Self {
        let mut mark = |name| from.whole(name, MARKS).and_then(|mark| u8::try_from(mark).ok());
        Self { look: mark("look"), feel: mark("feel"), trust: mark("trust") }
    }
}

impl Build {
    fn read(from: &mut Reading<'_, '_>) -> Option<Self> {
        from.need("from");
        let first = from.read("from", |at, value, faults| day(at, &value, faults));
        let what = from.text("what", Text::Line);
        Some(Self { from: first?, what })
    }
}

impl Bag {
    /// Reads the document of a bag.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a bag", |from| {
            let name = title(from);
            let mut clubs: Vec<ClubId> = Vec::new();
            from.list("clubs", BAG_MAX, |at, value, faults| {
                let club = at.name(&value, faults)?;
                if clubs.contains(&club) {
                    faults.add(|| at.fault("stands twice in the bag: send it once"));
                }
                clubs.push(club);
                Some(())
            });
            Some(Self { name: name?, clubs })
        })
    }
}

impl Ball {
    /// The entry of a ball that only a shot has named: called by the id.
    #[must_use]
    pub fn bare(id: &BallId) -> Self {
        Self { name: id.to_string(), kind: None, batch: None }
    }

    /// Reads the document of a ball.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a ball", |from| {
            let name = title(from);
            let kind = from.word("kind");
            let batch = from.text("batch", Text::Line);
            Some(Self { name: name?, kind, batch })
        })
    }
}

/// What a thing is called: the one member that every document has.
pub(super) fn title(from: &mut Reading<'_, '_>) -> Option<String> {
    from.need("name");
    from.text("name", Text::Title)
}

/// The builds of a club, in the order of their days, one a day.
fn builds(from: &mut Reading<'_, '_>) -> Vec<Build> {
    let mut days = Vec::new();
    let builds = from.list("builds", BUILDS_MAX, |at, value, faults| {
        let build = object("a build", at.pointer(), value, faults, Build::read)?;
        if days.contains(&build.from) {
            faults.add(|| at.fault("has the day of another build: tell both in one"));
        }
        days.push(build.from);
        Some(build)
    });
    let mut builds = builds.unwrap_or_default();
    builds.sort_by_key(|build| build.from);
    builds
}
