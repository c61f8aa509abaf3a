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
    Adjustment, BagId, BallId, BallKind, ClubId, ClubKind, CsvMappingId, FlightOrigin, Hand,
    Height, Lie, NAME_MAX, Place, PlayerId, Purpose, Sequence, SessionName, Shape, ShotId,
    SourceId, SpeedOrigin, SpinOrigin, Swing,
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
    ($($Word:ident: $what:literal),+ $(,)?) => {$(
        impl PartialSchema for $Word {
            fn schema() -> RefOr<Schema> {
                let words = $Word::ALL.iter().map(|word| word.as_str());
                RefOr::T(text().enum_values(Some(words)).description(Some($what)).into())
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
}

words! {
    Adjustment: "What a device has already corrected a flight for.",
    BallKind: "The kind of a ball.",
    ClubKind: "The kind of a club.",
    FlightOrigin: "How a flight came about.",
    Hand: "The side a player plays from.",
    Height: "The height of flight that was meant.",
    Lie: "What the ball lay on.",
    Place: "Indoors or outdoors.",
    Purpose: "What a shot was for.",
    Shape: "The curve that was meant.",
    SpeedOrigin: "How a clubhead speed came about.",
    SpinOrigin: "How a spin came about.",
    Swing: "How much of a swing was meant.",
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
