//! The members of each object of the event, by name: made once from the table of quantities and
//! the words around it.

use super::quantity::{Object, Quantity};
use super::units::Unit;
use std::sync::LazyLock;

/// A member of an object.
#[derive(Debug)]
pub(crate) struct Member {
    /// Its name as it is sent.
    pub(crate) name: String,
    /// What it holds.
    pub(crate) kind: Kind,
}

/// What a member holds.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Kind {
    Id,
    Source,
    Time,
    Player,
    Club,
    Session,
    Lie,
    Purpose,
    Ball,
    Wet,
    Place,
    Ground,
    Object(Object),
    Ext,
    Height,
    Shape,
    Swing,
    SpinOrigin,
    SpeedOrigin,
    FlightOrigin,
    AdjustedFor,
    Quantity(Sent),
}

/// A quantity in one of its spellings.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sent {
    /// Which quantity.
    pub(crate) quantity: Quantity,
    /// The place of the unit among those of the quantity.
    pub(crate) place: u8,
    /// The unit.
    pub(crate) unit: Unit,
    /// What is refused outside, in this unit.
    pub(crate) bounds: (f64, f64),
    /// What is flagged outside, in this unit.
    pub(crate) usual: (f64, f64),
}

/// A quantity's name in a unit.
pub(crate) fn spelling(base: &str, unit: Unit) -> String {
    format!("{base}_{}", unit.suffix())
}

/// The members of one object, found by name.
#[derive(Debug)]
pub(crate) struct Members {
    /// The object.
    pub(crate) object: Object,
    /// Its members, in the order of the schema.
    pub(crate) list: Vec<Member>,
    index: Index,
}

/// The members of an object.
pub(crate) fn members(object: Object) -> &'static Members {
    static ALL: LazyLock<[Members; Object::ALL.len()]> =
        LazyLock::new(|| Object::ALL.map(Members::of));
    &ALL[object as usize]
}

impl Members {
    /// Those of an object: first its quantities, in the order of the table.
    fn of(object: Object) -> Self {
        let mut list: Vec<_> = Quantity::all()
            .filter(|quantity| quantity.row().object == object)
            .flat_map(spellings)
            .collect();
        list.extend(
            words(object)
                .iter()
                .map(|(name, kind)| Member { name: (*name).to_owned(), kind: *kind }),
        );
        let index = Index::of(&list);
        Self { object, list, index }
    }

    /// The member of a name, and its place in the list.
    pub(crate) fn find(&self, name: &str) -> Option<(usize, &Member)> {
        let place = self.index.place(name);
        let member = self.list.get(place)?;
        (member.name == name).then_some((place, member))
    }
}

/// The members of a quantity: one a unit.
fn spellings(quantity: Quantity) -> impl Iterator<Item = Member> {
    let row = quantity.row();
    (0..).zip(row.dimension.units()).map(move |(place, unit)| Member {
        name: spelling(row.base, *unit),
        kind: Kind::Quantity(Sent {
            quantity,
            place,
            unit: *unit,
            bounds: unit.bounds(row.bounds),
            usual: unit.bounds(row.usual),
        }),
    })
}

/// The members of an object that are no quantities.
fn words(object: Object) -> &'static [(&'static str, Kind)] {
    match object {
        Object::Event => &[
            ("id", Kind::Id),
            ("source", Kind::Source),
            ("time", Kind::Time),
            ("player", Kind::Player),
            ("club", Kind::Club),
            ("session", Kind::Session),
            ("lie", Kind::Lie),
            ("intent", Kind::Object(Object::Intent)),
            ("purpose", Kind::Purpose),
            ("ball", Kind::Ball),
            ("wet", Kind::Wet),
            ("place", Kind::Place),
            ("target", Kind::Object(Object::Target)),
            ("launch", Kind::Object(Object::Launch)),
            ("clubhead", Kind::Object(Object::Clubhead)),
            ("flight", Kind::Object(Object::Flight)),
            ("air", Kind::Object(Object::Air)),
            ("wind", Kind::Object(Object::Wind)),
            ("ground", Kind::Ground),
            ("ext", Kind::Ext),
        ],
        Object::Intent => {
            &[("height", Kind::Height), ("shape", Kind::Shape), ("swing", Kind::Swing)]
        }
        Object::Launch => &[("spin_origin", Kind::SpinOrigin)],
        Object::Clubhead => &[("speed_origin", Kind::SpeedOrigin)],
        Object::Flight => &[("origin", Kind::FlightOrigin), ("adjusted_for", Kind::AdjustedFor)],
        Object::Air | Object::Wind | Object::Target => &[],
    }
}

/// Slots of an [`Index`]: a power of two, several times the members of any object.
const SLOTS: usize = 128;

/// A perfect hash of the names of one object: a few bytes of a name say which member it can be.
#[derive(Debug)]
struct Index {
    multiplier: u64,
    slots: [u8; SLOTS],
}

impl Index {
    /// The first multiplier that sends each name to a slot of its own.
    fn of(list: &[Member]) -> Self {
        // 2^64 over the golden ratio, made odd; its odd multiples are tried in turn. Source:
        // D. E. Knuth, The Art of Computer Programming, volume 3, section 6.4.
        const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;
        let mut multiplier = GOLDEN;
        loop {
            let mut index = Self { multiplier, slots: [u8::MAX; SLOTS] };
            let fits = (0_u8..).zip(list).all(|(place, member)| {
                let slot = index.slot(&member.name);
                std::mem::replace(&mut index.slots[slot], place) == u8::MAX
            });
            if fits {
                return index;
            }
            multiplier = multiplier.wrapping_add(GOLDEN << 1);
        }
    }

    /// The slot of a name: its length, its first and its last eight bytes, multiplied.
    #[expect(clippy::cast_possible_truncation, reason = "the bits that are left fit SLOTS")]
    fn slot(&self, name: &str) -> usize {
        let bytes = name.as_bytes();
        let (first, last) = match (bytes.first_chunk::<8>(), bytes.last_chunk::<8>()) {
            (Some(first), Some(last)) => (u64::from_le_bytes(*first), u64::from_le_bytes(*last)),
            _ => (bytes.iter().fold(0, |all, byte| all << 8 | u64::from(*byte)), 0),
        };
        let mixed = first ^ last.rotate_left(29) ^ bytes.len() as u64;
        (mixed.wrapping_mul(self.multiplier) >> (u64::BITS - SLOTS.ilog2())) as usize
    }

    /// The place that a name has if it is one of the list.
    fn place(&self, name: &str) -> usize {
        usize::from(self.slots[self.slot(name)])
    }
}
