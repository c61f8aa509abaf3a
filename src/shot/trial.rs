//! Trials: clubs hit head to head, with the brief fixed before the first shot.

use super::brief::StatedBrief;
use super::correction::{Change, Reason};
use super::fault::Rejection;
use super::json::Json;
use super::names::{BallId, ClubId};
use super::reading::{Reading, Text, document};
use super::words::{Lie, TrialState};
use serde::{Deserialize, Serialize};

/// The most clubs that are tried at once: with more, nobody hits enough of each.
pub const CANDIDATES_MAX: usize = 6;
/// Shots of a visit that may be planned: as few as two rounds of two clubs take, and more than anybody
/// should hit in a day.
pub const VISIT_SHOTS: (u32, u32) = (4, 300);
/// Shots of a visit unless stated. Many short visits beat few long ones: of two clubs that truly carry
/// the same, a proof takes some 48 shots a club at 5 a visit, and 62 at 15. Own simulation.
pub const VISIT_SHOTS_USUAL: u32 = 30;
/// Shots in a row with one club that may be planned.
pub const BLOCK_SHOTS: (u32, u32) = (1, 20);
/// Shots in a row with one club unless stated: enough to settle, too few to tire within.
pub const BLOCK_SHOTS_USUAL: u32 = 5;

/// A trial as it was opened: who shall take whose place, what they must do, and how they are hit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trial {
    /// What it is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The club whose place is wanted.
    pub incumbent: ClubId,
    /// The clubs that are tried.
    pub candidates: Vec<ClubId>,
    /// What they must do, with every figure stated.
    pub brief: StatedBrief,
    /// The lies to hit from, in turn; of none, whichever.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lies: Vec<Lie>,
    /// The ball to hit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ball: Option<BallId>,
    /// The most shots of a visit.
    pub visit_shots: u32,
    /// The most shots of a block: in a row with one club.
    pub block_shots: u32,
    /// Anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notes: Option<String>,
}

impl Trial {
    /// Reads what a trial is opened with. Figures that its brief leaves out are the usual ones.
    pub fn from_json(text: &[u8], usual: &StatedBrief) -> Result<Self, Rejection> {
        document(text, "a trial", |from| {
            let name = from.text("name", Text::Title);
            from.need("incumbent");
            let incumbent: Option<ClubId> = from.name("incumbent");
            let candidates = candidates(from, incumbent.as_ref());
            let brief = from.object("brief", |brief| Some(StatedBrief::read(brief, usual)));
            let brief = brief.unwrap_or_else(|| usual.clone());
            let (lies, ball) = (lies(from, &brief), ball(from, &brief));
            let visit_shots = visit_shots(from, candidates.as_ref().map_or(0, Vec::len));
            let block_shots = from.whole("block_shots", BLOCK_SHOTS).unwrap_or(BLOCK_SHOTS_USUAL);
            let notes = from.text("notes", Text::Notes);
            let (incumbent, candidates) = (incumbent?, candidates?);
            Some(Self {
                name,
                incumbent,
                candidates,
                brief,
                lies,
                ball,
                visit_shots,
                block_shots,
                notes,
            })
        })
    }

    /// All its clubs, the incumbent first.
    pub fn clubs(&self) -> impl Iterator<Item = &ClubId> {
        [&self.incumbent].into_iter().chain(&self.candidates)
    }
}

fn candidates(from: &mut Reading<'_, '_>, incumbent: Option<&ClubId>) -> Option<Vec<ClubId>> {
    from.need("candidates");
    if from
        .peek("candidates")
        .is_some_and(|sent| matches!(sent, Json::List(list) if list.is_empty()))
    {
        from.fault_at("candidates", "is empty: name the clubs that are tried, 1 to 6");
    }
    let mut candidates: Vec<ClubId> = Vec::new();
    from.list("candidates", CANDIDATES_MAX, |at, value, faults| {
        let club: ClubId = at.name(&value, faults)?;
        if Some(&club) == incumbent {
            faults.add(|| at.fault("is the incumbent itself: name another club"));
        }
        if candidates.contains(&club) {
            faults.add(|| at.fault("stands twice in the list: name it once"));
        }
        candidates.push(club);
        Some(())
    })?;
    Some(candidates)
}

/// The lies to hit from. A brief that counts shots from one lie only is hit from there.
fn lies(from: &mut Reading<'_, '_>, brief: &StatedBrief) -> Vec<Lie> {
    let mut lies: Vec<Lie> = Vec::new();
    let sent = from.list("lies", Lie::ALL.len(), |at, value, faults| {
        let lie: Lie = at.word(&value, faults)?;
        if lies.contains(&lie) {
            faults.add(|| at.fault("stands twice in the list: send it once"));
        }
        if let Some(only) = brief.lie.filter(|only| *only != lie) {
            faults.add(|| {
                at.fault(format!("would not count: the brief counts shots from {only} only"))
            });
        }
        lies.push(lie);
        Some(())
    });
    if sent.is_some() { lies } else { brief.lie.into_iter().collect() }
}

/// The ball to hit. A brief that counts one ball only is hit with that.
fn ball(from: &mut Reading<'_, '_>, brief: &StatedBrief) -> Option<BallId> {
    let ball: Option<BallId> = from.name("ball");
    if let (Some(ball), Some(only)) = (&ball, &brief.ball)
        && ball != only
    {
        let detail = format!("would not count: the brief counts shots with \"{only}\" only");
        from.fault_at("ball", &detail);
    }
    ball.or_else(|| brief.ball.clone())
}

/// The most shots of a visit, in which every club is hit twice at least.
fn visit_shots(from: &mut Reading<'_, '_>, candidates: usize) -> u32 {
    let shots = from.whole("visit_shots", VISIT_SHOTS).unwrap_or(VISIT_SHOTS_USUAL);
    let clubs = u32::try_from(candidates + 1).unwrap_or(u32::MAX);
    let least = clubs.saturating_mul(2);
    if shots < least && candidates <= CANDIDATES_MAX {
        let detail = format!(
            "is {shots}: a visit hits each of the {clubs} clubs twice, so send {least} at least"
        );
        from.fault_at("visit_shots", &detail);
    }
    shots
}

/// What changes of a trial after it was opened (JSON Merge Patch, RFC 7396).
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct TrialPatch {
    /// How it stands from now on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<TrialState>,
    /// Why.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<Reason>,
    /// What it is called.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub name: Change<String>,
    /// Anything.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub notes: Change<String>,
}

/// What is fixed when a trial is opened: evidence gathered under one brief proves nothing about
/// another.
const FIXED: [&str; 7] =
    ["incumbent", "candidates", "brief", "lies", "ball", "visit_shots", "block_shots"];

impl TrialPatch {
    /// Reads a patch.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a change of a trial", |from| {
            let state = from.word("state");
            if state.is_none() && from.peek("reason").is_some() {
                from.fault_at("reason", "says why the state changes: send `state` with it");
            }
            let reason = from.read("reason", |at, value, faults| {
                let text = at.text(&value, faults)?;
                Reason::parse(text).map_err(|detail| faults.add(|| at.fault(detail))).ok()
            });
            let patch = Self {
                state,
                reason,
                name: changed_text(from, "name", Text::Title),
                notes: changed_text(from, "notes", Text::Notes),
            };
            for name in FIXED {
                if from.take(name).is_some() {
                    from.fault_at(
                        name,
                        "is fixed once a trial is open: open another trial for that",
                    );
                }
            }
            Some(patch)
        })
    }

    /// Whether it changes nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// A text that null takes away.
fn changed_text(from: &mut Reading<'_, '_>, name: &str, kind: Text) -> Change<String> {
    if matches!(from.peek(name), Some(Json::Null)) {
        from.take(name);
        return Change::Lift;
    }
    from.text(name, kind).map_or(Change::Keep, Change::Set)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::super::fault::RejectionKind;
    use super::*;

    fn usual() -> StatedBrief {
        StatedBrief {
            carry_margin_m: Some(4.572),
            launch_lower_by_deg: Some(1.5),
            launch_lower_at_most_deg: Some(5.0),
            spin_lower_by_rpm: Some(500.0),
            spin_lower_at_most_rpm: Some(1800.0),
            ..StatedBrief::default()
        }
    }

    fn read(text: &str) -> Trial {
        Trial::from_json(text.as_bytes(), &usual()).unwrap()
    }

    fn pointers(rejection: Rejection) -> Vec<String> {
        let RejectionKind::Invalid(faults) = rejection.kind else { panic!("{rejection}") };
        faults.into_iter().map(|fault| fault.pointer).collect()
    }

    fn faults(text: &str) -> Vec<String> {
        pointers(Trial::from_json(text.as_bytes(), &usual()).unwrap_err())
    }

    #[test]
    fn a_trial_needs_its_clubs_and_has_the_usual_brief() {
        let trial = read(r#"{"incumbent": "5h", "candidates": ["4u", "5i"]}"#);
        assert_eq!(trial.brief, usual());
        assert_eq!((trial.visit_shots, trial.block_shots), (30, 5));
        assert_eq!(trial.clubs().map(ClubId::as_str).collect::<Vec<_>>(), ["5h", "4u", "5i"]);
        assert_eq!(faults("{}"), ["/incumbent", "/candidates"]);
    }

    #[test]
    fn a_brief_comes_in_any_unit_and_its_faults_name_what_was_sent() {
        let trial = read(
            r#"{"incumbent": "5h", "candidates": ["4u"],
                "brief": {"carry_margin_yd": 4, "slot_low_yd": 160, "slot_high_m": 160, "lie": "mat"}}"#,
        );
        assert_eq!(trial.brief.carry_margin_m, Some(3.6576));
        assert_eq!(trial.lies, [Lie::Mat]);
        assert_eq!(
            faults(
                r#"{"incumbent": "5h", "candidates": ["4u"],
                    "brief": {"slot_low_yd": 170, "spin_lower_at_most_rpm": 400, "carry_margin": 5,
                              "to": "2026-01-01", "from": "2026-02-01"}}"#
            ),
            [
                "/brief/slot_high_yd",
                "/brief/spin_lower_at_most_rpm",
                "/brief/to",
                "/brief/carry_margin"
            ]
        );
    }

    #[test]
    fn what_no_trial_can_be_is_refused_at_its_place() {
        assert_eq!(
            faults(
                r#"{"incumbent": "5h", "candidates": ["5h", "4u", "4u"], "visit_shots": 5, "block_shots": 0,
                    "lies": ["mat", "tee", "tee"], "brief": {"lie": "mat", "ball": "a"}, "ball": "b"}"#
            ),
            [
                "/candidates/0",
                "/candidates/2",
                "/lies/1",
                "/lies/2",
                "/lies/2",
                "/ball",
                "/visit_shots",
                "/block_shots"
            ]
        );
        assert_eq!(faults(r#"{"incumbent": "5h", "candidates": []}"#), ["/candidates"]);
        let seven = r#"{"incumbent": "5h", "candidates": ["a", "b", "c", "d", "e", "f", "g"]}"#;
        assert_eq!(faults(seven), ["/candidates"]);
    }

    #[test]
    fn a_patch_changes_the_state_and_the_words_and_nothing_that_is_fixed() {
        let patch = br#"{"state": "closed", "reason": "rain", "notes": null}"#;
        let patch = TrialPatch::from_json(patch).unwrap();
        assert_eq!((patch.state, &patch.notes), (Some(TrialState::Closed), &Change::Lift));
        let kept = serde_json::to_string(&patch).unwrap();
        assert_eq!(serde_json::from_str::<TrialPatch>(&kept).unwrap(), patch);
        let refused = br#"{"reason": "rain", "brief": {}, "candidates": [], "stat": "open"}"#;
        let refused = pointers(TrialPatch::from_json(refused).unwrap_err());
        assert_eq!(refused, ["/reason", "/candidates", "/brief", "/stat"]);
        assert!(TrialPatch::from_json(b"{}").unwrap().is_empty());
    }
}
