//! Flights as somebody beside the line sees them: how high the ball is how far out.

use super::{
    Calibrated, ClubFlown, Flown, FlownThere, LEAST_FLIGHTS, Launches, answer::typical, club_flown,
    sample, spread::Known,
};
use crate::{
    bag::{filter::Filter, player::Player, spots::rows_of_pair},
    flight::{Aerodynamics, Conditions, Faults, Launch, PathPoint, Scene},
    stats,
};

/// Steps in which the way of a flight is told, s.
const EVERY_S: f64 = 0.1;
/// Flights that a band is made of: its edges are tenths, which need no more.
const OF_BAND: usize = 250;
/// Distances at which a band is told.
const ACROSS: u32 = 48;

/// A club of two that are compared, gathered to be flown.
#[derive(Debug, Clone, PartialEq)]
pub struct ClubToSee {
    /// Its like-for-like shots.
    met: ClubFlown,
    /// All its counted shots, which its model is fitted to.
    whole: ClubFlown,
}

/// The newest like-for-like shots of two clubs, candidate first, gathered to be flown.
#[must_use]
pub fn pair_to_see(player: Player<'_>, pair: [u32; 2], filter: &Filter) -> [ClubToSee; 2] {
    let [candidate, incumbent] = rows_of_pair(player, pair, filter);
    [(pair[0], candidate), (pair[1], incumbent)].map(|(club, rows)| ClubToSee {
        met: ClubFlown {
            basis: None,
            counted: rows.len(),
            shots: rows.into_iter().filter_map(Flown::of).collect(),
        },
        whole: club_flown(player, player.newest_build(club), filter),
    })
}

/// A club ready to be flown in any conditions: its launches, and the model fitted to its shots.
#[derive(Debug, Clone)]
pub struct Airborne {
    aerodynamics: Aerodynamics,
    launches: Launches,
    typical: Launch,
}

/// A club's flights seen from the side.
#[derive(Debug, Clone, PartialEq)]
pub struct FlightsSeen {
    /// Their figures.
    pub flown: FlownThere,
    /// Whether the spin of some of their launches was not measured.
    pub inferred: bool,
    /// The way of the typical one: distance along the ground and height, metres.
    pub path: Vec<[f64; 2]>,
    /// Distance, and the heights that a tenth of the flights are below and above there, metres.
    pub band: Vec<[f64; 3]>,
}

impl Airborne {
    /// A club's launches under the model of some conditions, fitted to its shots or as it is; `None` where
    /// nothing can be flown.
    #[must_use]
    pub fn of(club: &ClubToSee, conditions: &Conditions, calibrated: Calibrated) -> Option<Self> {
        let model = conditions.aerodynamics.model;
        let scales = club.whole.calibration(model, calibrated).scales;
        let aerodynamics = Aerodynamics { model, scales };
        let launches = club.met.launches(aerodynamics);
        let typical = typical(&launches.all)?;
        Some(Self { aerodynamics, launches, typical })
    }

    /// Its flights in some conditions.
    ///
    /// # Errors
    /// Conditions outside their ranges.
    pub fn seen(&self, conditions: &Conditions) -> Result<FlightsSeen, Faults> {
        let scene = Scene::new(&Conditions { aerodynamics: self.aerodynamics, ..*conditions })?;
        let many = sample(&self.launches.all);
        let known = Known { aimed: self.launches.are_aimed(), ground: None };
        let flown = known.flown(&scene, &self.typical, &many);
        let paths: Vec<Vec<[f64; 2]>> =
            many.iter().take(OF_BAND).filter_map(|launch| path(&scene, launch)).collect();
        let path = path(&scene, &self.typical).unwrap_or_default();
        let inferred = self.launches.spin_inferred > 0;
        Ok(FlightsSeen { flown, inferred, path, band: band(&paths) })
    }
}

fn path(scene: &Scene, launch: &Launch) -> Option<Vec<[f64; 2]>> {
    let (_, path) = scene.launch(launch).ok()?.path(EVERY_S).ok()?;
    Some(path.iter().map(|PathPoint { x_m, y_m, z_m, .. }| [x_m.hypot(*y_m), *z_m]).collect())
}

/// The middle eight tenths of the heights at each distance; a ball that has landed is at 0.
fn band(paths: &[Vec<[f64; 2]>]) -> Vec<[f64; 3]> {
    let ends = paths.iter().filter_map(|path| path.last()).map(|[far, _]| *far);
    let farthest = ends.fold(0.0, f64::max);
    let at = |step: u32| {
        let far = farthest * f64::from(step) / f64::from(ACROSS);
        let heights: Vec<f64> = paths.iter().map(|path| height(path, far)).collect();
        let summary = stats::Summary::of(&heights).ok()?;
        Some([far, summary.p10?, summary.p90?])
    };
    (0..=ACROSS).filter_map(at).collect()
}

/// How high the ball is at a distance.
fn height(path: &[[f64; 2]], far: f64) -> f64 {
    let after = path.partition_point(|[at, _]| *at < far);
    match (after.checked_sub(1).and_then(|before| path.get(before)), path.get(after)) {
        (Some([x0, z0]), Some([x1, z1])) if x1 > x0 => z0 + (z1 - z0) * (far - x0) / (x1 - x0),
        (None, Some([_, z])) => *z,
        _ => 0.0,
    }
}

const _: () = assert!(OF_BAND <= LEAST_FLIGHTS);

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)] // ends are exact

    use super::*;

    #[test]
    fn a_band_holds_the_middle_eight_tenths_and_ends_on_the_ground() {
        // Eleven straight rises to 10, 11 … 20 m at 100 m, and down to 0 at 200 m.
        let paths: Vec<Vec<[f64; 2]>> =
            (10..=20).map(|top| vec![[0.0, 0.0], [100.0, f64::from(top)], [200.0, 0.0]]).collect();
        let band = band(&paths);
        let [_, low, high] = band[ACROSS as usize / 2];
        assert!((low - 11.0).abs() < 1e-9 && (high - 19.0).abs() < 1e-9, "{low} {high}");
        assert_eq!(band.first().unwrap(), &[0.0, 0.0, 0.0]);
        assert_eq!(band.last().unwrap(), &[200.0, 0.0, 0.0]);
    }

    #[test]
    fn a_ball_that_has_landed_is_on_the_ground() {
        let path = [[0.0, 0.0], [50.0, 20.0], [100.0, 0.0]];
        assert!((height(&path, 75.0) - 10.0).abs() < 1e-12);
        assert!(height(&path, 130.0).abs() < 1e-12);
    }
}
