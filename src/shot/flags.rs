//! What is noted beside a stored shot: unusual quantities, unused ones, and what the fold finds.

use super::event::{Air, Event};
use super::measure::Measure;
use super::members::{Kind, members, spelling};
use super::quantity::{Object, QUANTITIES, Quantity};
use super::wording;
use serde::{Deserialize, Serialize};
use std::ops::{BitOr, BitOrAssign};

/// A set of flags: one bit for each row of the table of quantities (`unusual`), one for each
/// quantity that may go unused, one for each flag that is found when a shot is folded. The numbers
/// of the bits are fixed: stores hold them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Flags(u64);

/// The flags that have one word each.
const WORDS: [(Flags, &str); 5] = [
    (Flags::CLOCK_AHEAD, "clock_ahead"),
    (Flags::LATE, "late"),
    (Flags::MISHIT, "mishit"),
    (Flags::UNSCREENED, "unscreened"),
    (Flags::OTHER_CLUB, "other_club"),
];

/// The quantities that go unused where something else is not known.
const UNUSED: [(Flags, Quantity); 2] = [
    (Flags::UNUSED_SEA_LEVEL_PRESSURE, Quantity::SEA_LEVEL_PRESSURE),
    (Flags::UNUSED_COMPASS_WIND, Quantity::WIND_COMPASS_FROM),
];

impl Flags {
    /// No flag.
    pub const NONE: Self = Self(0);
    /// A pressure reduced to sea level, and no altitude to take it back from.
    pub const UNUSED_SEA_LEVEL_PRESSURE: Self = Self(1 << 48);
    /// A wind by compass, and no bearing of the target line.
    pub const UNUSED_COMPASS_WIND: Self = Self(1 << 49);
    /// More than ten minutes ahead of its arrival.
    pub const CLOCK_AHEAD: Self = Self(1 << 56);
    /// Older than the source's newest by a day.
    pub const LATE: Self = Self(1 << 57);
    /// Screened out of its series.
    pub const MISHIT: Self = Self(1 << 58);
    /// Counted without a speed to screen it by.
    pub const UNSCREENED: Self = Self(1 << 59);
    /// Flies like another of the player's clubs.
    pub const OTHER_CLUB: Self = Self(1 << 60);

    /// That a quantity is outside what is usual.
    pub(crate) const fn unusual(quantity: Quantity) -> Self {
        Self(1 << quantity.index())
    }

    /// Whether there is none.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The same, as serde asks it.
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature serde asks for")]
    pub(super) fn is_none(&self) -> bool {
        self.is_empty()
    }

    /// Whether the two sets share a flag.
    #[must_use]
    pub const fn intersects(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }

    /// These without those.
    #[must_use]
    pub const fn without(self, those: Self) -> Self {
        Self(self.0 & !those.0)
    }

    /// Whether any of them is told by the shots around it, not by the shot alone.
    #[must_use]
    pub const fn are_judged(self) -> bool {
        self.intersects(Self(Self::MISHIT.0 | Self::UNSCREENED.0 | Self::OTHER_CLUB.0))
    }

    /// As a number, for packing.
    #[must_use]
    pub const fn bits(self) -> u64 {
        self.0
    }

    /// From [`Flags::bits`].
    #[must_use]
    pub const fn from_bits(bits: u64) -> Self {
        Self(bits)
    }

    /// The flags of a shot in words, its pointers as the event spelled them: `unusual:/flight/apex_ft`.
    #[must_use]
    pub fn words(self, event: &Event) -> Vec<String> {
        let unusual = Quantity::all()
            .filter(|quantity| self.intersects(Self::unusual(*quantity)))
            .filter_map(|quantity| Some(format!("unusual:{}", sent_as(event, quantity)?)));
        let unused =
            UNUSED.iter().filter(|(flag, _)| self.intersects(*flag)).filter_map(|(_, quantity)| {
                Some(format!("unused:{}", event.spelled.pointer(*quantity)?))
            });
        let others = WORDS
            .iter()
            .filter(|(flag, _)| self.intersects(*flag))
            .map(|(_, word)| (*word).to_owned());
        unusual.chain(unused).chain(others).collect()
    }

    /// The same without the event: pointers in SI, which [`Flags::parse`] reads back.
    #[must_use]
    pub fn words_in_si(self) -> Vec<String> {
        let pointer = |quantity: Quantity| {
            let row = quantity.row();
            format!("{}/{}", row.object.pointer(), spelling(row.base, row.dimension.si()))
        };
        let unusual = Quantity::all()
            .filter(|quantity| self.intersects(Self::unusual(*quantity)))
            .map(|quantity| format!("unusual:{}", pointer(quantity)));
        let unused = UNUSED.iter().filter(|(flag, _)| self.intersects(*flag));
        let unused = unused.map(|(_, quantity)| format!("unused:{}", pointer(*quantity)));
        let others = WORDS.iter().filter(|(flag, _)| self.intersects(*flag));
        unusual.chain(unused).chain(others.map(|(_, word)| (*word).to_owned())).collect()
    }

    /// The flag that a word names, to filter by; a pointer may be in any spelling of its quantity.
    /// None if there is no such flag.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        if let Some(pointer) = word.strip_prefix("unusual:") {
            return quantity_at(pointer).map(|quantity| Self::unusual(flagged_as(quantity)));
        }
        if let Some(pointer) = word.strip_prefix("unused:") {
            let quantity = quantity_at(pointer)?;
            return UNUSED.iter().find(|(_, unused)| *unused == quantity).map(|(flag, _)| *flag);
        }
        WORDS.iter().find(|(_, known)| *known == word).map(|(flag, _)| *flag)
    }
}

/// The form of all words of flags, as a regular expression: of the pointers, those that a quantity
/// of the event can have.
pub(crate) fn pattern() -> String {
    let pointers = |object: Object| {
        let quantities = Quantity::all().filter(move |quantity| quantity.row().object == object);
        let names: Vec<_> = quantities.flat_map(wording::spellings).collect();
        (!names.is_empty()).then(|| format!("{}/({})", object.name(), names.join("|")))
    };
    let unusual: Vec<_> = Object::ALL.into_iter().filter_map(pointers).collect();
    let unused = UNUSED.iter().flat_map(|(_, quantity)| {
        let object = quantity.row().object.name();
        wording::spellings(*quantity).into_iter().map(move |name| format!("{object}/{name}"))
    });
    let unused: Vec<_> = unused.collect();
    let words = WORDS.map(|(_, word)| word).join("|");
    format!("^({words}|unused:/({})|unusual:/({}))$", unused.join("|"), unusual.join("|"))
}

impl BitOr for Flags {
    type Output = Self;

    fn bitor(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}

impl BitOrAssign for Flags {
    fn bitor_assign(&mut self, other: Self) {
        self.0 |= other.0;
    }
}

/// The pointer of a quantity as it was sent; a spin sent as a pair has its rate's flag at the
/// backspin and its axis' at the sidespin.
fn sent_as(event: &Event, quantity: Quantity) -> Option<String> {
    let sent = [quantity, Quantity::BACKSPIN, Quantity::SIDESPIN];
    let mut raised = sent.into_iter().filter(|sent| flagged_as(*sent) == quantity);
    raised.find_map(|sent| event.spelled.pointer(sent))
}

/// The quantity whose flag a sent quantity raises: of a spin pair, rate and axis.
fn flagged_as(sent: Quantity) -> Quantity {
    match sent {
        Quantity::BACKSPIN => Quantity::of(Measure::SpinRate),
        Quantity::SIDESPIN => Quantity::of(Measure::SpinAxis),
        other => other,
    }
}

/// The quantity that a pointer names in any of its spellings.
fn quantity_at(pointer: &str) -> Option<Quantity> {
    let (object, name) = pointer.strip_prefix('/')?.split_once('/')?;
    let object = Object::ALL.into_iter().find(|known| known.name() == object)?;
    match members(object).find(name)?.1.kind {
        Kind::Quantity(sent) => Some(sent.quantity),
        _ => None,
    }
}

/// The flags that an event has by itself, by the altitude of its source in metres (its own goes
/// before) and by whether the bearing of its source's target line is known.
#[must_use]
pub fn event_flags(event: &Event, altitude_m: Option<f64>, bearing_known: bool) -> Flags {
    let altitude_m = event.air.altitude_m.or(altitude_m);
    let mut flags = event.unusual | air_flags(&Air { altitude_m, ..event.air });
    if event.wind.compass_from_deg.is_some() && !bearing_known {
        flags |= Flags::UNUSED_COMPASS_WIND;
    }
    flags
}

/// The flags of pressures: whether they fit the altitude, and whether they can be used.
pub(crate) fn air_flags(air: &Air) -> Flags {
    let mut flags = Flags::NONE;
    if let (Some(pressure), Some(altitude)) = (air.pressure_hpa, air.altitude_m)
        && !near(pressure, standard_pressure_hpa(altitude))
    {
        flags |= Flags::unusual(Quantity::PRESSURE);
    }
    if let Some(pressure) = air.sea_level_pressure_hpa {
        if !near(pressure, SEA_LEVEL_HPA) {
            flags |= Flags::unusual(Quantity::SEA_LEVEL_PRESSURE);
        }
        if air.altitude_m.is_none() {
            flags |= Flags::UNUSED_SEA_LEVEL_PRESSURE;
        }
    }
    flags
}

/// How far from the standard a pressure may be and still be weather: deep lows and strong highs
/// are within 6 %. Common practice; no source.
const WEATHER: f64 = 0.06;

/// Whether a pressure is within the weather of a standard one.
fn near(pressure_hpa: f64, standard_hpa: f64) -> bool {
    (pressure_hpa - standard_hpa).abs() <= WEATHER * standard_hpa
}

/// Standard pressure at sea level, hPa. Source: ISO 2533:1975, standard atmosphere.
const SEA_LEVEL_HPA: f64 = 1_013.25;

/// Standard pressure at an altitude in metres, hPa, below 11 km.
fn standard_pressure_hpa(altitude_m: f64) -> f64 {
    // Source: ISO 2533:1975, standard atmosphere: p = p0 (1 - L h / T0)^(g M / (R L)), with T0 = 288.15 K,
    // L = 0.0065 K/m, and the exponent 9.80665 * 0.0289644 / (8.31432 * 0.0065).
    SEA_LEVEL_HPA * (1.0 - 0.0065 * altitude_m / 288.15).powf(5.255_88)
}

const _: () = assert!(QUANTITIES <= 48, "rows and other flags share one number");
