//! The shot: what senders may say, and what the rest of the program may rely on.
//!
//! Bytes come in: events of schema `shot/1`, documents of the catalogue, corrections, assignments.
//! Typed and checked values in the units kept go out, or every fault at once, each with its mend.
//! One table of quantities feeds the parser, the JSON Schema, the words of faults and the flags, so
//! that they cannot disagree. The room knows no files, no clock, no HTTP and no other room.

mod act;
mod assignment;
mod brief;
mod catalogue;
mod correction;
mod csv;
mod described;
mod draft;
mod envelope;
mod event;
mod fault;
mod flags;
mod json;
mod keyed;
mod measure;
mod members;
mod names;
mod parse;
mod quantity;
mod reading;
mod retirement;
mod rules;
pub mod schema;
mod shot_set;
mod source;
pub mod spoken;
mod stretch;
mod surroundings;
mod time;
mod told;
mod trace;
mod trial;
pub mod units;
mod value;
mod wording;
mod words;

pub use act::{Act, Document, Subject};
pub use assignment::{ACT_SHOTS_MAX, Assignment, LAST_MAX, ShotFilter};
pub use brief::{BRIEF_FIGURES, BriefFigure, FLOOR_COMPUTED, StatedBrief};
pub use catalogue::{
    BAG_MAX, BUILDS_MAX, Bag, Ball, Build, Club, LENGTH_M, LIE_DEG, LOFT_DEG, MARKS, Player,
    Ratings,
};
pub use correction::{Change, Correction, Reason};
pub use csv::{
    CSV_COLUMNS_MAX, CSV_MAPPING_MAX, CSV_VALUES_MAX, CsvId, CsvMapping, CsvTable, CsvTime,
};
pub use envelope::{EVENT_TYPE, parse_envelope};
pub use event::{Air, Event, Target, Wind};
pub(crate) use fault::Faults;
pub use fault::{FAULTS_MAX, Fault, Rejection, RejectionKind};
pub(crate) use flags::air_flags;
pub use flags::{Flags, event_flags};
pub(crate) use json::Json;
pub use json::{DEPTH_MAX, same_content, split_array};
pub use keyed::Keyed;
pub use measure::{Measure, Measures};
pub use names::{
    BagId, BallId, ClubId, CsvMappingId, NAME_MAX, NameFault, PlayerId, Sequence, SessionName,
    ShotId, SourceId, TrialId,
};
pub use parse::{EXT_MAX, parse};
pub(crate) use quantity::Quantity;
pub(crate) use reading::{Reading, Text, document, object};
pub use retirement::Retirement;
pub(crate) use schema::event_object;
pub use shot_set::ShotSet;
pub use source::{BEARING_DEG, Context, Source};
pub use spoken::Units;
pub use stretch::{Bound, zone_of_name};
pub use surroundings::{SourcePlace, Surroundings};
pub(crate) use told::{quantity_table, word_table};
pub use trace::{Hole, RetiredShot, Settled, Touched, Visit};
pub use trial::{
    BLOCK_SHOTS, BLOCK_SHOTS_USUAL, CANDIDATES_MAX, Trial, TrialPatch, VISIT_SHOTS,
    VISIT_SHOTS_USUAL,
};
pub(crate) use value::At;
pub use words::{
    Adjustment, Adjustments, BallKind, ClubKind, DecimalMark, FlightOrigin, Ground, Hand, Height,
    Intent, Lie, Place, Purpose, Shape, SpeedOrigin, SpinOrigin, Swing, TrialState,
};

/// The members that every event has.
const REQUIRED: [&str; 3] = ["id", "source", "time"];
