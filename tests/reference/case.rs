//! Cases of the data file, and how an answer is held against them.

use std::sync::LazyLock;

use evencarry::stats::{Cell, Estimate, Insufficient, Measure, Of, Quantity, Shots, Side, Test};
use serde_json::Value;

static FILE: LazyLock<Value> = LazyLock::new(|| {
    serde_json::from_str(include_str!("../data/statistics_reference.json"))
        .expect("the data file is JSON")
});

pub(crate) fn file() -> &'static Value {
    &FILE
}

/// A tolerance that the data file names.
pub(crate) fn tolerance(name: &str) -> f64 {
    number(&FILE["tolerance"][name])
}

/// A number, also one that JSON cannot write.
pub(crate) fn number(value: &Value) -> f64 {
    match value {
        Value::String(word) if word == "NaN" => f64::NAN,
        Value::String(word) if word == "Infinity" => f64::INFINITY,
        Value::String(word) if word == "-Infinity" => f64::NEG_INFINITY,
        _ => value.as_f64().unwrap_or_else(|| panic!("{value} is no number")),
    }
}

pub(crate) fn numbers(value: &Value) -> Vec<f64> {
    list(value).iter().map(number).collect()
}

pub(crate) fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap_or_else(|| panic!("{value} is no list"))
}

pub(crate) fn whole(value: &Value) -> u32 {
    value
        .as_u64()
        .and_then(|n| u32::try_from(n).ok())
        .unwrap_or_else(|| panic!("{value} is no count"))
}

pub(crate) struct Case {
    pub(crate) group: &'static str,
    pub(crate) name: &'static str,
    pub(crate) input: &'static Value,
    pub(crate) output: &'static Value,
}

/// All cases of a group; at least one.
pub(crate) fn cases(group: &'static str) -> Vec<Case> {
    let cases = list(&FILE["cases"][group]);
    assert!(!cases.is_empty(), "no case of {group}");
    let case = |case: &'static Value| Case {
        group,
        name: case["name"].as_str().expect("a case has a name"),
        input: &case["input"],
        output: &case["output"],
    };
    cases.iter().map(case).collect()
}

impl Case {
    /// The relative tolerance: the named one, or the looser one of values with a large offset.
    pub(crate) fn tolerance(&self, name: &str) -> f64 {
        let large =
            if self.name.contains("large_offset") { tolerance("large_offset_cases") } else { 0.0 };
        tolerance(name).max(large)
    }

    /// Holds one number against the expected one.
    pub(crate) fn close(&self, what: &str, actual: f64, expected: &Value, relative: f64) {
        let expected = number(expected);
        let off = (actual - expected).abs();
        let absolute = if expected == 0.0 { tolerance("absolute_near_zero") } else { 0.0 };
        assert!(
            off <= (relative * expected.abs()).max(absolute),
            "{}/{}: {what} is {actual:e}, expected {expected:e}, off by {off:e}",
            self.group,
            self.name
        );
    }

    /// Whether the case expects a number. If not, `result` must fail as it says.
    pub(crate) fn succeeds<T: std::fmt::Debug>(
        &self,
        result: Result<T, Insufficient>,
    ) -> Option<T> {
        if self.output.get("error").is_some() {
            let fault = result.expect_err(self.name);
            let word = fault.to_string().replace(' ', "_");
            assert_eq!(
                Some(word.as_str()),
                self.output["error"].as_str(),
                "{}/{}",
                self.group,
                self.name
            );
            None
        } else if self.output["state"] == "insufficient" {
            let why = result.expect_err(self.name).to_string();
            assert_eq!(
                Some(why.as_str()),
                self.output["why"].as_str(),
                "{}/{}",
                self.group,
                self.name
            );
            None
        } else {
            Some(result.unwrap_or_else(|why| panic!("{}/{}: {why}", self.group, self.name)))
        }
    }

    /// Whether the case expects a number or nothing to be measured.
    pub(crate) fn exists<T: std::fmt::Debug>(&self, result: Option<T>) -> Option<T> {
        if self.output["state"] == "none" {
            assert!(result.is_none(), "{}/{}: {result:?}", self.group, self.name);
            None
        } else {
            Some(result.unwrap_or_else(|| panic!("{}/{}: nothing", self.group, self.name)))
        }
    }

    /// Holds fields of the output against the answer's.
    pub(crate) fn fields(&self, relative: f64, fields: &[(&str, f64)]) {
        let expected = self.output.as_object().expect("an object of fields");
        assert_eq!(
            expected.len(),
            fields.len(),
            "{}/{}: fields left unchecked",
            self.group,
            self.name
        );
        for (field, actual) in fields {
            self.close(field, *actual, &self.output[*field], relative);
        }
    }
}

/// A cell of raw values.
pub(crate) fn cell(values: &Value) -> Result<Cell, Insufficient> {
    Cell::of(&numbers(values))
}

/// An estimate written as an object; what a case leaves out is 0.
pub(crate) fn estimate(value: &Value) -> Estimate {
    let field = |name: &str| value.get(name).map_or(0.0, number);
    let shots = |name: &str| value.get(name).map_or(0, whole);
    let mean = value.get("mean");
    Estimate {
        centre: number(mean.unwrap_or(&value["difference"])),
        se: field("se"),
        df: field("df"),
        h: field("H"),
        s: field("s"),
        s_within: field("s_within"),
        sessions: shots("sessions"),
        shots: match mean {
            Some(_) => Shots::Single(shots("n")),
            None => Shots::Pair { candidate: shots("n_a"), incumbent: shots("n_b") },
        },
    }
}

pub(crate) fn quantity(name: &str) -> Quantity {
    let (measure, of) = match name.strip_suffix("_mean") {
        Some(measure) => (measure, Of::OwnMean),
        None => (name, Of::Difference),
    };
    let measure = match measure {
        "carry_yd" => Measure::Carry,
        "launch_deg" => Measure::Launch,
        "spin_rpm" => Measure::Spin,
        "descent_deg" => Measure::Other(0),
        other => panic!("no measure {other}"),
    };
    Quantity { measure, of }
}

pub(crate) fn side(value: &Value) -> Side {
    match value.as_str() {
        Some("above") => Side::Above,
        Some("below") => Side::Below,
        _ => panic!("{value} is no side"),
    }
}

/// A test written as [measure, bound, side].
pub(crate) fn test(value: &Value) -> Test {
    let parts = list(value);
    Test {
        quantity: quantity(parts[0].as_str().unwrap()),
        bound: number(&parts[1]),
        side: side(&parts[2]),
    }
}
