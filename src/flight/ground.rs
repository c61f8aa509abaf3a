//! What a ball does after it has landed: bounces, then rolls.
//!
//! The law of the bounce is Penner's (Can. J. Phys. 80, 2002): the ground gives way by an angle
//! that grows with the speed and the angle of the impact, and the ball bounces off the tilted face.
//! The numbers of the five grounds are our own settings, good to [`RUN_BAND`]; only firm is close
//! to the published law.

use super::ball::{GRAVITY_MPS2, RADIUS_M, RADPS_PER_RPM};
use super::landed::Flight;

/// A run is good to this share of itself.
pub const RUN_BAND: f64 = 0.3;

/// More bounces than any ball makes.
const MOST_BOUNCES: u32 = 50;
/// A hop below this height is no hop any more, m.
const LEAST_HOP_M: f64 = 0.005;

/// The ground where a ball lands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ground {
    /// Frozen.
    Frozen,
    /// Firm.
    Firm,
    /// Neither firm nor soft.
    Medium,
    /// Soft.
    Soft,
    /// Soaked: carry is all there is, to within a third of a metre.
    Soaked,
}

/// The settings of a ground.
struct Turf {
    /// Factor on the angle by which the ground gives way.
    crater: f64,
    /// Factor on the restitution.
    bounce: f64,
    /// Friction of a sliding ball.
    friction: f64,
    /// Share of the speed along the ground that survives an impact.
    keep: f64,
    /// Resistance to rolling, as a share of the weight.
    roll: f64,
}

/// Where a ball comes to rest. An estimate on an estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// On from the landing, in its direction, m; negative where spin brings the ball back.
    pub run_m: f64,
    /// The least it may be, m.
    pub low_m: f64,
    /// The most it may be, m.
    pub high_m: f64,
    /// Straight from the ball to its rest, m.
    pub total_m: f64,
    /// The part of the total along the target line, m.
    pub total_downrange_m: f64,
    /// The part across it, m; positive to the right.
    pub total_side_m: f64,
}

/// A ball at the ground: speeds along it and away from it, m/s; backspin, rad/s.
#[derive(Clone, Copy)]
struct Contact {
    along: f64,
    away: f64,
    backspin: f64,
}

impl Ground {
    /// Every ground, from hard to wet.
    pub const ALL: [Self; 5] = [Self::Frozen, Self::Firm, Self::Medium, Self::Soft, Self::Soaked];

    /// Its word in requests and answers.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Frozen => "frozen",
            Self::Firm => "firm",
            Self::Medium => "medium",
            Self::Soft => "soft",
            Self::Soaked => "soaked",
        }
    }

    /// Our own settings; firm's crater puts the overall-distance test at its published total.
    const fn turf(self) -> Turf {
        let [crater, bounce, friction, keep, roll] = match self {
            Self::Frozen => [0.8, 1.2, 0.3, 1.0, 0.12],
            Self::Firm => [1.012, 1.0, 0.4, 1.0, 0.2],
            Self::Medium => [1.0, 0.92, 0.4, 0.93, 0.25],
            Self::Soft => [1.05, 0.7, 0.45, 0.8, 0.35],
            Self::Soaked => [1.2, 0.3, 0.6, 0.25, 1.0],
        };
        Turf { crater, bounce, friction, keep, roll }
    }

    /// Lets a flight bounce and roll to rest on level ground of this kind.
    #[must_use]
    pub fn run(self, flight: &Flight) -> Run {
        let (down, along) = flight.descent_angle_deg.to_radians().sin_cos();
        let contact = Contact {
            along: flight.landing_speed_mps * along,
            away: flight.landing_speed_mps * down,
            backspin: flight.landing_backspin_rpm * RADPS_PER_RPM,
        };
        let run_m = self.turf().run_out(contact);
        let band = RUN_BAND * run_m.abs();
        let (right, ahead) = flight.landing_direction_deg.to_radians().sin_cos();
        let [x, y] = [flight.downrange_m + run_m * ahead, flight.side_m + run_m * right];
        Run {
            run_m,
            low_m: run_m - band,
            high_m: run_m + band,
            total_m: x.hypot(y),
            total_downrange_m: x,
            total_side_m: y,
        }
    }
}

impl Turf {
    /// Signed way along the ground, m, of a ball that comes down with the speeds of `contact`. Hops
    /// are flown without air.
    fn run_out(&self, mut contact: Contact) -> f64 {
        let mut way = 0.0;
        for _ in 0..MOST_BOUNCES {
            contact = self.bounce(contact);
            if contact.away < (2.0 * GRAVITY_MPS2 * LEAST_HOP_M).sqrt() {
                break;
            }
            way += 2.0 * contact.along * contact.away / GRAVITY_MPS2;
        }
        let Contact { along, backspin, .. } = contact;
        // The speed at which sliding has turned into rolling, and 5/7 roll g of slowing.
        let rolling = (5.0 * along - 2.0 * RADIUS_M * backspin) / 7.0;
        let rolled = 7.0 * rolling * rolling / (10.0 * self.roll * GRAVITY_MPS2);
        way + rolled.copysign(rolling)
    }

    /// One impact: what comes down (`away` taken as down) and what goes up again.
    fn bounce(&self, contact: Contact) -> Contact {
        let speed = contact.along.hypot(contact.away);
        let from_normal = contact.along.atan2(contact.away);
        // Penner's effective angle: 15.4° at 18.6 m/s and 44.4° from the normal. It is capped at
        // 50°, beyond which the law was never tried.
        let capped = from_normal.to_degrees().clamp(-50.0, 50.0);
        let tilt = (self.crater * 15.4 * (speed / 18.6) * (capped / 44.4)).to_radians();
        let along = speed * (from_normal - tilt).sin();
        let into = speed * (from_normal - tilt).cos();
        // Penner's restitution of turf by the speed into it, m/s.
        let published =
            if into <= 20.0 { 0.51 - 0.0375 * into + 0.000_903 * into * into } else { 0.12 };
        let restitution = self.bounce * published;
        let slip = along + RADIUS_M * contact.backspin;
        let enough = 2.0 * slip.abs() / (7.0 * (1.0 + restitution) * into);
        let (along, backspin) = if self.friction < enough {
            let push = (self.friction * into * (1.0 + restitution)).copysign(slip);
            (along - push, contact.backspin - 2.5 * push / RADIUS_M)
        } else {
            let rolling = (5.0 * along - 2.0 * RADIUS_M * contact.backspin) / 7.0;
            (rolling, -rolling / RADIUS_M)
        };
        let (along, away) = (self.keep * along, restitution * into);
        let (sin, cos) = tilt.sin_cos();
        Contact { along: along * cos - away * sin, away: along * sin + away * cos, backspin }
    }
}
