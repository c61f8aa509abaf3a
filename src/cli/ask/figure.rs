//! Figures for people: few digits, with a unit, and a minus that is as wide as a plus.

use serde_json::Value;

/// A unit as members' names end in it, as people write it, and the digits behind the point.
const UNITS: &[(&str, &str, usize)] = &[
    ("m", "m", 1),
    ("yd", "yd", 1),
    ("ft", "ft", 0),
    ("mps", "m/s", 1),
    ("mph", "mph", 1),
    ("deg", "°", 1),
    ("rpm", "rpm", 0),
    ("mm", "mm", 0),
    ("c", "°C", 0),
    ("f", "°F", 0),
    ("s", "s", 1),
];

/// A member's name as people say it, and its unit.
pub(super) fn said(member: &str) -> (String, &'static str) {
    let (name, unit, _) = split(member);
    (name.replace('_', " "), unit)
}

/// A number under a member's name, without its unit; a dash where there is none.
pub(super) fn figure(member: &str, value: &Value) -> String {
    let (_, _, digits) = split(member);
    match value.as_f64() {
        Some(number) => written(number, digits),
        None => String::from("–"),
    }
}

/// What bounds a number: `−1.8 to 2.6`; a dash where nothing does.
pub(super) fn bounds(member: &str, interval: &Value) -> String {
    match (interval["low"].as_f64(), interval["high"].as_f64()) {
        (Some(_), Some(_)) => {
            let (low, high) = (&interval["low"], &interval["high"]);
            format!("{} to {}", figure(member, low), figure(member, high))
        }
        _ => String::from("–"),
    }
}

/// The member of an object that is of a measure, in whichever unit.
pub(super) fn measured<'a>(object: &'a Value, name: &str) -> Option<(&'a str, &'a Value)> {
    let mut members = object.as_object()?.iter();
    let found = members.find(|(member, _)| is_of(member, name));
    found.map(|(member, value)| (member.as_str(), value))
}

/// Whether a member is of a measure, in whichever unit.
pub(super) fn is_of(member: &str, name: &str) -> bool {
    let unit = member.strip_prefix(name).and_then(|rest| rest.strip_prefix('_'));
    unit.is_some_and(|unit| UNITS.iter().any(|(known, ..)| *known == unit))
}

fn split(member: &str) -> (&str, &'static str, usize) {
    let known = member.rsplit_once('_').and_then(|(name, suffix)| {
        let (_, unit, digits) = UNITS.iter().find(|(known, ..)| *known == suffix)?;
        Some((name, *unit, *digits))
    });
    known.unwrap_or((member, "", 2))
}

/// A number with so many digits behind the point.
pub(super) fn written(number: f64, digits: usize) -> String {
    let text = format!("{number:.digits$}");
    let (sign, size) = text.strip_prefix('-').map_or(("", text.as_str()), |size| ("−", size));
    let nothing = size.bytes().all(|digit| matches!(digit, b'0' | b'.'));
    let (whole, rest) = size.split_at(size.find('.').unwrap_or(size.len()));
    let sign = if nothing { "" } else { sign };
    format!("{sign}{}{rest}", grouped(whole))
}

/// Digits with a comma before each three.
fn grouped(digits: &str) -> String {
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (at, digit) in digits.char_indices() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_figure_has_the_digits_of_its_unit() {
        for (member, value, text) in [
            ("carry_m", json!(158.26), "158.3"),
            ("spin_rate_rpm", json!(5240.4), "5,240"),
            ("launch_angle_deg", json!(-3.19), "−3.2"),
            ("launch_angle_deg", json!(-0.01), "0.0"),
            ("apex_ft", json!(95.4), "95"),
            ("smash_factor", json!(1.366), "1.37"),
            ("carry_m", json!(null), "–"),
            ("spin_rate_rpm", json!(-12_345.0), "−12,345"),
        ] {
            assert_eq!(figure(member, &value), text, "{member}");
        }
    }

    #[test]
    fn a_measure_is_found_in_whichever_unit() {
        let club = json!({"carry_change_yd": 1, "carry_kept": 2, "carry_yd": 3});
        assert_eq!(measured(&club, "carry"), Some(("carry_yd", &json!(3))));
        assert_eq!(measured(&club, "drift"), None);
    }

    #[test]
    fn a_member_is_said_with_its_unit() {
        assert_eq!(said("launch_angle_deg"), (String::from("launch angle"), "°"));
        assert_eq!(said("ball_speed_mph"), (String::from("ball speed"), "mph"));
        assert_eq!(said("smash_factor"), (String::from("smash factor"), ""));
        assert_eq!(bounds("carry_yd", &json!({"low": -2, "high": 2.85})), "−2.0 to 2.9");
        assert_eq!(bounds("carry_yd", &json!({"low": null, "high": null})), "–");
    }
}
