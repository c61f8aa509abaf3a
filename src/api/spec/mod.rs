//! The description of the API: OpenAPI 3.1, made from the rows of the endpoints, the types of the
//! answers, and the table of the event.

mod documents;
mod imperial;
mod openapi;

use std::borrow::Cow;

use serde_json::Value;
use utoipa::{
    PartialSchema, ToSchema,
    openapi::{
        Ref, RefOr, Schema,
        schema::{ObjectBuilder, OneOfBuilder, Type},
    },
};

pub(super) use self::{
    documents::{
        assignment, context_entry, correction, document_of, entry_of, listing_of, retirement,
    },
    imperial::in_units,
};
use super::{endpoint::Components, limits::Limits};
use crate::shot;

/// The description of a service with these limits, as text.
#[must_use]
pub fn openapi_text(limits: &Limits) -> String {
    text(&openapi::describe(limits))
}

/// The event's schema as text.
pub(super) fn schema_text() -> String {
    text(&shot::schema::shot_event())
}

fn text(value: &Value) -> String {
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

/// What may be sent to store shots. The items of an array may be anything here, since an array is
/// taken with its bad items refused one by one.
pub(super) fn shots_sent(_: &mut Components) -> RefOr<Schema> {
    let items = ObjectBuilder::new().schema_type(Type::Array);
    one_of([Ref::from_schema_name("ShotEvent").into(), RefOr::T(items.into())])
}

/// One of several shapes.
pub(super) fn one_of<const N: usize>(shapes: [RefOr<Schema>; N]) -> RefOr<Schema> {
    let shapes = shapes.into_iter().fold(OneOfBuilder::new(), OneOfBuilder::item);
    RefOr::T(shapes.into())
}

/// Any object.
pub(super) fn any_object(_: &mut Components) -> RefOr<Schema> {
    RefOr::T(ObjectBuilder::new().into())
}
