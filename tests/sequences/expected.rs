//! The sequences' file, and how close an answer has to come.

use std::{collections::BTreeMap, fmt::Debug};

use serde::Deserialize;

#[derive(Deserialize)]
pub struct File {
    pub sequences: Vec<Sequence>,
}

#[derive(Deserialize)]
pub struct Sequence {
    pub name: String,
    pub candidates: Vec<String>,
    pub brief: Vec<(String, f64, String)>,
    pub events: Vec<Step>,
    pub after: Vec<After>,
}

#[derive(Deserialize, Clone)]
#[serde(tag = "op", rename_all = "snake_case")]
pub enum Step {
    Shot(Shot),
    SetAside { id: String, on: bool },
    Correct { id: String, set: Set },
}

#[derive(Deserialize, Clone)]
pub struct Shot {
    pub id: String,
    pub session: String,
    pub club: String,
    pub lie: String,
    pub carry_yd: f64,
    pub launch_deg: f64,
    pub spin_rpm: f64,
    pub ball_speed_mps: f64,
    pub head_speed_mps: Option<f64>,
}

#[derive(Deserialize, Clone)]
pub struct Set {
    pub club: Option<String>,
    pub lie: Option<String>,
    pub session: Option<String>,
}

#[derive(Deserialize)]
pub struct After {
    pub events: usize,
    pub run_sd: BTreeMap<String, BTreeMap<String, f64>>,
    pub day_sd: BTreeMap<String, BTreeMap<String, f64>>,
    pub candidates: BTreeMap<String, Answer>,
    pub drift: Option<BTreeMap<String, ClubDrift>>,
}

#[derive(Deserialize)]
pub struct ClubDrift {
    pub scores: Vec<f64>,
    pub alarms: Vec<u32>,
}

#[derive(Deserialize)]
pub struct Answer {
    pub mishits: Vec<String>,
    pub evidence_from_place: usize,
    pub n_a: u32,
    pub n_b: u32,
    pub sessions: u32,
    pub estimates: BTreeMap<String, Estimate>,
    pub log_e_holds: Option<Vec<f64>>,
    pub log_e_broken: Option<Vec<f64>>,
    pub outlook: Outlook,
    pub trial: Policy,
    pub unattended: Policy,
}

#[derive(Deserialize)]
pub struct Estimate {
    pub state: Option<String>,
    pub estimate: Option<f64>,
    pub se: Option<f64>,
    pub df: Option<f64>,
    #[serde(rename = "H")]
    pub h: Option<f64>,
    pub s: Option<f64>,
    pub low: Option<f64>,
    pub high: Option<f64>,
}

#[derive(Deserialize)]
pub struct Outlook {
    pub state: Option<String>,
    pub chance: Option<f64>,
    pub word: Option<String>,
    pub by_measure: Option<BTreeMap<String, f64>>,
}

#[derive(Deserialize)]
pub struct Policy {
    pub running_holds: Vec<Option<f64>>,
    pub running_broken: Vec<Option<f64>>,
    pub running_spread: Option<f64>,
    pub verdict: String,
    pub why: Option<String>,
    #[serde(rename = "J")]
    pub j: usize,
    pub spread: Vec<String>,
    pub more_shots: Option<u32>,
    pub family: Family,
}

#[derive(Deserialize)]
pub struct Family {
    pub holds: bool,
    pub adjusted_p: f64,
}

/// Comparisons that name where they failed. The tolerances are the file's own.
pub struct Close {
    pub place: String,
}

impl Close {
    pub fn same<T: PartialEq<U> + Debug, U: Debug>(&self, what: &str, got: &T, expected: &U) {
        assert!(got == expected, "{what} of {}: {got:?}, not {expected:?}", self.place);
    }

    pub fn number(&self, what: &str, got: f64, expected: Option<f64>) {
        let expected = expected.unwrap_or_else(|| panic!("{what} of {}: {got}", self.place));
        self.within(what, got, expected, 1e-9);
    }

    pub fn end(&self, what: &str, got: Option<f64>, expected: Option<f64>) {
        assert_eq!(got.is_some(), expected.is_some(), "{what} of {}", self.place);
        if let (Some(got), Some(expected)) = (got, expected) {
            self.within(what, got, expected, 1e-7);
        }
    }

    pub fn all(&self, what: &str, got: &[f64], expected: &[f64]) {
        assert_eq!(got.len(), expected.len(), "{what} of {}", self.place);
        for (got, expected) in got.iter().zip(expected) {
            self.within(what, *got, *expected, 1e-9);
        }
    }

    pub fn options(&self, what: &str, got: &[Option<f64>], expected: &[Option<f64>]) {
        assert_eq!(got.len(), expected.len(), "{what} of {}", self.place);
        for (got, expected) in got.iter().zip(expected) {
            assert_eq!(got.is_some(), expected.is_some(), "{what} of {}", self.place);
            if let (Some(got), Some(expected)) = (got, expected) {
                self.within(what, *got, *expected, 1e-9);
            }
        }
    }

    fn within(&self, what: &str, got: f64, expected: f64, tolerance: f64) {
        let reach = tolerance * expected.abs().max(1.0);
        assert!((got - expected).abs() <= reach, "{what} of {}: {got}, not {expected}", self.place);
    }
}
