//! An event while it is read: what was understood, and what is wrong.

use super::event::{Air, Event, Spelled, Target, Wind};
use super::fault::{Faults, Rejection, RejectionKind};
use super::flags::Flags;
use super::json::Json;
use super::measure::{Measure, Measures};
use super::members::{Kind, Member, Members, Sent, members};
use super::names::{BallId, ClubId, PlayerId, SessionName, ShotId, SourceId};
use super::parse::SentMembers;
use super::quantity::{Object, QUANTITIES, Quantity};
use super::time::Moment;
use super::value::At;
use super::words::{
    Adjustments, FlightOrigin, Ground, Intent, Lie, Place, Purpose, SpeedOrigin, SpinOrigin,
};
use super::{rules, wording};

/// An event while it is read.
pub(crate) struct Draft {
    pub(crate) faults: Faults,
    source: Option<SourceId>,
    id: Option<ShotId>,
    time: Option<Moment>,
    player: Option<PlayerId>,
    club: Option<ClubId>,
    session: Option<SessionName>,
    lie: Option<Lie>,
    intent: Intent,
    purpose: Purpose,
    ball: Option<BallId>,
    wet: bool,
    place: Option<Place>,
    ground: Option<Ground>,
    spin_origin: Option<SpinOrigin>,
    speed_origin: Option<SpeedOrigin>,
    flight_origin: Option<FlightOrigin>,
    adjusted_for: Option<Adjustments>,
    /// By row of the table, in the units kept; not a number where absent.
    kept: [f64; QUANTITIES],
    spelled: Spelled,
    unusual: Flags,
}

impl Draft {
    /// With nothing read.
    pub(crate) fn new() -> Self {
        Self {
            faults: Faults::default(),
            source: None,
            id: None,
            time: None,
            player: None,
            club: None,
            session: None,
            lie: None,
            intent: Intent::default(),
            purpose: Purpose::Practice,
            ball: None,
            wet: false,
            place: None,
            ground: None,
            spin_origin: None,
            speed_origin: None,
            flight_origin: None,
            adjusted_for: None,
            kept: [f64::NAN; QUANTITIES],
            spelled: Spelled::NONE,
            unusual: Flags::NONE,
        }
    }

    /// Takes the value of a member that is neither an object of the event nor `ext`.
    pub(crate) fn take(&mut self, object: Object, member: &Member, value: &Json<'_>) {
        let at = At { parent: object.pointer(), name: &member.name };
        let faults = &mut self.faults;
        match member.kind {
            Kind::Quantity(sent) => self.quantity(at, sent, value),
            Kind::Id => self.id = at.name(value, faults),
            Kind::Source => self.source = at.name(value, faults),
            Kind::Time => self.time = at.moment(value, faults),
            Kind::Player => self.player = at.name(value, faults),
            Kind::Club => self.club = at.name(value, faults),
            Kind::Session => self.session = at.name(value, faults),
            Kind::Lie => self.lie = at.word(value, faults),
            Kind::Purpose => set(&mut self.purpose, at.word(value, faults)),
            Kind::Ball => self.ball = at.name(value, faults),
            Kind::Wet => set(&mut self.wet, at.truth(value, faults)),
            Kind::Place => self.place = at.word(value, faults),
            Kind::Ground => self.ground = at.word(value, faults),
            Kind::Height => set(&mut self.intent.height, at.word(value, faults)),
            Kind::Shape => set(&mut self.intent.shape, at.word(value, faults)),
            Kind::Swing => set(&mut self.intent.swing, at.word(value, faults)),
            Kind::SpinOrigin => self.spin_origin = at.word(value, faults),
            Kind::SpeedOrigin => self.speed_origin = at.word(value, faults),
            Kind::FlightOrigin => self.flight_origin = at.word(value, faults),
            Kind::AdjustedFor => self.adjusted_for = at.adjustments(value, faults),
            Kind::Object(_) | Kind::Ext => {}
        }
    }

    /// A member that is not known.
    #[cold]
    pub(crate) fn stranger(&mut self, here: &Members, name: &str) {
        let at = At { parent: here.object.pointer(), name };
        self.faults.add(|| at.fault(wording::stranger(here, name)));
    }

    /// A quantity in one of its spellings.
    fn quantity(&mut self, at: At<'_>, sent: Sent, value: &Json<'_>) {
        let Sent { quantity, place, unit, bounds, usual } = sent;
        if self.spelled.has(quantity) {
            let first = self.spelled.member(quantity).unwrap_or_default();
            self.faults.add(|| at.fault(wording::second_spelling(at.name, &first)));
            return;
        }
        self.spelled.note(quantity, place);
        if let Some(number) = at.number(value, bounds, &mut self.faults) {
            if !(usual.0..=usual.1).contains(&number) {
                self.unusual |= Flags::unusual(quantity);
            }
            self.kept[quantity.index()] = unit.to_si(number);
        }
    }

    /// The checked event, once all of it was read.
    pub(crate) fn finish(mut self, sent: SentMembers) -> Result<Event, Rejection> {
        if let Some(sent) = sent {
            self.required(sent);
            self.together();
        }
        self.spin_from_pair();
        let whole = (self.source.take(), self.id.take(), self.time);
        match whole {
            (Some(source), Some(id), Some(time)) if self.faults.is_empty() => {
                Ok(self.event(source, id, time))
            }
            (source, id, _) => {
                (self.source, self.id) = (source, id);
                let kind = std::mem::take(&mut self.faults).into_kind();
                Err(self.rejected(kind))
            }
        }
    }

    /// A rejection with the identity that was read.
    pub(crate) fn rejected(self, kind: RejectionKind) -> Rejection {
        Rejection {
            source: self.source.map(|source| source.to_string()),
            id: self.id.map(|id| id.to_string()),
            kind,
        }
    }

    /// Identity and time are required.
    fn required(&mut self, sent: u64) {
        for name in super::REQUIRED {
            let known = members(Object::Event).find(name);
            if known.is_some_and(|(place, _)| sent & (1 << place) == 0) {
                let at = At { parent: Object::Event.pointer(), name };
                self.faults.add(|| at.fault("is missing: every event has one"));
            }
        }
    }

    /// What must and what must not stand together.
    fn together(&mut self) {
        let Self { spelled, faults, .. } = self;
        let launched = rules::LAUNCH.iter().all(|quantity| spelled.has(*quantity));
        if !launched && !spelled.has(rules::CARRY) {
            faults.at("", NOTHING_MEASURED);
        }
        for (one, other) in rules::EXCLUSIVE {
            // Names are made for faults alone: most events have none.
            if spelled.has(one)
                && spelled.has(other)
                && let (Some(first), Some(second)) = (spelled.member(one), spelled.member(other))
            {
                faults.add(|| wording::exclusive(one.row().object, &first, &second));
            }
        }
        for (one, needed) in rules::NEEDS {
            if !spelled.has(needed)
                && let Some(name) = spelled.member(one)
            {
                let needs = wording::spellings(needed);
                faults.add(|| wording::alone(one.row().object, &name, &needs));
            }
        }
        let origins = [
            (self.spin_origin.is_some(), Object::Launch, "spin_origin", rules::SPIN.as_slice()),
            (
                self.speed_origin.is_some(),
                Object::Clubhead,
                "speed_origin",
                rules::HEAD_SPEED.as_slice(),
            ),
        ];
        for (sent, object, name, of) in origins {
            if sent && !of.iter().any(|quantity| spelled.has(*quantity)) {
                let needs: Vec<_> = of.iter().flat_map(|one| wording::spellings(*one)).collect();
                faults.add(|| wording::alone(object, name, &needs));
            }
        }
    }

    /// Turns a spin sent as a pair into rate and axis, and flags it by their rows.
    fn spin_from_pair(&mut self) {
        let (back, side) = (self.kept(Quantity::BACKSPIN), self.kept(Quantity::SIDESPIN));
        let (Some(back), Some(side)) = (back, side) else { return };
        let turned = [
            (Measure::SpinRate, back.hypot(side)),
            (Measure::SpinAxis, side.atan2(back).to_degrees()),
        ];
        for (measure, kept) in turned {
            let quantity = Quantity::of(measure);
            let (low, high) = quantity.row().usual;
            if kept < low || kept > high {
                self.unusual |= Flags::unusual(quantity);
            }
            self.kept[quantity.index()] = kept;
        }
        if back < 0.0 {
            self.unusual |= Flags::unusual(Quantity::of(Measure::SpinRate));
        }
    }

    /// A quantity in the unit kept, if it was sent.
    fn kept(&self, quantity: Quantity) -> Option<f64> {
        let kept = self.kept[quantity.index()];
        (!kept.is_nan()).then_some(kept)
    }

    fn event(self, source: SourceId, id: ShotId, time: Moment) -> Event {
        let kept = |quantity| self.kept(quantity);
        let air = Air {
            temperature_c: kept(Quantity::TEMPERATURE),
            pressure_hpa: kept(Quantity::PRESSURE),
            sea_level_pressure_hpa: kept(Quantity::SEA_LEVEL_PRESSURE),
            humidity_pct: kept(Quantity::HUMIDITY),
            altitude_m: kept(Quantity::ALTITUDE),
        };
        let wind = Wind {
            speed_mps: kept(Quantity::WIND_SPEED),
            from_deg: kept(Quantity::WIND_FROM),
            compass_from_deg: kept(Quantity::WIND_COMPASS_FROM),
            height_m: kept(Quantity::WIND_HEIGHT),
        };
        let target = Target {
            distance_m: kept(Quantity::TARGET_DISTANCE),
            elevation_m: kept(Quantity::TARGET_ELEVATION),
        };
        Event {
            source,
            id,
            time: time.instant,
            date: time.day,
            measures: Measures::of_rows(&self.kept),
            air,
            wind,
            target,
            player: self.player,
            club: self.club,
            session: self.session,
            lie: self.lie,
            intent: self.intent,
            purpose: self.purpose,
            ball: self.ball,
            wet: self.wet,
            place: self.place,
            ground: self.ground,
            spin_origin: self.spin_origin,
            speed_origin: self.speed_origin,
            flight_origin: self.flight_origin,
            adjusted_for: self.adjusted_for,
            unusual: self.unusual,
            spelled: self.spelled,
        }
    }
}

/// Puts a value that was understood in the place of the default.
fn set<T>(place: &mut T, value: Option<T>) {
    if let Some(value) = value {
        *place = value;
    }
}

/// The fault of an event that measured too little to be a shot.
const NOTHING_MEASURED: &str = "nothing to fly and nothing flown: send launch.ball_speed_mps (or \
    _mph, _kmh) with launch.launch_angle_deg, or flight.carry_m (or _yd)";
