//! Launches of the check data, and how an answer is held against them.

use std::{collections::HashMap, fmt::Debug};

use evencarry::flight::{
    Aerodynamics, Conditions, Flight, Ground, Launch, Model, Pressure, Scales, Scene, Trajectory,
    Weather, Wind,
};

/// A row of the check data.
pub(crate) struct Case {
    pub(crate) name: String,
    columns: HashMap<String, String>,
}

pub(crate) fn cases() -> Vec<Case> {
    let mut reader =
        csv::Reader::from_reader(include_str!("../data/flight/reference.csv").as_bytes());
    let rows: Vec<HashMap<String, String>> =
        reader.deserialize().map(|row| row.expect("a row")).collect();
    let named = |columns: HashMap<String, String>| Case {
        name: format!("{} ({})", columns["case"], columns["model"]),
        columns,
    };
    rows.into_iter().map(named).collect()
}

/// The row of a launch with the default model.
pub(crate) fn case(name: &str) -> Case {
    let wanted = format!("{name} (default)");
    cases().into_iter().find(|case| case.name == wanted).expect("a case of that name")
}

impl Case {
    /// A number; `None` where the cell is empty.
    pub(crate) fn known(&self, column: &str) -> Option<f64> {
        let cell = &self.columns[column];
        (!cell.is_empty()).then(|| cell.parse().expect("a number"))
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        self.known(column).expect("a filled cell")
    }

    pub(crate) fn ground(&self) -> Ground {
        let word = &self.columns["ground"];
        Ground::ALL.into_iter().find(|ground| ground.word() == word).expect("a known ground")
    }

    /// Whether the ball lands along its own axis of height, where the direction means nothing.
    pub(crate) fn lands_upright(&self) -> bool {
        ["head-30", "wedge-head-30"].contains(&self.columns["case"].as_str())
    }

    pub(crate) fn launch(&self) -> Launch {
        Launch {
            ball_speed_mps: self.number("ball_speed_mps"),
            launch_angle_deg: self.number("launch_angle_deg"),
            launch_direction_deg: self.number("launch_direction_deg"),
            spin_rate_rpm: self.number("spin_rate_rpm"),
            spin_axis_deg: self.number("spin_axis_deg"),
        }
    }

    pub(crate) fn conditions(&self) -> Conditions {
        let model = match self.columns["model"].as_str() {
            "default" => Model::Modern,
            "smits-ogg" => Model::Ball1990s,
            "vacuum" => Model::Vacuum,
            other => panic!("no model {other}"),
        };
        let pressure = if &self.columns["pressure_given"] == "1" {
            Pressure::Station(self.number("pressure_hpa"))
        } else {
            Pressure::Standard(self.number("altitude_m"))
        };
        Conditions {
            weather: Weather {
                temperature_c: self.number("temperature_c"),
                pressure,
                humidity_pct: self.number("humidity_pct"),
            },
            wind: Wind {
                speed_mps: self.number("wind_mps"),
                from_deg: self.number("wind_from_deg"),
                height_m: self.number("wind_height_m"),
            },
            aerodynamics: Aerodynamics { model, scales: Scales::NONE },
        }
    }

    pub(crate) fn trajectory(&self) -> Trajectory {
        trajectory(&self.launch(), &self.conditions())
    }
}

pub(crate) fn trajectory(launch: &Launch, conditions: &Conditions) -> Trajectory {
    Scene::new(conditions).unwrap().launch(launch).unwrap()
}

pub(crate) fn fly(launch: &Launch, conditions: &Conditions) -> Flight {
    trajectory(launch, conditions).fly().unwrap()
}

/// Straight at the target, the axis level.
pub(crate) fn straight(ball_speed_mps: f64, launch_angle_deg: f64, spin_rate_rpm: f64) -> Launch {
    Launch {
        ball_speed_mps,
        launch_angle_deg,
        launch_direction_deg: 0.0,
        spin_rate_rpm,
        spin_axis_deg: 0.0,
    }
}

/// Reference air with a wind measured at 10 m.
pub(crate) fn in_wind(speed_mps: f64, from_deg: f64) -> Conditions {
    Conditions { wind: Wind { speed_mps, from_deg, height_m: 10.0 }, ..Conditions::default() }
}

pub(crate) fn in_model(model: Model) -> Conditions {
    let aerodynamics = Aerodynamics { model, scales: Scales::NONE };
    Conditions { aerodynamics, ..Conditions::default() }
}

#[track_caller]
pub(crate) fn near(what: impl Debug, ours: f64, theirs: f64, tolerance: f64) {
    assert!((ours - theirs).abs() <= tolerance, "{what:?}: {ours}, not {theirs} ± {tolerance}");
}
