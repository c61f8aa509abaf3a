//! What a shot measured, in the units kept: twenty quantities, each there or not.

use super::quantity::{QUANTITIES, Quantity, Row};
use super::units::Unit;
use std::fmt;

macro_rules! measures {
    ($($(#[$doc:meta])* $Name:ident,)+) => {
        /// A measured quantity of a shot.
        ///
        /// Its number is its place in [`Measures`] and its row in the table of quantities.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(u8)]
        pub enum Measure { $($(#[$doc])* $Name,)+ }

        impl Measure {
            /// All of them, in the order of their numbers.
            pub const ALL: &'static [Self] = &[$(Self::$Name),+];
            /// How many there are.
            pub const COUNT: usize = Self::ALL.len();
        }
    };
}

measures! {
    /// Speed of the ball just after impact, m/s.
    BallSpeed,
    /// Vertical launch angle, degrees; up is positive.
    LaunchAngle,
    /// Horizontal launch angle, degrees; right is positive.
    LaunchDirection,
    /// Total spin, rpm.
    SpinRate,
    /// Tilt of the spin's axis, degrees; positive curves right.
    SpinAxis,
    /// Speed of the clubhead just before impact, m/s.
    ClubheadSpeed,
    /// Vertical direction of the clubhead, degrees; down is negative.
    AttackAngle,
    /// Horizontal direction of the clubhead, degrees; right is positive.
    HeadPath,
    /// Direction of the face against the target line, degrees; right is positive.
    FaceToTarget,
    /// Loft of the face at impact, degrees.
    DeliveredLoft,
    /// Strike from the middle of the face towards the toe, mm.
    StrikeToe,
    /// Strike from the middle of the face towards the crown, mm.
    StrikeHigh,
    /// Straight-line distance to landing, m.
    Carry,
    /// Straight-line distance to rest, m.
    Total,
    /// Distance off the target line at landing, m; right is positive.
    Side,
    /// Distance off the starting line at landing, m; right is positive.
    Curve,
    /// Greatest height of the flight, m.
    Apex,
    /// Angle of descent at landing, degrees; down is positive.
    Descent,
    /// Time in the air, s.
    HangTime,
    /// Speed at landing, m/s.
    LandingSpeed,
}

impl Measure {
    /// Its row in the table of quantities.
    fn row(self) -> &'static Row {
        Quantity::of(self).row()
    }

    /// Its name without a unit, alone of its kind: `carry`, `clubhead_speed`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::ClubheadSpeed => "clubhead_speed",
            other => other.row().base,
        }
    }

    /// What it is.
    #[must_use]
    pub fn about(self) -> &'static str {
        self.row().about
    }

    /// Its name in answers in SI: `carry_m`.
    #[must_use]
    pub fn si_name(self) -> &'static str {
        match self {
            Self::BallSpeed => "ball_speed_mps",
            Self::LaunchAngle => "launch_angle_deg",
            Self::LaunchDirection => "launch_direction_deg",
            Self::SpinRate => "spin_rate_rpm",
            Self::SpinAxis => "spin_axis_deg",
            Self::ClubheadSpeed => "clubhead_speed_mps",
            Self::AttackAngle => "attack_angle_deg",
            Self::HeadPath => "head_path_deg",
            Self::FaceToTarget => "face_to_target_deg",
            Self::DeliveredLoft => "delivered_loft_deg",
            Self::StrikeToe => "strike_toe_mm",
            Self::StrikeHigh => "strike_high_mm",
            Self::Carry => "carry_m",
            Self::Total => "total_m",
            Self::Side => "side_m",
            Self::Curve => "curve_m",
            Self::Apex => "apex_m",
            Self::Descent => "descent_angle_deg",
            Self::HangTime => "hang_time_s",
            Self::LandingSpeed => "landing_speed_mps",
        }
    }

    /// Its name in answers to `units=imperial`: `carry_yd`, `apex_ft`.
    #[must_use]
    pub fn imperial_name(self) -> &'static str {
        match self {
            Self::BallSpeed => "ball_speed_mph",
            Self::ClubheadSpeed => "clubhead_speed_mph",
            Self::Carry => "carry_yd",
            Self::Total => "total_yd",
            Self::Side => "side_yd",
            Self::Curve => "curve_yd",
            Self::Apex => "apex_ft",
            Self::LandingSpeed => "landing_speed_mph",
            same => same.si_name(),
        }
    }

    /// The unit of [`Measure::imperial_name`].
    #[must_use]
    pub fn imperial_unit(self) -> Unit {
        self.row().dimension.imperial()
    }

    /// From the unit kept to that of [`Measure::imperial_name`].
    #[must_use]
    pub fn to_imperial(self, kept: f64) -> f64 {
        self.imperial_unit().from_si(kept)
    }
}

/// The measured quantities of one shot, in the units kept.
#[derive(Clone, Copy)]
pub struct Measures([f64; Measure::COUNT]);

impl Measures {
    /// No quantity at all.
    pub const NONE: Self = Self([f64::NAN; Measure::COUNT]);

    /// The measures among the rows of the table, which come first.
    pub(crate) fn of_rows(rows: &[f64; QUANTITIES]) -> Self {
        let mut measures = Self::NONE;
        measures.0.copy_from_slice(&rows[..Measure::COUNT]);
        measures
    }

    /// One quantity, if it is there.
    #[must_use]
    pub fn get(&self, measure: Measure) -> Option<f64> {
        let kept = self.0[measure as usize];
        (!kept.is_nan()).then_some(kept)
    }

    /// Puts a quantity; one that is not a number is taken as absent.
    pub fn set(&mut self, measure: Measure, kept: f64) {
        self.0[measure as usize] = kept;
    }

    /// Takes a quantity away.
    pub fn clear(&mut self, measure: Measure) {
        self.0[measure as usize] = f64::NAN;
    }

    /// Those that are there, in the order of their numbers.
    pub fn iter(&self) -> impl Iterator<Item = (Measure, f64)> {
        Measure::ALL.iter().filter_map(|measure| Some((*measure, self.get(*measure)?)))
    }
}

impl Default for Measures {
    fn default() -> Self {
        Self::NONE
    }
}

impl PartialEq for Measures {
    fn eq(&self, other: &Self) -> bool {
        Measure::ALL.iter().all(|measure| self.get(*measure) == other.get(*measure))
    }
}

impl fmt::Debug for Measures {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_map()
            .entries(self.iter().map(|(measure, kept)| (measure.si_name(), kept)))
            .finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn names_end_in_the_units_they_are_in() {
        for measure in Measure::ALL {
            let suffix = measure.row().dimension.si().suffix();
            assert_eq!(measure.si_name(), format!("{}_{suffix}", measure.name()));
            let suffix = measure.imperial_unit().suffix();
            assert_eq!(measure.imperial_name(), format!("{}_{suffix}", measure.name()));
        }
    }

    #[test]
    fn no_two_measures_share_a_name() {
        let names: BTreeSet<_> = Measure::ALL.iter().map(|measure| measure.name()).collect();
        assert_eq!(names.len(), Measure::COUNT);
    }

    #[test]
    fn apex_is_answered_in_feet_and_carry_in_yards() {
        assert!((Measure::Apex.to_imperial(0.3048) - 1.0).abs() < 1e-12);
        assert!((Measure::Carry.to_imperial(0.9144) - 1.0).abs() < 1e-12);
        assert!((Measure::BallSpeed.to_imperial(0.44704) - 1.0).abs() < 1e-12);
        assert!((Measure::StrikeToe.to_imperial(3.0) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn an_absent_quantity_is_absent_and_never_a_number() {
        let mut measures = Measures::NONE;
        assert_eq!(measures.get(Measure::Carry), None);
        measures.set(Measure::Carry, 158.3);
        measures.set(Measure::Side, f64::NAN);
        assert_eq!(measures.iter().collect::<Vec<_>>(), [(Measure::Carry, 158.3)]);
        assert_eq!(measures, measures);
        measures.clear(Measure::Carry);
        assert_eq!(measures, Measures::NONE);
    }
}
