//! The tables of the event for people: every quantity with its spellings, every word.

use super::{
    members::{Kind, Member, members},
    quantity::{Object, Quantity},
    wording,
    words::{
        Adjustment, FlightOrigin, Ground, Height, Lie, Place, Purpose, Shape, SpeedOrigin,
        SpinOrigin, Swing, Word,
    },
};

/// A quantity of the event as it is told.
#[derive(Debug, Clone)]
pub(crate) struct ToldQuantity {
    /// The member of the event that holds it.
    pub(crate) object: &'static str,
    /// Its names, one a unit; bounds are in the first.
    pub(crate) spellings: Vec<String>,
    /// What is refused outside.
    pub(crate) bounds: (f64, f64),
    /// What is flagged outside, where anything is.
    pub(crate) usual: Option<(f64, f64)>,
    /// What it is.
    pub(crate) about: &'static str,
}

/// All quantities of the event, object by object.
pub(crate) fn quantity_table() -> impl Iterator<Item = ToldQuantity> {
    Object::ALL.into_iter().flat_map(|object| {
        Quantity::all().filter(move |quantity| quantity.row().object == object).map(told)
    })
}

fn told(quantity: Quantity) -> ToldQuantity {
    let row = quantity.row();
    ToldQuantity {
        object: row.object.name(),
        spellings: wording::spellings(quantity),
        bounds: row.bounds,
        usual: Some(row.usual).filter(|(low, high)| low.is_finite() && high.is_finite()),
        about: row.about,
    }
}

/// All members of the event that are words, each with what it tells and its words.
pub(crate) fn word_table() -> Vec<(&'static str, String)> {
    let all = Object::ALL.into_iter().flat_map(|object| &members(object).list);
    all.filter_map(|member| Some((member.name.as_str(), about(member)?))).collect()
}

fn about(member: &Member) -> Option<String> {
    Some(match member.kind {
        Kind::Lie => Lie::about(),
        Kind::Purpose => Purpose::about(),
        Kind::Place => Place::about(),
        Kind::Ground => Ground::about(),
        Kind::Height => Height::about(),
        Kind::Shape => Shape::about(),
        Kind::Swing => Swing::about(),
        Kind::SpinOrigin => SpinOrigin::about(),
        Kind::SpeedOrigin => SpeedOrigin::about(),
        Kind::FlightOrigin => FlightOrigin::about(),
        Kind::AdjustedFor => Adjustment::about(),
        _ => return None,
    })
}
