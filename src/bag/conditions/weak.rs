//! Weak strikes: what they cost in still air on soaked ground, and into a wind.

use serde::Serialize;
use utoipa::ToSchema;

use super::range::{FIRM_GREEN_DEG, Holding, ModelRange, SOFT_GREEN_DEG};
use crate::{
    flight::{Flight, Ground, Launch},
    stats,
};

/// Strikes below which a club's own weakest say nothing, and weak ones are assumed.
pub(super) const LEAST_STRIKES: usize = 15;
/// One in so many strikes is a weak one.
const ONE_IN: usize = 5;
/// A weak strike of a club with too few strikes: its share of the typical ball speed, how much lower it
/// starts, and its share of the typical spin. Assumption, after what thin strikes do.
const ASSUMED: (f64, f64, f64) = (0.97, 3.0, 0.85);

/// Weak strikes of both clubs side by side.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WeakStrikes {
    /// The incumbent's.
    pub incumbent: WeakStrike,
    /// The candidate's.
    pub candidate: WeakStrike,
    /// How much more carry a weak strike costs the candidate than the incumbent in still air, m; null where
    /// one does not land.
    pub costs_more_still_m: Option<ModelRange>,
    /// The same into 20 mph.
    pub costs_more_into_wind_m: Option<ModelRange>,
}

/// A club's weak strike.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WeakStrike {
    /// Where it is from.
    pub origin: WeakOrigin,
    /// Weak strikes that were flown: a fifth of all, mishits among them; null where one is assumed.
    pub strikes: Option<usize>,
    /// How it starts: medians.
    pub launch: WeakLaunch,
    /// In still reference air, on soaked ground.
    pub still: WeakFlight,
    /// Into 20 mph, on soaked ground.
    pub into_wind: WeakFlight,
}

/// Where a weak strike is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WeakOrigin {
    /// The club's own slowest fifth by ball speed, mishits among them.
    Own,
    /// The typical strike with 3 % less speed, 3° lower, with 15 % less spin: the club has fewer than 15
    /// strikes.
    Assumed,
}

/// How a weak strike starts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WeakLaunch {
    /// Ball speed, m/s.
    pub ball_speed_mps: f64,
    /// Up from level, degrees.
    pub launch_angle_deg: f64,
    /// Whole spin, rpm.
    pub spin_rate_rpm: f64,
}

/// What a weak strike does: medians; null where none lands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WeakFlight {
    /// Carry, m.
    pub carry_m: Option<f64>,
    /// Straight to its rest on soaked ground, m.
    pub total_m: Option<f64>,
    /// How much less than the median of the club's counted strikes it carries in the same air, m.
    pub loses_m: Option<f64>,
    /// Angle of descent, degrees.
    pub descent_angle_deg: Option<f64>,
    /// Whether a firm green holds it. Common practice, no source.
    pub firm_green: Option<Holding>,
    /// Whether a soft green holds it. Common practice, no source.
    pub soft_green: Option<Holding>,
}

/// A club's weak strikes, as they are to be flown.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::bag) struct Weak {
    pub(in crate::bag) origin: WeakOrigin,
    pub(in crate::bag) launches: Vec<Launch>,
}

impl Weak {
    /// The slowest fifth of all strikes; with too few, one made from the typical strike.
    pub(in crate::bag) fn of(strikes: &[Launch], typical: &Launch) -> Self {
        if strikes.len() < LEAST_STRIKES {
            let (speed, lower_deg, spin) = ASSUMED;
            let assumed = Launch {
                ball_speed_mps: speed * typical.ball_speed_mps,
                launch_angle_deg: typical.launch_angle_deg - lower_deg,
                spin_rate_rpm: spin * typical.spin_rate_rpm,
                ..*typical
            };
            return Self { origin: WeakOrigin::Assumed, launches: vec![assumed.within_bounds()] };
        }
        let mut slowest: Vec<Launch> = strikes.iter().map(|one| one.within_bounds()).collect();
        slowest.sort_by(|a, b| a.ball_speed_mps.total_cmp(&b.ball_speed_mps));
        slowest.truncate(strikes.len() / ONE_IN);
        Self { origin: WeakOrigin::Own, launches: slowest }
    }

    /// Medians of how they start.
    pub(in crate::bag) fn launch(&self) -> WeakLaunch {
        let of = |member: fn(&Launch) -> f64| {
            median(self.launches.iter().map(member)).unwrap_or_default()
        };
        WeakLaunch {
            ball_speed_mps: of(|launch| launch.ball_speed_mps),
            launch_angle_deg: of(|launch| launch.launch_angle_deg),
            spin_rate_rpm: of(|launch| launch.spin_rate_rpm),
        }
    }

    /// What they do, given their flights in still air and into the wind, each with the median carry of the
    /// club's counted strikes there.
    pub(super) fn strike(&self, flights: [(&[Option<Flight>], Option<f64>); 2]) -> WeakStrike {
        let [still, into_wind] = flights.map(|(flights, usual_m)| WeakFlight::of(flights, usual_m));
        let own = self.origin == WeakOrigin::Own;
        WeakStrike {
            origin: self.origin,
            strikes: own.then_some(self.launches.len()),
            launch: self.launch(),
            still,
            into_wind,
        }
    }
}

impl WeakFlight {
    fn of(flights: &[Option<Flight>], usual_m: Option<f64>) -> Self {
        let of = |figure: fn(&Flight) -> f64| median(flights.iter().flatten().map(figure));
        let carry_m = of(|flight| flight.carry_m);
        let descent_angle_deg = of(|flight| flight.descent_angle_deg);
        let held = |by| descent_angle_deg.map(|descent| Holding::of(descent, by));
        Self {
            carry_m,
            total_m: of(|flight| Ground::Soaked.run(flight).total_m),
            loses_m: usual_m.zip(carry_m).map(|(usual, weak)| usual - weak),
            descent_angle_deg,
            firm_green: held(FIRM_GREEN_DEG),
            soft_green: held(SOFT_GREEN_DEG),
        }
    }
}

/// The median; `None` of nothing.
pub(super) fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    stats::median(&values.collect::<Vec<f64>>()).ok().flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typical() -> Launch {
        Launch {
            ball_speed_mps: 50.0,
            launch_angle_deg: 16.0,
            launch_direction_deg: 0.0,
            spin_rate_rpm: 5_000.0,
            spin_axis_deg: 0.0,
        }
    }

    #[test]
    fn the_slowest_fifth_is_weak_and_of_few_strikes_one_is_assumed() {
        let strikes: Vec<Launch> = (0..20)
            .map(|at| Launch { ball_speed_mps: 60.0 - f64::from(at), ..typical() })
            .collect();
        let own = Weak::of(&strikes, &typical());
        let speeds: Vec<f64> = own.launches.iter().map(|launch| launch.ball_speed_mps).collect();
        assert_eq!((own.origin, speeds), (WeakOrigin::Own, vec![41.0, 42.0, 43.0, 44.0]));
        let assumed = Weak::of(&strikes[..LEAST_STRIKES - 1], &typical());
        let WeakLaunch { ball_speed_mps, launch_angle_deg, spin_rate_rpm } = assumed.launch();
        assert_eq!(assumed.origin, WeakOrigin::Assumed);
        let ours = [ball_speed_mps, launch_angle_deg, spin_rate_rpm];
        assert!(
            ours.iter()
                .zip([48.5, 13.0, 4_250.0])
                .all(|(ours, by_hand)| { (ours - by_hand).abs() < 1e-9 })
        );
    }
}
