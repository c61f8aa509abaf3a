//! The sequences' file, and how close an answer has to come.

use std::{collections::BTreeMap, fmt::Debug};

use serde::Deserialize;

#[derive(Deserialize)]
pub(crate) struct File {
    pub(crate) sequences: Vec<Sequence>,
}

#[derive(Deserialize)]
pub(crate) struct Sequence {
    pub(crate) name: String,
    pub(crate) candidates: Vec<String>,
    pub(crate) brief: Vec<(String, f64, String)>,
    pub(crate) events: Vec<Step>,
    pub(crate) after: Vec<After>,
}

#[derive(Deserialize, Clone)]
#[serde(tag = "op", rename_all = "snake_case")]
pub(crate) enum Step {
    Shot(Shot),
    SetAside { id: String, on: bool },
    Correct { id: String, set: Set },
}

#[derive(Deserialize, Clone)]
pub(crate) struct Shot {
    pub(crate) id: String,
    pub(crate) session: String,
    pub(crate) club: String,
    pub(crate) lie: String,
    pub(crate) carry_yd: f64,
    pub(crate) launch_deg: f64,
    pub(crate) spin_rpm: f64,
    pub(crate) ball_speed_mps: f64,
    pub(crate) head_speed_mps: Option<f64>,
}

#[derive(Deserialize, Clone)]
pub(crate) struct Set {
    pub(crate) club: Option<String>,
    pub(crate) lie: Option<String>,
    pub(crate) session: Option<String>,
}

#[derive(Deserialize)]
pub(crate) struct After {
    pub(crate) events: usize,
    pub(crate) run_sd: BTreeMap<String, BTreeMap<String, f64>>,
    pub(crate) day_sd: BTreeMap<String, BTreeMap<String, f64>>,
    pub(crate) candidates: BTreeMap<String, Answer>,
    pub(crate) drift: Option<BTreeMap<String, ClubDrift>>,
}

#[derive(Deserialize)]
pub(crate) struct ClubDrift {
    pub(crate) scores: Vec<f64>,
    pub(crate) alarms: Vec<u32>,
}

#[derive(Deserialize)]
pub(crate) struct Answer {
    pub(crate) mishits: Vec<String>,
    pub(crate) evidence_from_place: usize,
    pub(crate) n_a: u32,
    pub(crate) n_b: u32,
    pub(crate) sessions: u32,
    pub(crate) estimates: BTreeMap<String, Estimate>,
    pub(crate) log_e_holds: Option<Vec<f64>>,
    pub(crate) log_e_broken: Option<Vec<f64>>,
    pub(crate) outlook: Outlook,
    pub(crate) trial: Policy,
    pub(crate) unattended: Policy,
}

#[derive(Deserialize)]
pub(crate) struct Estimate {
    pub(crate) state: Option<String>,
    #[serde(rename = "estimate")]
    pub(crate) centre: Option<f64>,
    pub(crate) se: Option<f64>,
    pub(crate) df: Option<f64>,
    #[serde(rename = "H")]
    pub(crate) h: Option<f64>,
    pub(crate) s: Option<f64>,
    pub(crate) low: Option<f64>,
    pub(crate) high: Option<f64>,
}

#[derive(Deserialize)]
pub(crate) struct Outlook {
    pub(crate) state: Option<String>,
    pub(crate) chance: Option<f64>,
    pub(crate) word: Option<String>,
    pub(crate) by_measure: Option<BTreeMap<String, f64>>,
}

#[derive(Deserialize)]
pub(crate) struct Policy {
    pub(crate) running_holds: Vec<Option<f64>>,
    pub(crate) running_broken: Vec<Option<f64>>,
    pub(crate) running_spread: Option<f64>,
    pub(crate) verdict: String,
    pub(crate) why: Option<String>,
    #[serde(rename = "J")]
    pub(crate) j: usize,
    pub(crate) spread: Vec<String>,
    pub(crate) more_shots: Option<u32>,
    pub(crate) family: Family,
}

#[derive(Deserialize)]
pub(crate) struct Family {
    pub(crate) holds: bool,
    pub(crate) adjusted_p: f64,
}

/// Comparisons that name where they failed. The tolerances are the file's own.
pub(crate) struct Close {
    pub(crate) place: String,
}

impl Close {
    pub(crate) fn same<T: PartialEq<U> + Debug, U: Debug>(
        &self,
        what: &str,
        got: &T,
        expected: &U,
    ) {
        assert!(got == expected, "{what} of {}: {got:?}, not {expected:?}", self.place);
    }

    pub(crate) fn number(&self, what: &str, got: f64, expected: Option<f64>) {
        let expected = expected.unwrap_or_else(|| panic!("{what} of {}: {got}", self.place));
        self.within(what, got, expected, 1e-9);
    }

    pub(crate) fn end(&self, what: &str, got: Option<f64>, expected: Option<f64>) {
        assert_eq!(got.is_some(), expected.is_some(), "{what} of {}", self.place);
        if let (Some(got), Some(expected)) = (got, expected) {
            self.within(what, got, expected, 1e-7);
        }
    }

    pub(crate) fn all(&self, what: &str, got: &[f64], expected: &[f64]) {
        assert_eq!(got.len(), expected.len(), "{what} of {}", self.place);
        for (got, expected) in got.iter().zip(expected) {
            self.within(what, *got, *expected, 1e-9);
        }
    }

    pub(crate) fn options(&self, what: &str, got: &[Option<f64>], expected: &[Option<f64>]) {
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
