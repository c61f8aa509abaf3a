//! What an endpoint is. Routing, the order of judgement and the description of the API are all made
//! from the same rows, so that they cannot drift apart.

use actix_web::{HttpResponse, Route, guard, http::Method, web};
use utoipa::{
    PartialSchema, ToSchema,
    openapi::{Ref, RefOr, Schema},
};

use super::{
    field::Field,
    judge::Judge,
    media::Media,
    problem::{Kind, Problem},
    query::Table,
    reads::Reads,
};

/// What a handler gives back.
pub(super) type Answer = Result<HttpResponse, Problem>;

/// What can be done to a resource.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Verb {
    /// GET, and HEAD like it but without the body.
    Get,
    /// POST
    Post,
    /// PUT
    Put,
    /// PATCH
    Patch,
    /// DELETE
    Delete,
}

impl Verb {
    /// Its name; HEAD is asked with GET's.
    #[must_use]
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Get => "GET",
            Self::Post => "POST",
            Self::Put => "PUT",
            Self::Patch => "PATCH",
            Self::Delete => "DELETE",
        }
    }

    /// As it stands in an `Allow` header.
    #[must_use]
    pub(super) const fn allow(self) -> &'static str {
        match self {
            Self::Get => "GET, HEAD",
            other => other.name(),
        }
    }

    /// As the description of the API has it.
    #[must_use]
    pub(super) const fn described(self) -> &'static str {
        match self {
            Self::Get => "get",
            Self::Post => "post",
            Self::Put => "put",
            Self::Patch => "patch",
            Self::Delete => "delete",
        }
    }

    /// Whether it writes to what the path names, so that the client can say in which state
    /// (RFC 9110, 13.1).
    #[must_use]
    pub(super) const fn is_conditional(self) -> bool {
        matches!(self, Self::Put | Self::Patch | Self::Delete)
    }

    fn guarded(self, route: Route) -> Route {
        match self {
            Self::Get => route.guard(guard::Any(guard::Get()).or(guard::Head())),
            Self::Post => route.method(Method::POST),
            Self::Put => route.method(Method::PUT),
            Self::Patch => route.method(Method::PATCH),
            Self::Delete => route.method(Method::DELETE),
        }
    }
}

/// How long a client may keep what was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Caching {
    /// As long as it likes, if it asks each time whether that has changed.
    Asked,
    /// The same; the tag stands for every byte, so that a write can name what it is to replace.
    Exact,
    /// The same; the text is the same byte by byte as long as the program is.
    Fixed,
    /// Not at all: it says how things are now.
    Never,
}

/// The schema of a body: refers to it, and adds what it refers to to the components.
pub(super) type Shape = fn(&mut Components) -> RefOr<Schema>;

/// Named schemas.
pub(super) type Components = Vec<(String, RefOr<Schema>)>;

/// The shape of a Rust type.
pub(super) fn shape<T: ToSchema>(components: &mut Components) -> RefOr<Schema> {
    T::schemas(components);
    components.push((T::name().into_owned(), <T as PartialSchema>::schema()));
    Ref::from_schema_name(T::name()).into()
}

/// A success that an endpoint may answer.
#[derive(Clone, Copy)]
pub(super) struct Success {
    /// The HTTP status.
    pub status: u16,
    /// What it means.
    pub about: &'static str,
    /// The body's shape; none without a body.
    pub shape: Option<Shape>,
    /// The header fields that tell more than every answer's do.
    pub fields: &'static [Field],
}

impl Success {
    /// A success with a body.
    #[must_use]
    pub(super) const fn new(status: u16, about: &'static str, shape: Shape) -> Self {
        Self { status, about, shape: Some(shape), fields: &[] }
    }

    /// A success without a body.
    #[must_use]
    pub(super) const fn bare(status: u16, about: &'static str) -> Self {
        Self { status, about, shape: None, fields: &[] }
    }

    /// The same with header fields.
    #[must_use]
    pub(super) const fn with(self, fields: &'static [Field]) -> Self {
        Self { fields, ..self }
    }
}

/// One verb of one resource.
#[derive(Clone, Copy)]
pub(super) struct Endpoint {
    /// What is done.
    pub verb: Verb,
    /// The path, ids in braces.
    pub path: &'static str,
    /// The handler.
    pub handler: fn() -> Route,
    /// Its name for clients that are generated.
    pub name: &'static str,
    /// What it does.
    pub about: &'static str,
    /// The parameters of its query.
    pub parameters: Table,
    /// Forms that a body may have; empty when there is no body.
    pub takes: &'static [Media],
    /// The body's shape.
    pub body: Option<Shape>,
    /// Forms of the answer, the usual one first.
    pub gives: &'static [Media],
    /// The shape of a line, where body or answer may be a stream of lines.
    pub line: Option<Shape>,
    /// How long what was read may be kept.
    pub caching: Caching,
    /// Whether it may store something, where it is no GET.
    pub stores: bool,
    /// What it answers when all is well.
    pub successes: &'static [Success],
    /// Refusals beyond those that follow from the row itself.
    pub refusals: &'static [Kind],
}

impl Endpoint {
    /// What most rows have in common: no query, no body, JSON given.
    pub(super) const BASE: Self = Self {
        verb: Verb::Get,
        path: "",
        handler: web::route,
        name: "",
        about: "",
        parameters: &[],
        takes: &[],
        body: None,
        gives: &[Media::Json],
        line: None,
        caching: Caching::Asked,
        stores: true,
        successes: &[],
        refusals: &[],
    };

    /// The names within the braces of its path.
    pub(super) fn names(&self) -> impl Iterator<Item = &'static str> + use<> {
        self.path.split('/').filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
    }

    /// Whether this success has a tag, by which a client learns that nothing has changed.
    pub(super) fn is_tagged(&self, success: &Success) -> bool {
        self.verb == Verb::Get && self.caching != Caching::Never && success.status == 200
    }

    /// All kinds of refusal that it may answer: those that follow from what the row says, and its own.
    pub(super) fn all_refusals(&self) -> Vec<Kind> {
        let mut kinds = vec![
            Kind::NotUtf8,
            Kind::CrossSite,
            Kind::NotAcceptable,
            Kind::Misdirected,
            Kind::Invalid,
            Kind::HeadTooLarge,
            Kind::Internal,
        ];
        if self.path.contains('{') {
            kinds.push(Kind::NotFound);
        }
        if self.names().any(|name| name == "player") {
            kinds.push(Kind::Gone);
        }
        if self.body.is_some() {
            kinds.extend([
                Kind::BrokenBody,
                Kind::NotJson,
                Kind::Timeout,
                Kind::BodyTooLarge,
                Kind::UnsupportedMediaType,
            ]);
        }
        if self.verb != Verb::Get && self.stores {
            kinds.push(Kind::Unavailable);
        }
        if self.verb.is_conditional() {
            kinds.push(Kind::PreconditionFailed);
        }
        if self.verb == Verb::Delete {
            kinds.push(Kind::Conflict);
        }
        kinds.extend(self.refusals);
        kinds.sort_unstable();
        kinds.dedup();
        kinds
    }

    /// The route: the verb, then what is judged before the handler is asked. `number` is its own among all.
    pub(super) fn route(&'static self, number: usize) -> Route {
        let judged = (self.handler)().wrap(Judge::of((number, self)));
        match self.verb {
            Verb::Get => self.verb.guarded(judged.wrap(Reads::of(self))),
            _ => self.verb.guarded(judged),
        }
    }
}
