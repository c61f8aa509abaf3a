//! How this room's names, words and numbers look in a description of an API.

use std::borrow::Cow;

use utoipa::{
    PartialSchema, ToSchema,
    openapi::{
        KnownFormat, RefOr, Schema, SchemaFormat,
        schema::{ObjectBuilder, Type},
    },
};

use super::{
    Adjustment, BagId, BallId, BallKind, ClubId, ClubKind, CsvMappingId, DecimalMark, Flags,
    FlightOrigin, Ground, Hand, Height, Lie, NAME_MAX, Place, PlayerId, Purpose, Sequence,
    SessionName, Shape, ShotId, SourceId, SpeedOrigin, SpinOrigin, Swing, TrialId, TrialState,
    flags,
    words::{Word, spellings},
};

fn text() -> ObjectBuilder {
    ObjectBuilder::new().schema_type(Type::String)
}

macro_rules! names {
    ($($Name:ident: $what:literal),+ $(,)?) => {$(
        impl PartialSchema for $Name {
            fn schema() -> RefOr<Schema> {
                let name = text().min_length(Some(1)).max_length(Some(NAME_MAX));
                RefOr::T(name.description(Some($what)).into())
            }
        }

        impl ToSchema for $Name {
            fn name() -> Cow<'static, str> {
                stringify!($Name).into()
            }
        }
    )+};
}

macro_rules! words {
    ($($Word:ident),+ $(,)?) => {$(
        impl PartialSchema for $Word {
            fn schema() -> RefOr<Schema> {
                let words = spellings::<$Word>();
                let about = <$Word as Word>::about();
                RefOr::T(text().enum_values(Some(words)).description(Some(about)).into())
            }
        }

        impl ToSchema for $Word {
            fn name() -> Cow<'static, str> {
                stringify!($Word).into()
            }
        }
    )+};
}

names! {
    PlayerId: "A player's id.",
    ClubId: "A club's id, within its player.",
    BallId: "A ball's id.",
    BagId: "A bag's id, within its player.",
    CsvMappingId: "A mapping's id.",
    SourceId: "A source's id.",
    ShotId: "A shot's id, within its source.",
    SessionName: "A visit's name, within its player.",
    TrialId: "A trial's id, within its player.",
}

words! {
    Adjustment,
    BallKind,
    ClubKind,
    DecimalMark,
    FlightOrigin,
    Ground,
    Hand,
    Height,
    Lie,
    Place,
    Purpose,
    Shape,
    SpeedOrigin,
    SpinOrigin,
    Swing,
    TrialState,
}

/// What each flag says.
const FLAGS: &str = "Something odd about a stored shot, as things stand. `mishit`: found by the \
    screen, not counted. `unscreened`: no ball speed to screen it by; it counts. `other_club`: flies \
    like another of the player's clubs. `clock_ahead`: more than ten minutes ahead of its arrival. \
    `late`: older than the source's newest by a day. `unusual:` and a pointer into the event: \
    outside what is usual, kept. `unused:` and a pointer: cannot be used without another member.";

impl PartialSchema for Flags {
    fn schema() -> RefOr<Schema> {
        let word = text().pattern(Some(flags::pattern())).description(Some(FLAGS));
        RefOr::T(word.into())
    }
}

impl ToSchema for Flags {
    fn name() -> Cow<'static, str> {
        "Flag".into()
    }
}

impl PartialSchema for Sequence {
    fn schema() -> RefOr<Schema> {
        let number = ObjectBuilder::new()
            .schema_type(Type::Integer)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Int64)))
            .minimum(Some(0.0))
            .description(Some("A place in the one order of everything that was written."));
        RefOr::T(number.into())
    }
}

impl ToSchema for Sequence {
    fn name() -> Cow<'static, str> {
        "Sequence".into()
    }
}
