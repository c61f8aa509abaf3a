//! Models fitted to clubs' shots, kept for the next question: of the same shots it is the same fit.

use std::{
    collections::VecDeque,
    hash::{DefaultHasher, Hash, Hasher},
};

use super::{Calibrated, ClubFlown, Flown};
use crate::{
    flight::{Calibration, Conditions, Model, Pressure, Tracked, Weather, Wind},
    shot::Sequence,
};

/// Fits that are kept, the oldest going first: those of a bag's clubs, twice over.
const KEPT: usize = 32;

/// Fits, each under what it rests on.
#[derive(Debug, Clone, Default)]
pub struct Fits(VecDeque<Fitted>);

/// A fit, and what it rests on as one number.
#[derive(Debug, Clone, Copy)]
pub struct Fitted {
    content: u64,
    fit: Calibration,
}

/// A club's shots that no fit is known of: to be fitted when nothing holds the player's rows.
#[derive(Debug, Clone)]
pub struct ToFit {
    content: u64,
    club: ClubFlown,
}

impl ToFit {
    /// Fits the default model to them.
    #[must_use]
    pub fn fit(self) -> Fitted {
        let fit = self.club.calibration(Model::default(), Calibrated::Own);
        Fitted { content: self.content, fit }
    }

    /// Whether they are the same shots.
    #[must_use]
    pub fn is_of(&self, other: &Self) -> bool {
        self.content == other.content
    }
}

impl Fits {
    /// A club whose fit is not known.
    #[must_use]
    pub fn lacking(&self, club: ClubFlown) -> Option<ToFit> {
        let content = content(&club);
        self.known(content).is_none().then_some(ToFit { content, club })
    }

    /// Takes over a fit.
    pub fn take(&mut self, fitted: Fitted) {
        if self.known(fitted.content).is_some() {
            return;
        }
        if self.0.len() == KEPT {
            self.0.pop_front();
        }
        self.0.push_back(fitted);
    }

    /// The default model fitted to a club's shots.
    pub fn of(&mut self, club: ClubFlown) -> Calibration {
        let content = content(&club);
        self.known(content).unwrap_or_else(|| {
            let fitted = ToFit { content, club }.fit();
            self.take(fitted);
            fitted.fit
        })
    }

    fn known(&self, content: u64) -> Option<Calibration> {
        self.0.iter().find(|known| known.content == content).map(|known| known.fit)
    }
}

fn content(club: &ClubFlown) -> u64 {
    let mut hasher = DefaultHasher::new();
    for shot in club.calibrating() {
        take(shot, &mut hasher);
    }
    hasher.finish()
}

/// Takes all that a fit reads of a shot.
fn take(shot: &Flown, hasher: &mut impl Hasher) {
    let &Flown { sequence, conditions, tracked, spin_measured, .. } = shot;
    let Conditions { weather, wind, aerodynamics: _ } = conditions;
    let Weather { temperature_c, pressure, humidity_pct } = weather;
    let Wind { speed_mps, from_deg, height_m } = wind;
    let (kind, pressure) = match pressure {
        Pressure::Station(hpa) => (0, [hpa, 0.0]),
        Pressure::SeaLevel { hpa, altitude_m } => (1, [hpa, altitude_m]),
        Pressure::Standard(altitude_m) => (2, [altitude_m, 0.0]),
    };
    let Tracked { carry_m, apex_m, descent_angle_deg, hang_time_s } = tracked.unwrap_or_default();
    (Sequence::get(sequence), spin_measured, kind).hash(hasher);
    let known = [
        shot.ball_speed_mps,
        shot.launch_angle_deg,
        temperature_c,
        humidity_pct,
        speed_mps,
        from_deg,
        height_m,
    ];
    let perhaps = [
        shot.launch_direction_deg,
        shot.spin_rate_rpm,
        shot.spin_axis_deg,
        carry_m,
        apex_m,
        descent_angle_deg,
        hang_time_s,
    ];
    for number in known.into_iter().chain(pressure) {
        number.to_bits().hash(hasher);
    }
    for number in perhaps {
        number.map(f64::to_bits).hash(hasher);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::flight::{Fit, LEAST_SHOTS, Scales};

    /// A club whose ball has so much drag, flown by the model itself.
    fn club(drag: f64) -> ClubFlown {
        let mut conditions = Conditions::default();
        conditions.aerodynamics.scales = Scales { drag, ..Scales::NONE };
        let shot = |at: u32| {
            let mut shot = Flown {
                sequence: Sequence::new(u64::from(at)),
                ball_speed_mps: 52.0 + 0.2 * f64::from(at),
                launch_angle_deg: 15.0,
                launch_direction_deg: None,
                spin_rate_rpm: Some(4_800.0),
                spin_measured: true,
                spin_axis_deg: None,
                conditions: Conditions::default(),
                tracked: None,
            };
            let flown = shot.trajectory(4_800.0, conditions.aerodynamics).unwrap().fly().unwrap();
            shot.tracked = Some(Tracked { carry_m: Some(flown.carry_m), ..Tracked::default() });
            shot
        };
        let shots: Vec<Flown> = (0..20).map(shot).collect();
        ClubFlown { basis: None, counted: shots.len(), shots }
    }

    #[test]
    fn a_fit_is_remembered_as_long_as_its_shots_are_the_same() {
        let mut fits = Fits::default();
        let (mut slow, fast) = (club(1.06), club(0.94));
        let [of_slow, of_fast] = [&slow, &fast].map(|club| fits.of(club.clone()));
        assert_eq!(of_slow.fit, Fit::Fitted);
        assert!(of_slow.scales.drag > of_fast.scales.drag, "{of_slow:?} {of_fast:?}");
        assert_eq!([&slow, &fast].map(|club| fits.of(club.clone())), [of_slow, of_fast]);
        assert_eq!(fits.0.len(), 2);
        assert!(fits.lacking(slow.clone()).is_none());
        // Fitted aside and taken over, it is the same.
        let mut aside = Fits::default();
        aside.take(aside.lacking(slow.clone()).unwrap().fit());
        assert_eq!(aside.known(content(&slow)), Some(of_slow));
        // Another shot, and one whose carry is another.
        slow.shots[3].tracked = Some(Tracked { carry_m: Some(150.0), ..Tracked::default() });
        assert_ne!(fits.of(slow.clone()), of_slow);
        slow.shots.truncate(LEAST_SHOTS - 1);
        assert_eq!(fits.of(slow.clone()).fit, Fit::TooFewShots);
        for at in 0..2 * KEPT {
            slow.shots[0].ball_speed_mps = 50.0 + f64::from(u32::try_from(at).unwrap());
            let _ = fits.of(slow.clone());
        }
        assert_eq!(fits.0.len(), KEPT);
    }
}
