//! The one table of quantities: where each is sent, under what name, in what units, within what
//! bounds. Parser, schema, faults and flags all read it.

use super::measure::Measure;
use super::units::Dimension;

/// An object of the event that holds members.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Object {
    /// The event itself.
    Event,
    /// What the player meant.
    Intent,
    /// The ball just after impact.
    Launch,
    /// The clubhead at impact.
    Clubhead,
    /// The ball from launch to landing, or to rest.
    Flight,
    /// The air that it flew in.
    Air,
    /// The wind that it flew in.
    Wind,
    /// What was aimed at.
    Target,
}

impl Object {
    /// All of them.
    pub(crate) const ALL: [Self; 8] = [
        Self::Event,
        Self::Intent,
        Self::Launch,
        Self::Clubhead,
        Self::Flight,
        Self::Air,
        Self::Wind,
        Self::Target,
    ];

    /// The member of the event that holds it; empty for the event itself.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Event => "",
            Self::Intent => "intent",
            Self::Launch => "launch",
            Self::Clubhead => "clubhead",
            Self::Flight => "flight",
            Self::Air => "air",
            Self::Wind => "wind",
            Self::Target => "target",
        }
    }

    /// How it is called in a sentence.
    pub(crate) const fn called(self) -> &'static str {
        match self {
            Self::Event => "the event",
            other => other.name(),
        }
    }

    /// Its JSON pointer.
    pub(crate) const fn pointer(self) -> &'static str {
        match self {
            Self::Event => "",
            Self::Intent => "/intent",
            Self::Launch => "/launch",
            Self::Clubhead => "/clubhead",
            Self::Flight => "/flight",
            Self::Air => "/air",
            Self::Wind => "/wind",
            Self::Target => "/target",
        }
    }

    /// What it is, for the schema.
    pub(crate) const fn about(self) -> &'static str {
        match self {
            Self::Event => "One golf shot as it was measured.",
            Self::Intent => "What the player meant; absent members are stock, straight, full.",
            Self::Launch => "The ball just after impact.",
            Self::Clubhead => "The clubhead at impact.",
            Self::Flight => "The ball from launch to landing, or to rest.",
            Self::Air => "The air that the ball flew in.",
            Self::Wind => "The wind that the ball flew in.",
            Self::Target => "What was aimed at, seen from the ball.",
        }
    }
}

/// One row of the table.
#[derive(Debug)]
pub(crate) struct Row {
    /// The object that holds it.
    pub(crate) object: Object,
    /// Its name without a unit.
    pub(crate) base: &'static str,
    /// The units that it may be sent in.
    pub(crate) dimension: Dimension,
    /// What is refused outside, in the unit kept.
    pub(crate) bounds: (f64, f64),
    /// What is flagged outside, in the unit kept.
    pub(crate) usual: (f64, f64),
    /// What it is, for the schema.
    pub(crate) about: &'static str,
}

/// How many rows the table has.
pub(crate) const QUANTITIES: usize = 33;

/// A quantity of the event: the number of its row. The first [`Measure::COUNT`] are the measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Quantity(u8);

impl Quantity {
    pub(crate) const BACKSPIN: Self = Self(20);
    pub(crate) const SIDESPIN: Self = Self(21);
    pub(crate) const TEMPERATURE: Self = Self(22);
    pub(crate) const PRESSURE: Self = Self(23);
    pub(crate) const SEA_LEVEL_PRESSURE: Self = Self(24);
    pub(crate) const HUMIDITY: Self = Self(25);
    pub(crate) const ALTITUDE: Self = Self(26);
    pub(crate) const WIND_SPEED: Self = Self(27);
    pub(crate) const WIND_FROM: Self = Self(28);
    pub(crate) const WIND_COMPASS_FROM: Self = Self(29);
    pub(crate) const WIND_HEIGHT: Self = Self(30);
    pub(crate) const TARGET_DISTANCE: Self = Self(31);
    pub(crate) const TARGET_ELEVATION: Self = Self(32);

    /// All of them, in the order of their rows.
    pub(crate) fn all() -> impl Iterator<Item = Self> {
        (0..).take(QUANTITIES).map(Self)
    }

    /// The quantity of a measure.
    pub(crate) const fn of(measure: Measure) -> Self {
        Self(measure as u8)
    }

    /// The number of its row.
    pub(crate) const fn index(self) -> usize {
        self.0 as usize
    }

    /// Its row.
    pub(crate) fn row(self) -> &'static Row {
        &ROWS[self.index()]
    }
}

/// No bound on what is usual.
const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

macro_rules! rows {
    ($($object:ident $base:literal $dimension:ident $bounds:tt usual $usual:tt $about:literal)+) => {
        /// The table. Rows are only ever added at the end: their numbers stand in stored flags.
        static ROWS: [Row; QUANTITIES] = [$(Row {
            object: Object::$object,
            base: $base,
            dimension: Dimension::$dimension,
            bounds: $bounds,
            usual: $usual,
            about: $about,
        },)+];
    };
}

// Bounds are what no golf shot reaches; beyond what is usual a shot is kept and flagged. Both are
// our decision, from common practice; no source.
rows! {
    Launch "ball_speed" Speed (1.0, 110.0) usual (8.0, 95.0)
        "Speed of the ball just after impact."
    Launch "launch_angle" Angle (-20.0, 80.0) usual (-2.0, 55.0)
        "Vertical launch angle; up is positive."
    Launch "launch_direction" Angle (-90.0, 90.0) usual (-25.0, 25.0)
        "Horizontal launch angle; right is positive."
    Launch "spin_rate" Spin (0.0, 20_000.0) usual (300.0, 14_000.0)
        "Total spin."
    Launch "spin_axis" Angle (-90.0, 90.0) usual (-50.0, 50.0)
        "Tilt of the spin's axis; positive curves right."
    Clubhead "speed" Speed (1.0, 80.0) usual (8.0, 65.0)
        "Speed of the clubhead just before impact."
    Clubhead "attack_angle" Angle (-45.0, 45.0) usual (-20.0, 20.0)
        "Vertical direction of the clubhead; down is negative."
    Clubhead "head_path" Angle (-45.0, 45.0) usual (-20.0, 20.0)
        "Horizontal direction of the clubhead; right is positive."
    Clubhead "face_to_target" Angle (-45.0, 45.0) usual (-20.0, 20.0)
        "Direction of the face against the target line; right is positive."
    Clubhead "delivered_loft" Angle (-10.0, 80.0) usual (0.0, 70.0)
        "Loft of the face at impact."
    Clubhead "strike_toe" FaceLength (-80.0, 80.0) usual (-40.0, 40.0)
        "Strike from the middle of the face towards the toe."
    Clubhead "strike_high" FaceLength (-80.0, 80.0) usual (-40.0, 40.0)
        "Strike from the middle of the face towards the crown."
    Flight "carry" Length (0.0, 400.0) usual (5.0, 350.0)
        "Straight-line distance to landing."
    Flight "total" Length (0.0, 500.0) usual ANY
        "Straight-line distance to rest."
    Flight "side" Length (-200.0, 200.0) usual (-80.0, 80.0)
        "Distance off the target line at landing; right is positive."
    Flight "curve" Length (-200.0, 200.0) usual (-80.0, 80.0)
        "Distance off the starting line at landing; right is positive."
    Flight "apex" Apex (0.0, 120.0) usual (0.5, 70.0)
        "Greatest height of the flight."
    Flight "descent_angle" Angle (0.0, 90.0) usual (10.0, 75.0)
        "Angle of descent at landing; down is positive."
    Flight "hang_time" Time (0.0, 20.0) usual (0.5, 10.0)
        "Time in the air."
    Flight "landing_speed" Speed (0.0, 110.0) usual ANY
        "Speed of the ball at landing."
    Launch "backspin" Spin (-20_000.0, 20_000.0) usual ANY
        "Spin about the level axis, in place of rate and axis; negative is topspin."
    Launch "sidespin" Spin (-20_000.0, 20_000.0) usual ANY
        "Spin about the upright axis, beside backspin; positive curves right."
    Air "temperature" Temperature (-40.0, 60.0) usual (-15.0, 45.0)
        "Temperature of the air."
    Air "pressure" Pressure (400.0, 1_100.0) usual ANY
        "Station pressure: as a barometer on the spot shows it."
    Air "sea_level_pressure" Pressure (400.0, 1_100.0) usual ANY
        "Pressure reduced to sea level, as in weather reports; used with an altitude."
    Air "humidity" Percent (0.0, 100.0) usual ANY
        "Relative humidity."
    Air "altitude" Height (-500.0, 6_000.0) usual ANY
        "Height above the sea."
    Wind "speed" WindSpeed (0.0, 60.0) usual (0.0, 25.0)
        "Speed of the wind."
    Wind "from" Angle (0.0, 360.0) usual ANY
        "Where it comes from against the target line: 0 into the face, 90 from the right."
    Wind "compass_from" Angle (0.0, 360.0) usual ANY
        "Where it comes from by compass; used with the source's target bearing."
    Wind "height" Height (0.5, 100.0) usual ANY
        "Height above ground at which the wind was taken."
    Target "distance" Length (0.0, 500.0) usual ANY
        "Distance to the target."
    Target "elevation" Height (-100.0, 100.0) usual ANY
        "Height of the target above the ball; up is positive."
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn named_rows_are_where_their_names_say() {
        let named = [
            (Quantity::BACKSPIN, "backspin"),
            (Quantity::SIDESPIN, "sidespin"),
            (Quantity::TEMPERATURE, "temperature"),
            (Quantity::PRESSURE, "pressure"),
            (Quantity::SEA_LEVEL_PRESSURE, "sea_level_pressure"),
            (Quantity::HUMIDITY, "humidity"),
            (Quantity::ALTITUDE, "altitude"),
            (Quantity::WIND_SPEED, "speed"),
            (Quantity::WIND_FROM, "from"),
            (Quantity::WIND_COMPASS_FROM, "compass_from"),
            (Quantity::WIND_HEIGHT, "height"),
            (Quantity::TARGET_DISTANCE, "distance"),
            (Quantity::TARGET_ELEVATION, "elevation"),
        ];
        for (quantity, base) in named {
            assert_eq!(quantity.row().base, base);
        }
        assert_eq!(Measure::COUNT + named.len(), QUANTITIES);
    }

    #[test]
    fn measures_have_the_rows_of_their_names() {
        let rows = [
            (Measure::BallSpeed, Object::Launch, "ball_speed"),
            (Measure::LaunchAngle, Object::Launch, "launch_angle"),
            (Measure::LaunchDirection, Object::Launch, "launch_direction"),
            (Measure::SpinRate, Object::Launch, "spin_rate"),
            (Measure::SpinAxis, Object::Launch, "spin_axis"),
            (Measure::ClubheadSpeed, Object::Clubhead, "speed"),
            (Measure::AttackAngle, Object::Clubhead, "attack_angle"),
            (Measure::HeadPath, Object::Clubhead, "head_path"),
            (Measure::FaceToTarget, Object::Clubhead, "face_to_target"),
            (Measure::DeliveredLoft, Object::Clubhead, "delivered_loft"),
            (Measure::StrikeToe, Object::Clubhead, "strike_toe"),
            (Measure::StrikeHigh, Object::Clubhead, "strike_high"),
            (Measure::Carry, Object::Flight, "carry"),
            (Measure::Total, Object::Flight, "total"),
            (Measure::Side, Object::Flight, "side"),
            (Measure::Curve, Object::Flight, "curve"),
            (Measure::Apex, Object::Flight, "apex"),
            (Measure::Descent, Object::Flight, "descent_angle"),
            (Measure::HangTime, Object::Flight, "hang_time"),
            (Measure::LandingSpeed, Object::Flight, "landing_speed"),
        ];
        assert_eq!(rows.len(), Measure::COUNT);
        for (measure, object, base) in rows {
            let row = Quantity::of(measure).row();
            assert_eq!((row.object, row.base), (object, base), "{measure:?}");
        }
    }

    #[test]
    fn what_is_usual_lies_within_the_bounds() {
        for quantity in Quantity::all() {
            let Row { base, bounds: (low, high), usual, .. } = quantity.row();
            assert!(low < high, "{base}");
            if usual != &ANY {
                assert!(*low <= usual.0 && usual.1 <= *high && usual.0 < usual.1, "{base}");
            }
        }
    }
}
