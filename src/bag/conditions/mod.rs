//! Two clubs in the weather that is coming: computed from their own like-for-like launches, where all
//! else of a comparison is measured.
//!
//! [`PairToFly`] is gathered under a question, and [`PairToFly::fly`] works on it after that. [`skies`]
//! says what they are flown in, [`weak`] how their weak strikes fare, [`words`] puts both into sentences.

mod answer;
mod gathered;
mod kept;
mod range;
mod skies;
mod weak;
mod words;

pub use answer::{ClubInWeather, ClubUnderConditions, ConditionsOfPair, PairInWeather};
pub use gathered::{PairToFly, pair_to_fly};
pub use range::{Holding, LosesLess, ModelRange};
pub use skies::{ConditionsQuestion, WindSide};
pub use weak::{WeakFlight, WeakLaunch, WeakOrigin, WeakStrike, WeakStrikes};

pub(super) use gathered::{Struck, struck};
pub(super) use kept::Models;
pub(super) use weak::Weak;
pub(super) use words::models;
