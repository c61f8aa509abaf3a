//! The closed vocabularies of the event and the catalogue: one spelling a word, for JSON, for the
//! schema and for people.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;
use utoipa::ToSchema;

/// A closed vocabulary; lets readers and the schema be written once for all of them.
pub(crate) trait Word: Copy + 'static {
    /// All its words, in the order of their numbers.
    const ALL: &'static [Self];

    /// The spelling.
    fn spelling(self) -> &'static str;

    /// The word of a spelling.
    fn of(spelling: &str) -> Option<Self>;

    /// What it means.
    fn meaning(self) -> &'static str;

    /// What the vocabulary tells, and what each of its words means.
    fn about() -> String;
}

/// The spellings of a vocabulary, in order.
pub(crate) fn spellings<W: Word>() -> Vec<&'static str> {
    W::ALL.iter().map(|word| word.spelling()).collect()
}

/// What a vocabulary tells, then its words, each with its meaning.
fn about_words<W: Word>(what: &str, words: &[W]) -> String {
    let each = words.iter().map(|word| {
        let meaning = word.meaning().trim_end_matches('.');
        format!("`{}`: {}.", word.spelling(), decapitalised(meaning))
    });
    let all: Vec<String> = [what.trim().to_owned()].into_iter().chain(each).collect();
    all.join(" ")
}

/// The same text to follow a colon.
fn decapitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

macro_rules! words {
    ($(#[doc = $doc:literal] $Word:ident { $(#[doc = $note:literal] $Variant:ident = $text:literal,)+ })+) => {$(
        #[doc = $doc]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(u8)]
        pub enum $Word {
            $(#[doc = $note] #[doc = concat!(" (`", $text, "`)")] $Variant,)+
        }

        impl $Word {
            /// All of them, in the order of their numbers.
            pub const ALL: &'static [Self] = &[$(Self::$Variant),+];

            /// The spelling.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$Variant => $text),+ }
            }

            /// The word of a spelling.
            #[must_use]
            pub fn parse(spelling: &str) -> Option<Self> {
                match spelling { $($text => Some(Self::$Variant),)+ _ => None }
            }
        }

        impl Word for $Word {
            const ALL: &'static [Self] = Self::ALL;

            fn spelling(self) -> &'static str {
                self.as_str()
            }

            fn of(spelling: &str) -> Option<Self> {
                Self::parse(spelling)
            }

            fn meaning(self) -> &'static str {
                match self { $(Self::$Variant => $note),+ }.trim()
            }

            fn about() -> String {
                about_words($doc, Self::ALL)
            }
        }

        impl fmt::Display for $Word {
            fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str(self.as_str())
            }
        }

        impl Serialize for $Word {
            fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.as_str())
            }
        }

        impl<'de> Deserialize<'de> for $Word {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = Cow::<'de, str>::deserialize(from)?;
                Self::parse(&text).ok_or_else(|| {
                    D::Error::custom(format_args!("\"{text}\" is none of {}", spellings::<Self>().join(", ")))
                })
            }
        }
    )+};
}

words! {
    /// The surface that the ball was hit from.
    Lie {
        /// On a peg.
        Tee = "tee",
        /// A practice mat.
        Mat = "mat",
        /// Mown fairway.
        Fairway = "fairway",
        /// Closely cut or bare turf.
        Tight = "tight",
        /// Fairway with water on it.
        WetFairway = "wet_fairway",
        /// Grass that gets a little between face and ball.
        LightRough = "light_rough",
        /// Grass that grips the club.
        HeavyRough = "heavy_rough",
        /// Bunker sand.
        Sand = "sand",
        /// None of these; a surface of its own.
        Other = "other",
    }
    /// The flight's height that was meant.
    Height {
        /// The player's normal flight.
        Stock = "stock",
        /// Kept down on purpose.
        Low = "low",
        /// Sent up on purpose.
        High = "high",
    }
    /// The curve that was meant; draw and fade turn with the player's handedness.
    Shape {
        /// No curve meant.
        Straight = "straight",
        /// Curving to the side of the player's stance: left for a right-hander.
        Draw = "draw",
        /// Curving away from the player's stance: right for a right-hander.
        Fade = "fade",
    }
    /// How much of a swing was meant.
    Swing {
        /// A full swing.
        Full = "full",
        /// Less than full.
        Part = "part",
    }
    /// What the shot was hit for.
    Purpose {
        /// Ordinary practice.
        Practice = "practice",
        /// Warming up: kept, never counted.
        WarmUp = "warm_up",
        /// A head-to-head trial.
        Trial = "trial",
        /// Play on the course.
        Course = "course",
    }
    /// Where the shot was hit.
    Place {
        /// Under a roof, in still air.
        Indoor = "indoor",
        /// In the open.
        Outdoor = "outdoor",
    }
    /// The ground where the ball lands.
    Ground {
        /// Frozen hard.
        Frozen = "frozen",
        /// Firm.
        Firm = "firm",
        /// Neither firm nor soft.
        Medium = "medium",
        /// Soft.
        Soft = "soft",
        /// Full of water.
        Soaked = "soaked",
    }
    /// How a spin came about.
    SpinOrigin {
        /// Seen by the device.
        Measured = "measured",
        /// Worked out from the flight.
        FromFlight = "from_flight",
        /// Looked up by the club that was set: proves nothing.
        FromClubSetting = "from_club_setting",
    }
    /// How a clubhead speed came about.
    SpeedOrigin {
        /// Seen by the device.
        Measured = "measured",
        /// Worked out from the ball's speed.
        FromBall = "from_ball",
    }
    /// How a flight came about.
    FlightOrigin {
        /// Followed to landing.
        Tracked = "tracked",
        /// Computed by the device.
        Modelled = "modelled",
    }
    /// What a device has already corrected a flight for.
    Adjustment {
        /// Temperature, pressure or humidity.
        Air = "air",
        /// Height above the sea.
        Altitude = "altitude",
        /// Wind.
        Wind = "wind",
        /// The kind of ball.
        Ball = "ball",
    }
    /// The side a player plays from.
    Hand {
        /// Right-handed.
        Right = "right",
        /// Left-handed.
        Left = "left",
    }
    /// What kind of club a club is.
    ClubKind {
        /// A driver or fairway wood.
        Wood = "wood",
        /// A hybrid.
        Hybrid = "hybrid",
        /// An iron.
        Iron = "iron",
        /// A utility or driving iron.
        Utility = "utility",
        /// A wedge.
        Wedge = "wedge",
        /// A putter.
        Putter = "putter",
        /// None of these.
        Other = "other",
    }
    /// What stands before the decimals of a number in a table.
    DecimalMark {
        /// A point.
        Point = ".",
        /// A comma.
        Comma = ",",
    }
    /// How a trial stands.
    TrialState {
        /// The shots of its clubs count as they come.
        Open = "open",
        /// Shots that come meanwhile do not count.
        Paused = "paused",
        /// It is over, and can be opened again.
        Closed = "closed",
    }
    /// What kind of ball a ball is.
    BallKind {
        /// A ball for the course.
        Course = "course",
        /// A range ball of full flight.
        Range = "range",
        /// A ball made to fly short.
        LimitedFlight = "limited_flight",
    }
}

/// What the player meant with the shot; absent members are stock, straight, full.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
pub struct Intent {
    /// The flight's height.
    pub height: Height,
    /// The curve.
    pub shape: Shape,
    /// How much of a swing.
    pub swing: Swing,
}

impl Default for Intent {
    fn default() -> Self {
        Self { height: Height::Stock, shape: Shape::Straight, swing: Swing::Full }
    }
}

/// A set of [`Adjustment`]s.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Adjustments(u8);

impl Adjustments {
    /// Adds one; false when it was there already.
    pub fn insert(&mut self, adjustment: Adjustment) -> bool {
        let fresh = !self.contains(adjustment);
        self.0 |= 1 << adjustment as u8;
        fresh
    }

    /// Whether it holds this one.
    #[must_use]
    pub const fn contains(self, adjustment: Adjustment) -> bool {
        self.0 & (1 << adjustment as u8) != 0
    }

    /// Whether it holds none.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Its members as bits, in their own order.
    pub(crate) const fn bits(self) -> u8 {
        self.0
    }

    /// The set that [`Adjustments::bits`] made the bits of.
    pub(crate) fn of_bits(bits: u8) -> Self {
        let has = |one: &&Adjustment| bits & (1 << **one as u8) != 0;
        Adjustment::ALL.iter().filter(has).copied().collect()
    }

    /// Those it holds.
    pub fn iter(self) -> impl Iterator<Item = Adjustment> {
        Adjustment::ALL.iter().copied().filter(move |one| self.contains(*one))
    }
}

impl FromIterator<Adjustment> for Adjustments {
    fn from_iter<I: IntoIterator<Item = Adjustment>>(all: I) -> Self {
        let mut set = Self::default();
        for one in all {
            set.insert(one);
        }
        set
    }
}

impl Serialize for Adjustments {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(self.iter())
    }
}

impl<'de> Deserialize<'de> for Adjustments {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(Vec::<Adjustment>::deserialize(from)?.into_iter().collect())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_word_reads_back_from_its_spelling() {
        fn check<W: Word + PartialEq + fmt::Debug>() {
            for word in W::ALL {
                assert_eq!(W::of(word.spelling()), Some(*word));
            }
            assert_eq!(W::of("Tee"), None);
        }
        check::<Lie>();
        check::<Ground>();
        check::<ClubKind>();
        check::<Adjustment>();
    }

    #[test]
    fn adjustments_are_a_list_of_words_in_json() {
        let set: Adjustments = [Adjustment::Wind, Adjustment::Air].into_iter().collect();
        let text = serde_json::to_string(&set).unwrap();
        assert_eq!(text, r#"["air","wind"]"#);
        assert_eq!(serde_json::from_str::<Adjustments>(&text).unwrap(), set);
    }

    #[test]
    fn an_unknown_word_is_refused_with_the_known_ones() {
        let fault = serde_json::from_str::<Place>(r#""roof""#).unwrap_err().to_string();
        assert!(fault.contains("indoor, outdoor"), "{fault}");
    }
}
