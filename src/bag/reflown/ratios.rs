//! What each shot's carry is multiplied by, worked out once and kept as long as the shot stays what it is.

use std::hash::{DefaultHasher, Hash, Hasher};

use hashbrown::HashMap;

use super::{InReferenceAir, NotReflown};
use crate::{
    bag::{
        flown::{Flown, is_wind_known},
        player::Player,
        row::Row,
    },
    flight::{Conditions, Launch, Scene, Trajectory, fly_all},
    shot::{Air, FlightOrigin, Measure, Sequence, Surroundings, Wind},
};

/// What each of some shots' carry is multiplied by. A ratio holds for what its shot was when it was worked
/// out; of a shot that was corrected since it is worked out anew.
#[derive(Debug, Clone, Default)]
pub struct Reflown(HashMap<Sequence, Ratio>);

/// What a carry is multiplied by, or why it is not.
#[derive(Debug, Clone, Copy)]
struct Ratio {
    content: u64,
    ratio: Result<f64, NotReflown>,
}

/// Shots to be flown, here and there.
#[derive(Debug, Clone, Default)]
pub struct ToRefly {
    judged: Reflown,
    pending: Vec<(Sequence, u64, [Trajectory; 2])>,
}

impl ToRefly {
    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.pending.is_empty() && self.judged.0.is_empty()
    }

    /// Flies them.
    #[must_use]
    pub fn fly(self) -> Reflown {
        let all: Vec<Trajectory> = self.pending.iter().flat_map(|(.., both)| *both).collect();
        let mut flights = fly_all(&all).into_iter();
        let Reflown(mut ratios) = self.judged;
        for (sequence, content, _) in self.pending {
            let [there, here] = [flights.next(), flights.next()]
                .map(|flight| flight.and_then(Result::ok).map(|flight| flight.carry_m));
            let ratio = there.zip(here).map(|(there, here)| there / here);
            let ratio = ratio.filter(|ratio| ratio.is_finite() && *ratio > 0.0);
            let ratio = ratio.ok_or(NotReflown::NoFlight);
            ratios.insert(sequence, Ratio { content, ratio });
        }
        Reflown(ratios)
    }
}

impl Reflown {
    /// What lacks of some rows: those that are not known, or were something else then.
    #[must_use]
    pub fn lacking(&self, rows: &[Row]) -> ToRefly {
        let mut skies = Skies::default();
        let mut to_fly = ToRefly::default();
        for row in rows {
            let content = content(row);
            if self.0.get(&row.sequence).is_some_and(|known| known.content == content) {
                continue;
            }
            match skies.trajectories(row) {
                Ok(both) => to_fly.pending.push((row.sequence, content, both)),
                Err(reason) => {
                    let ratio = Ratio { content, ratio: Err(reason) };
                    to_fly.judged.0.insert(row.sequence, ratio);
                }
            }
        }
        to_fly
    }

    /// Takes over what was flown.
    pub fn take(&mut self, flown: Self) {
        self.0.extend(flown.0);
    }

    /// Flies what lacks of a player's rows, and forgets what is none of them any more.
    pub fn complete(&mut self, rows: &[Row]) {
        let lacking = self.lacking(rows);
        self.take(lacking.fly());
        if self.0.len() > rows.len() {
            self.0.retain(|sequence, _| {
                rows.binary_search_by_key(sequence, |row| row.sequence).is_ok()
            });
        }
    }

    /// The same shots with their carries in reference air; a carry that cannot be taken there is gone.
    #[must_use]
    pub fn rows(&self, as_hit: &[Row]) -> Vec<Row> {
        let taken = |row: &Row| {
            let mut row = row.clone();
            match (self.of(&row), row.measures.get(Measure::Carry)) {
                (Ok(ratio), Some(carry)) => row.measures.set(Measure::Carry, ratio * carry),
                _ => row.measures.clear(Measure::Carry),
            }
            row
        };
        as_hit.iter().map(taken).collect()
    }

    /// A player whose rows were made by [`Reflown::rows`].
    #[must_use]
    pub const fn player<'a>(&'a self, player: Player<'a>, rows: &'a [Row]) -> Player<'a> {
        let reference = Some(InReferenceAir { reflown: self, as_hit: player.rows });
        Player { rows, reference, ..player }
    }

    pub(super) fn of(&self, row: &Row) -> Result<f64, NotReflown> {
        self.0.get(&row.sequence).map_or(Err(NotReflown::NoFlight), |known| known.ratio)
    }
}

/// All that a row's ratio follows from, as one number: a shot's is compared with what it was before.
fn content(row: &Row) -> u64 {
    let mut hasher = DefaultHasher::new();
    row.measures.get(Measure::Carry).is_some().hash(&mut hasher);
    row.flight_origin.hash(&mut hasher);
    let launch = [
        Measure::BallSpeed,
        Measure::LaunchAngle,
        Measure::LaunchDirection,
        Measure::SpinRate,
        Measure::SpinAxis,
    ];
    let of_launch = launch.map(|measure| row.measures.get(measure));
    let around = row.surroundings.as_deref().copied().unwrap_or_default();
    let Surroundings { air, wind, adjusted_for } = around;
    let Air { temperature_c, pressure_hpa, sea_level_pressure_hpa, humidity_pct, altitude_m } = air;
    let of_air = [temperature_c, pressure_hpa, sea_level_pressure_hpa, humidity_pct, altitude_m];
    let Wind { speed_mps, from_deg, compass_from_deg, height_m } = wind;
    let of_wind = [speed_mps, from_deg, compass_from_deg, height_m];
    for number in of_launch.into_iter().chain(of_air).chain(of_wind) {
        number.map(f64::to_bits).hash(&mut hasher);
    }
    adjusted_for.hash(&mut hasher);
    hasher.finish()
}

/// The airs that shots flew in: a visit's shots flew in one, which need not be worked out for each.
#[derive(Debug, Default)]
pub(super) struct Skies {
    reference: Option<Scene>,
    last: Option<(Conditions, Scene)>,
}

impl Skies {
    /// A shot in still reference air, and in what it flew in.
    fn trajectories(&mut self, row: &Row) -> Result<[Trajectory; 2], NotReflown> {
        self.flown(row).map(|(_, both)| both)
    }

    /// The density of the air that a shot flew in, kg/m³, if its carry can be taken to reference air.
    pub(super) fn density(&mut self, row: &Row) -> Result<f64, NotReflown> {
        self.flown(row).map(|(here, _)| here.air().density_kgpm3)
    }

    fn flown(&mut self, row: &Row) -> Result<(Scene, [Trajectory; 2]), NotReflown> {
        let (conditions, launch) = takeable(row)?;
        let scenes = self.reference().zip(self.scene(&conditions));
        let flown = scenes.and_then(|(there, here)| {
            let there = there.launch(&launch).ok()?;
            Some((here, [there, here.launch(&launch).ok()?]))
        });
        flown.ok_or(NotReflown::LaunchUnknown)
    }

    fn reference(&mut self) -> Option<Scene> {
        if self.reference.is_none() {
            self.reference = Scene::new(&Conditions::default()).ok();
        }
        self.reference
    }

    fn scene(&mut self, conditions: &Conditions) -> Option<Scene> {
        match self.last {
            Some((known, scene)) if known == *conditions => Some(scene),
            _ => {
                let scene = Scene::new(conditions).ok()?;
                self.last = Some((*conditions, scene));
                Some(scene)
            }
        }
    }
}

/// What a shot flew in and how it was launched, where both are known well enough.
fn takeable(row: &Row) -> Result<(Conditions, Launch), NotReflown> {
    row.measures.get(Measure::Carry).ok_or(NotReflown::NoCarry)?;
    if row.flight_origin != Some(FlightOrigin::Tracked) {
        return Err(NotReflown::NotTracked);
    }
    let around = row.surroundings.as_deref().copied().unwrap_or_default();
    if !around.adjusted_for.is_empty() {
        return Err(NotReflown::Adjusted);
    }
    if !is_air_known(&around) {
        return Err(NotReflown::AirUnknown);
    }
    if !is_wind_known(&around) {
        return Err(NotReflown::WindUnknown);
    }
    let shot = Flown::of(row).ok_or(NotReflown::LaunchUnknown)?;
    let launch = shot.launch().ok_or(NotReflown::LaunchUnknown)?;
    Ok((shot.conditions, launch))
}

/// Whether anybody said how warm or how thin the air was.
fn is_air_known(around: &Surroundings) -> bool {
    let air = &around.air;
    // A pressure reduced to sea level says nothing without the altitude.
    let said = [air.temperature_c, air.pressure_hpa, air.altitude_m];
    said.iter().any(Option::is_some)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::{
        bag::{reflown::NotReflown, rows::row},
        shot::Adjustment,
    };

    fn tracked(change: impl Fn(&mut Row, &mut Surroundings)) -> Row {
        let mut shot = row(&[
            (Measure::Carry, 150.0),
            (Measure::BallSpeed, 53.712),
            (Measure::LaunchAngle, 17.0),
            (Measure::SpinRate, 5_300.0),
        ]);
        shot.flight_origin = Some(FlightOrigin::Tracked);
        let mut around = Surroundings::default();
        around.air.temperature_c = Some(5.0);
        change(&mut shot, &mut around);
        shot.surroundings = Some(Box::new(around));
        shot
    }

    fn taken(row: Row) -> Result<f64, NotReflown> {
        let rows = [row];
        let mut reflown = Reflown::default();
        reflown.complete(&rows);
        let there = reflown.rows(&rows)[0].measures.get(Measure::Carry);
        assert_eq!(
            there.is_some(),
            reflown.of(&rows[0]).is_ok(),
            "what is not taken there is gone"
        );
        reflown.of(&rows[0]).map(|_| there.unwrap())
    }

    fn windy(row: &mut Row, around: &mut Surroundings) {
        row.measures.set(Measure::Carry, 150.0);
        around.air.temperature_c = Some(20.0);
        (around.wind.speed_mps, around.wind.from_deg) = (Some(8.940_8), Some(0.0));
    }

    /// The check data's page: this launch carries 156.3 m at 5 °C and 120.0 m into 20 mph where it carries
    /// 158.0 m in still air of 20 °C.
    #[test]
    fn a_carry_is_taken_there_by_the_ratio_of_modelled_ones() {
        let cold = taken(tracked(|_, _| {})).unwrap();
        assert!((cold - 150.0 * 158.0 / 156.3).abs() < 0.15, "{cold}");
        let calm = taken(tracked(windy)).unwrap();
        assert!((calm - 150.0 * 158.0 / 120.0).abs() < 0.25, "{calm}");
    }

    #[test]
    fn what_cannot_be_taken_there_says_why_and_has_no_carry() {
        for (reason, row) in [
            (NotReflown::NoCarry, tracked(|shot, _| shot.measures.clear(Measure::Carry))),
            (NotReflown::NotTracked, tracked(|shot, _| shot.flight_origin = None)),
            (
                NotReflown::NotTracked,
                tracked(|shot, _| shot.flight_origin = Some(FlightOrigin::Modelled)),
            ),
            (
                NotReflown::Adjusted,
                tracked(|_, around| around.adjusted_for = [Adjustment::Air].into_iter().collect()),
            ),
            (NotReflown::AirUnknown, tracked(|_, around| around.air.temperature_c = None)),
            (NotReflown::WindUnknown, tracked(|_, around| around.wind.speed_mps = Some(3.0))),
            (NotReflown::LaunchUnknown, tracked(|shot, _| shot.measures.clear(Measure::SpinRate))),
            (
                NotReflown::NoFlight,
                tracked(|shot, _| shot.measures.set(Measure::LaunchAngle, -5.0)),
            ),
        ] {
            assert_eq!(taken(row), Err(reason));
        }
    }

    #[test]
    fn a_shot_is_flown_once_and_again_only_when_it_has_changed() {
        let numbered = |mut row: Row, sequence: u64| {
            row.sequence = Sequence::new(sequence);
            row
        };
        let mut rows: Vec<Row> = (1..=6).map(|at| numbered(tracked(|_, _| {}), at)).collect();
        let mut known = Reflown::default();
        known.complete(&rows[..5]);
        let lacking = |known: &Reflown, rows: &[Row]| {
            let to_fly = known.lacking(rows);
            let mut all: Vec<u64> = to_fly.pending.iter().map(|(of, ..)| of.get()).collect();
            all.extend(to_fly.judged.0.keys().map(|of| of.get()));
            all
        };
        assert_eq!(lacking(&known, &rows[..5]), [] as [u64; 0]);
        assert_eq!(lacking(&known, &rows), [6]);
        known.complete(&rows);
        // Each of these is part of a ratio; another carry is not.
        let changes: [fn(&mut Row); 5] = [
            |row| row.measures.set(Measure::SpinRate, 4_000.0),
            |row| row.measures.set(Measure::SpinAxis, 3.0),
            |row| row.measures.clear(Measure::Carry),
            |row| row.flight_origin = None,
            |row| row.surroundings = None,
        ];
        for change in changes {
            let mut changed = rows.clone();
            change(&mut changed[2]);
            assert_eq!(lacking(&known, &changed), [3]);
        }
        rows[2].measures.set(Measure::Carry, 120.0);
        assert_eq!(lacking(&known, &rows), [] as [u64; 0]);
        // In another wind it is another ratio.
        rows[2] = numbered(tracked(windy), 3);
        known.complete(&rows);
        let calm = known.rows(&rows)[2].measures.get(Measure::Carry).unwrap();
        assert!((calm - 150.0 * 158.0 / 120.0).abs() < 0.25, "{calm}");
        // What has left the roll is forgotten.
        known.complete(&rows[3..]);
        assert_eq!(known.0.len(), 3);
    }
}
