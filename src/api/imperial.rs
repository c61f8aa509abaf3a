//! Answers in imperial units: a rewrite of the answer in SI, member by member in the same order, so
//! that the rooms below reckon in one system only. What a number's name says decides: `carry_m`
//! becomes `carry_yd`, and the figures of the summary below it are converted. Where the unit stands
//! in `metric`, that text and the figures beside it are rewritten.

use std::fmt;

use serde::{
    Deserialize, Deserializer, Serialize, Serializer,
    de::{Error, MapAccess, SeqAccess, Visitor},
    ser::SerializeMap,
};
use serde_json::Number;

use crate::shot::units::{self, Unit};

/// Members of a summary or of a criterion that are in the unit of what they describe.
pub(super) const FIGURES: [&str; 11] = [
    "mean", "centre", "median", "sd", "p10", "p90", "estimate", "low", "high", "at_least",
    "at_most",
];

/// Members that hold differences: scaled, with no offset.
const DIFFERENCES: [&str; 4] = ["differences", "differs_by", "given_up", "sd"];

/// Rewrites an answer in SI.
pub(super) fn rewrite(si: &[u8]) -> serde_json::Result<Vec<u8>> {
    let mut answer: Node = serde_json::from_slice(si)?;
    answer.rewrite(Kind::Value);
    serde_json::to_vec(&answer)
}

/// JSON whose members keep their order.
#[derive(Debug, Clone, PartialEq)]
enum Node {
    Null,
    Truth(bool),
    Number(Number),
    Text(String),
    List(Vec<Node>),
    Object(Vec<(String, Node)>),
}

/// What a number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Value,
    Difference,
}

impl Kind {
    /// The kind of what stands under a name within this kind.
    fn within(self, name: &str) -> Self {
        if DIFFERENCES.contains(&name) { Self::Difference } else { self }
    }
}

impl Node {
    /// Rewrites every member below.
    fn rewrite(&mut self, kind: Kind) {
        match self {
            Self::List(items) => items.iter_mut().for_each(|item| item.rewrite(kind)),
            Self::Object(members) => rewrite_members(members, kind),
            _ => {}
        }
    }

    /// Converts a number, numbers side by side, or the figures of a summary.
    fn convert(&mut self, unit: Unit, kind: Kind) {
        match self {
            Self::Number(number) => {
                let converted = number.as_f64().and_then(|kept| match kind {
                    Kind::Value => Number::from_f64(unit.from_si(kept)),
                    Kind::Difference => Number::from_f64(unit.difference_from_si(kept)),
                });
                if let Some(converted) = converted {
                    *number = converted;
                }
            }
            Self::List(items) => items.iter_mut().for_each(|item| item.convert(unit, kind)),
            Self::Object(members) => convert_figures(members, unit, kind),
            Self::Null | Self::Truth(_) | Self::Text(_) => {}
        }
    }
}

fn rewrite_members(members: &mut [(String, Node)], kind: Kind) {
    let stated = |name: &str| match members.iter().find(|(known, _)| known == name) {
        Some((_, Node::Text(text))) => Some(text.clone()),
        _ => None,
    };
    // A share of spreads has no unit, whatever they are spreads of.
    let (metric, of) = (stated("metric"), stated("of"));
    if let Some((renamed, unit)) = metric.as_deref().and_then(units::imperial) {
        match of.as_deref() {
            Some("spread_ratio") => {}
            Some("difference") => convert_figures(members, unit, Kind::Difference),
            _ => convert_figures(members, unit, kind),
        }
        for (_, value) in members.iter_mut().filter(|(name, _)| name == "metric") {
            *value = Node::Text(renamed.clone());
        }
    }
    for (name, value) in members {
        let kind = kind.within(name);
        match units::imperial(name) {
            Some((renamed, unit)) => {
                *name = renamed;
                value.convert(unit, kind);
            }
            None => value.rewrite(kind),
        }
    }
}

fn convert_figures(members: &mut [(String, Node)], unit: Unit, kind: Kind) {
    for (name, value) in members {
        if FIGURES.contains(&name.as_str()) {
            value.convert(unit, kind.within(name));
        }
    }
}

impl Serialize for Node {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null => to.serialize_unit(),
            Self::Truth(truth) => to.serialize_bool(*truth),
            Self::Number(number) => number.serialize(to),
            Self::Text(text) => to.serialize_str(text),
            Self::List(items) => items.serialize(to),
            Self::Object(members) => {
                let mut map = to.serialize_map(Some(members.len()))?;
                for (name, value) in members {
                    map.serialize_entry(name, value)?;
                }
                map.end()
            }
        }
    }
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Reader)
    }
}

struct Reader;

impl<'de> Visitor<'de> for Reader {
    type Value = Node;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("JSON")
    }

    fn visit_unit<E: Error>(self) -> Result<Node, E> {
        Ok(Node::Null)
    }

    fn visit_bool<E: Error>(self, truth: bool) -> Result<Node, E> {
        Ok(Node::Truth(truth))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Node, E> {
        Ok(Node::Number(number.into()))
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Node, E> {
        Ok(Node::Number(number.into()))
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Node, E> {
        Number::from_f64(number).map(Node::Number).ok_or_else(|| E::custom("no finite number"))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Node, E> {
        Ok(Node::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Node, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = from.next_element()? {
            items.push(item);
        }
        Ok(Node::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Node, A::Error> {
        let mut members = Vec::new();
        while let Some(member) = from.next_entry()? {
            members.push(member);
        }
        Ok(Node::Object(members))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use proptest::prelude::*;

    use super::*;

    fn rewritten(si: &str) -> String {
        String::from_utf8(rewrite(si.as_bytes()).unwrap()).unwrap()
    }

    #[test]
    fn names_and_figures_change_and_nothing_else_does() {
        assert_eq!(
            rewritten(
                r#"{"club":"x_m","carry_m":{"n":3,"mean":91.44,"sd":9.144,"low":null,"inferred":false},"apex_m":30.48,"loft_deg":25.5,"carry_pair_m":[0.9144,1.8288],"shots":7}"#
            ),
            r#"{"club":"x_m","carry_yd":{"n":3,"mean":100.0,"sd":10.0,"low":null,"inferred":false},"apex_ft":100.0,"loft_deg":25.5,"carry_pair_yd":[1.0,2.0],"shots":7}"#
        );
    }

    #[test]
    fn where_the_metric_states_the_unit_the_figures_beside_it_follow() {
        assert_eq!(
            rewritten(
                r#"[{"metric":"carry_m","of":"difference","estimate":0.9144,"at_most":4.572,"evidence":3.5},{"metric":"carry_m","of":"spread_ratio","at_most":1.5},{"metric":"carry_m","have":2,"needed":5},{"metric":"mishit_rate","estimate":0.1}]"#
            ),
            r#"[{"metric":"carry_yd","of":"difference","estimate":1.0,"at_most":5.0,"evidence":3.5},{"metric":"carry_yd","of":"spread_ratio","at_most":1.5},{"metric":"carry_yd","have":2,"needed":5},{"metric":"mishit_rate","estimate":0.1}]"#
        );
    }

    #[test]
    fn a_difference_of_temperatures_is_scaled_and_a_temperature_is_moved_too() {
        assert_eq!(
            rewritten(
                r#"{"temperature_c":{"mean":10.0,"sd":10.0},"differs_by":{"temperature_c":10.0}}"#
            ),
            r#"{"temperature_f":{"mean":50.0,"sd":18.0},"differs_by":{"temperature_f":18.0}}"#
        );
    }

    proptest! {
        /// Factors by definition: yard and foot of 1959, the mile of 1,760 yards.
        #[test]
        fn converted_back_a_number_is_what_it_was(kept in -1e6..1e6_f64) {
            let text = rewritten(&serde_json::json!({"carry_m": kept, "apex_m": kept, "ball_speed_mps": kept}).to_string());
            let read: serde_json::Value = serde_json::from_str(&text).unwrap();
            for (name, factor) in [("carry_yd", 0.9144), ("apex_ft", 0.3048), ("ball_speed_mph", 0.447_04)] {
                let back = read[name].as_f64().unwrap() * factor;
                prop_assert!((back - kept).abs() <= kept.abs() * 1e-12, "{name}: {back} was {kept}");
            }
        }
    }
}
