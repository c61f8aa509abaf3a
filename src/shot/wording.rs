//! The words of faults: what is wrong, and the mend.

use super::fault::{Fault, pointer};
use super::json::Json;
use super::members::{Kind, Members, Sent, members};
use super::quantity::{Object, Quantity};
use super::units::{self, nearest};
use super::words::Word;

/// How much of a text that was sent is said again.
const ECHO_MAX: usize = 40;

/// A text that was sent, quoted, and cut where it is long.
pub(crate) fn echo(text: &str) -> String {
    match text.char_indices().nth(ECHO_MAX) {
        Some((cut, _)) => format!("{:?} and so on", &text[..cut]),
        None => format!("{text:?}"),
    }
}

/// "a, b or c".
pub(crate) fn either<S: AsRef<str>>(names: &[S]) -> String {
    let names: Vec<_> = names.iter().map(AsRef::as_ref).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

/// A value of the wrong kind; `wanted` is like "a number".
pub(crate) fn wrong_kind(value: &Json<'_>, wanted: &str) -> String {
    match value {
        Json::Null => format!("is null: send {wanted}, or leave the member out"),
        other => format!("is {}: send {wanted}", other.called()),
    }
}

/// A text that is none of a vocabulary.
pub(crate) fn wrong_word<W: Word>(text: &str) -> String {
    let known = super::words::spellings::<W>();
    let hint = nearest(text, known.iter().copied());
    let hint = hint.map(|near| format!(" (nearest: {near})")).unwrap_or_default();
    format!("is {}: send {}{hint}", echo(text), either(&known))
}

/// A number outside its bounds.
pub(crate) fn outside(number: f64, (low, high): (f64, f64)) -> String {
    let said = if number.abs() < 1e9 { number.to_string() } else { format!("{number:e}") };
    format!("is {said}, outside {low} to {high}: check the unit, or leave it out")
}

/// A second spelling of a quantity.
pub(crate) fn second_spelling(name: &str, first: &str) -> String {
    format!("{name} is a second spelling of {first}, which was sent too: send one of them")
}

/// Two quantities that say one thing in two ways.
pub(crate) fn exclusive(object: Object, one: &str, other: &str) -> Fault {
    Fault {
        pointer: pointer(object.pointer(), other),
        detail: format!("{other} and {one} say one thing in two ways: send one of them"),
    }
}

/// A member that was sent without what it is about.
pub(crate) fn alone(object: Object, name: &str, needs: &[String]) -> Fault {
    Fault {
        pointer: pointer(object.pointer(), name),
        detail: format!("{name} is sent without {}: send both, or neither", either(needs)),
    }
}

/// The spellings of a quantity.
pub(crate) fn spellings(quantity: Quantity) -> Vec<String> {
    let row = quantity.row();
    units::spellings(row.base, row.dimension).collect()
}

/// A member of the event that is not known, with the nearest that is.
pub(crate) fn stranger(here: &Members, name: &str) -> String {
    let called = here.object.called();
    if let Some(quantity) = quantity_of(here, name) {
        let known = either(&spellings(quantity));
        let base = quantity.row().base;
        return if name == base {
            format!("{base} has no unit in its name: send {known}")
        } else {
            format!("{} is no spelling of {base}: send {known}", echo(name))
        };
    }
    if let Some(place) = elsewhere(here.object, name) {
        return format!("{} is not a member of {called}: send it {place}", echo(name));
    }
    unknown(called, name, here.list.iter().map(|member| member.name.as_str()))
}

/// A member that is not known, with the nearest that is, or else with all.
pub(crate) fn unknown<'a>(
    called: &str,
    name: &str,
    known: impl Iterator<Item = &'a str> + Clone,
) -> String {
    let mend = match nearest(name, known.clone()) {
        Some(near) => format!("the nearest known one is {near}"),
        None => format!("known are {}", known.collect::<Vec<_>>().join(", ")),
    };
    format!("{} is not a member of {called}; {mend}", echo(name))
}

/// The quantity of an object that a name has without a unit, or with a unit that it is not sent in.
fn quantity_of(here: &Members, name: &str) -> Option<Quantity> {
    let named = |sent: &Sent| {
        let base = sent.quantity.row().base;
        name.strip_prefix(base).is_some_and(|rest| rest.is_empty() || rest.starts_with('_'))
    };
    let quantities = here.list.iter().filter_map(|member| match member.kind {
        Kind::Quantity(sent) if named(&sent) => Some(sent.quantity),
        _ => None,
    });
    quantities.max_by_key(|quantity| quantity.row().base.len())
}

/// Where a name belongs that another object has, with its units if it came without one.
fn elsewhere(here: Object, name: &str) -> Option<String> {
    let others = Object::ALL.into_iter().filter(|object| *object != here);
    others.map(members).find_map(|other| {
        let called = other.object.called();
        if other.find(name).is_some() {
            return Some(format!("in {called}"));
        }
        let bare = Quantity::all().find(|quantity| {
            quantity.row().object == other.object && quantity.row().base == name
        })?;
        Some(format!("in {called}, as {}", either(&spellings(bare))))
    })
}
