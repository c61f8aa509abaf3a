//! The description of the API: OpenAPI 3.1, made from the rows of the endpoints, the types of the
//! answers, and the table of the event.

mod acts;
mod documents;
mod examples;
mod flights;
mod imperial;
mod members;
mod openapi;
mod operation;
mod parameters;
mod responses;
mod schemas;
mod trials;

use std::borrow::Cow;

use serde_json::Value;
use utoipa::{
    PartialSchema, ToSchema,
    openapi::{
        Ref, RefOr, Schema,
        schema::{ArrayBuilder, ObjectBuilder, OneOfBuilder, SchemaType, Type},
    },
};

pub(super) use self::{
    acts::{assignment, context_entry, corrected, correction, retirement},
    documents::{document_of, entry_of, listing_of},
    examples::of_refusal as example_of,
    flights::flights_wanted,
    imperial::{in_units, in_units_as},
    trials::{trial, trial_patch},
};
use super::{endpoint::Components, limits::Limits};
use crate::shot;

/// The description of a service with these limits, as text.
#[must_use]
pub fn openapi_text(limits: &Limits) -> String {
    lines(&openapi::describe(limits))
}

/// The event's schema as text.
pub(super) fn schema_text() -> String {
    lines(&shot::schema::shot_event())
}

fn lines(value: &Value) -> String {
    format!("{value:#}\n")
}

/// Stands for the event in the shapes of answers; its schema is made from the event's own table.
pub(super) struct ShotEvent;

impl PartialSchema for ShotEvent {
    fn schema() -> RefOr<Schema> {
        any_object(&mut Components::new())
    }
}

impl ToSchema for ShotEvent {
    fn name() -> Cow<'static, str> {
        "ShotEvent".into()
    }
}

/// One event.
pub(super) fn shot_event(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("ShotEvent").into()
}

/// What may be sent to store shots. The items of an array may be anything here, since an array is
/// taken with its bad items refused one by one.
pub(super) fn shots_sent(components: &mut Components) -> RefOr<Schema> {
    let items = ArrayBuilder::new()
        .items(ObjectBuilder::new().schema_type(SchemaType::AnyValue))
        .description(Some("Events; what is none is refused, the others are taken."));
    one_of([shot_event(components), RefOr::T(items.into())])
}

/// One of several shapes.
pub(super) fn one_of<const N: usize>(shapes: [RefOr<Schema>; N]) -> RefOr<Schema> {
    let shapes = shapes.into_iter().fold(OneOfBuilder::new(), OneOfBuilder::item);
    RefOr::T(shapes.into())
}

/// A text that is no JSON.
pub(super) fn text() -> RefOr<Schema> {
    RefOr::T(ObjectBuilder::new().schema_type(Type::String).into())
}

/// Any object.
pub(super) fn any_object(_: &mut Components) -> RefOr<Schema> {
    RefOr::T(ObjectBuilder::new().into())
}
