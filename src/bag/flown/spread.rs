//! Many flights in some conditions: the typical one, and how they spread.

use serde::Serialize;
use utoipa::ToSchema;

use crate::{
    flight::{Flight, Ground, Launch, Scene, Trajectory, fly_all},
    stats,
};

/// A club's flights in some conditions.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FlownThere {
    /// The flight of the typical launch; null if it is still in the air after 30 s.
    pub typical: Option<TypicalFlight>,
    /// How the flights spread with the launches.
    pub spread: FlightSpread,
}

/// The flight of a typical launch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct TypicalFlight {
    /// Straight from the ball to where it first lands, m.
    pub carry_m: f64,
    /// The part across the target line, m; right is positive, null where the direction or the tilt of the
    /// spin was never measured.
    pub side_m: Option<f64>,
    /// Greatest height, m.
    pub apex_m: f64,
    /// Time in the air, s.
    pub hang_time_s: f64,
    /// Angle of landing, degrees; down is positive.
    pub descent_angle_deg: f64,
    /// Speed at landing, m/s.
    pub landing_speed_mps: f64,
    /// Straight from the ball to its rest, m; null where no ground was named.
    pub total_m: Option<f64>,
}

/// How flights spread.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct FlightSpread {
    /// Carry, m.
    pub carry_m: Quantiles,
    /// Side, m; null where the direction or the tilt of the spin was never measured.
    pub side_m: Option<Quantiles>,
    /// Apex, m.
    pub apex_m: Quantiles,
    /// Angle of descent, degrees.
    pub descent_angle_deg: Quantiles,
    /// Total, m; null where no ground was named.
    pub total_m: Option<Quantiles>,
}

/// Quantiles of flights (linear interpolation).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct Quantiles {
    /// Flights that landed.
    pub n: usize,
    /// Tenth percentile.
    pub p10: Option<f64>,
    /// Median.
    pub median: Option<f64>,
    /// Ninetieth percentile.
    pub p90: Option<f64>,
}

/// What is known of flights besides their launches.
#[derive(Clone, Copy)]
pub(super) struct Known {
    /// Whether anything is known of where the ball goes aside.
    pub(super) aimed: bool,
    /// Where it lands, if it is to run.
    pub(super) ground: Option<Ground>,
}

impl Known {
    /// Flies the typical launch and many like it.
    pub(super) fn flown(self, scene: &Scene, typical: &Launch, many: &[Launch]) -> FlownThere {
        let one = scene.launch(typical).ok().and_then(|trajectory| trajectory.fly().ok());
        let all: Vec<Trajectory> =
            many.iter().filter_map(|launch| scene.launch(launch).ok()).collect();
        let landed: Vec<Flight> = fly_all(&all).into_iter().filter_map(Result::ok).collect();
        FlownThere {
            typical: one.map(|flight| self.typical(&flight)),
            spread: FlightSpread {
                carry_m: Quantiles::of(landed.iter().map(|flight| flight.carry_m)),
                side_m: self
                    .aimed
                    .then(|| Quantiles::of(landed.iter().map(|flight| flight.side_m))),
                apex_m: Quantiles::of(landed.iter().map(|flight| flight.apex_m)),
                descent_angle_deg: Quantiles::of(
                    landed.iter().map(|flight| flight.descent_angle_deg),
                ),
                total_m: self.ground.map(|ground| {
                    Quantiles::of(landed.iter().map(|flight| ground.run(flight).total_m))
                }),
            },
        }
    }

    fn typical(self, flight: &Flight) -> TypicalFlight {
        TypicalFlight {
            carry_m: flight.carry_m,
            side_m: self.aimed.then_some(flight.side_m),
            apex_m: flight.apex_m,
            hang_time_s: flight.hang_time_s,
            descent_angle_deg: flight.descent_angle_deg,
            landing_speed_mps: flight.landing_speed_mps,
            total_m: self.ground.map(|ground| ground.run(flight).total_m),
        }
    }
}

impl Quantiles {
    /// Those of some values.
    #[must_use]
    pub fn of(values: impl Iterator<Item = f64>) -> Self {
        let values: Vec<f64> = values.collect();
        let summary = stats::Summary::of(&values).unwrap_or_default();
        Self { n: values.len(), p10: summary.p10, median: summary.median, p90: summary.p90 }
    }
}
