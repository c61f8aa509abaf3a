//! Attributes of an envelope: their names, and what they may be.

use crate::shot::json::Json;
use crate::shot::units::nearest;
use crate::shot::wording;

/// What an attribute's name may have. Source: specification, "Naming conventions".
pub(crate) const NAME_PATTERN: &str = "^[a-z0-9]+$";

/// Members of an envelope that are known by name.
const KNOWN: [&str; 9] = [
    "specversion",
    "type",
    "id",
    "source",
    "time",
    "datacontenttype",
    "dataschema",
    "subject",
    "data",
];

/// The integers that an attribute may be: those of 32 bits. Source: specification, "Type system".
pub(crate) const WHOLE: (i32, i32) = (i32::MIN, i32::MAX);

/// Whether an attribute may have this name.
pub(super) fn is_name(name: &str) -> bool {
    let formed = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit();
    !name.is_empty() && name.bytes().all(formed)
}

/// What is wrong with what `data` is said to be, which is JSON by any name.
pub(super) fn no_json(value: &Json<'_>) -> Option<&'static str> {
    let json = match value {
        Json::Text(text) => {
            let essence = text.split(';').next().unwrap_or_default().trim();
            let subtype = essence.split_once('/').map(|(_, sub)| sub.to_ascii_lowercase());
            subtype.is_some_and(|sub| sub == "json" || sub.ends_with("+json"))
        }
        _ => false,
    };
    (!json).then_some("is no JSON media type: send \"application/json\", or leave it out")
}

/// What is wrong with an attribute that is kept: `subject`, `dataschema`, or an extension.
pub(super) fn fault(name: &str, value: &Json<'_>) -> Option<String> {
    if !is_name(name) {
        let near = nearest(name, KNOWN.iter().copied());
        let near = near.map(|near| format!(" (nearest known: {near})")).unwrap_or_default();
        let said = wording::echo(name);
        return Some(format!(
            "{said} is no name of an attribute: use lower-case letters and digits{near}"
        ));
    }
    let standard = matches!(name, "subject" | "dataschema");
    let detail = match value {
        Json::Text(text) if standard && text.is_empty() => "is empty: leave it out",
        Json::Text(text) if text.chars().any(char::is_control) => {
            "has a control character: leave it out"
        }
        Json::Text(_) => return None,
        _ if standard => "is no text: send text, or leave it out",
        Json::Bool(_) => return None,
        Json::Number(number) if is_whole(*number) => return None,
        Json::Number(_) => "is no whole number of 32 bits: send it as text",
        _ => {
            "is neither text, true, false nor a whole number, which attributes are; members of the \
             event stand in `data`"
        }
    };
    Some(detail.to_owned())
}

fn is_whole(number: f64) -> bool {
    number.fract() == 0.0 && (f64::from(WHOLE.0)..=f64::from(WHOLE.1)).contains(&number)
}
