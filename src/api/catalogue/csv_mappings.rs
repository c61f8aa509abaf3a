//! `/v1/csv-mappings/{mapping}`

use actix_web::{HttpRequest, web};

use super::{document, found, put, remove, shown};
use crate::{
    api::{
        answer::ok,
        endpoint::{Answer, Caching, Endpoint, Success, Verb},
        media::Media,
        path,
        query::no_query,
        service::Service,
        spec,
    },
    shot::{CsvMapping, CsvMappingId, Document, Subject},
};

const PATH: &str = "/v1/csv-mappings/{mapping}";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/v1/csv-mappings",
        handler: || web::to(list),
        name: "listCsvMappings",
        about: "All mappings of CSV files.",
        successes: &[Success::new(200, "The list, by id.", spec::listing_of::<CsvMapping>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: PATH,
        handler: || web::to(read),
        name: "readCsvMapping",
        about: "One mapping of CSV files.",
        successes: &[Success::new(200, "The mapping.", spec::entry_of::<CsvMapping>)],
        caching: Caching::Exact,
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Put,
        path: PATH,
        handler: || web::to(replace),
        name: "putCsvMapping",
        about: "Puts a mapping, in place of what was there: what the columns of a CSV file are.",
        takes: &[Media::Json],
        body: Some(spec::document_of::<CsvMapping>),
        successes: &[
            Success::new(201, "The mapping is new.", spec::entry_of::<CsvMapping>),
            Success::new(200, "The mapping was replaced.", spec::entry_of::<CsvMapping>),
        ],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Delete,
        path: PATH,
        handler: || web::to(delete),
        name: "deleteCsvMapping",
        about: "Removes a mapping. Shots that came by it stay.",
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
];

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(ok(&service.live().csv_mappings()))
}

async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let mapping: CsvMappingId = path::name(&request, "mapping")?;
    let entry = found(service.live().csv_mapping(&mapping))?;
    no_query(&request)?;
    Ok(ok(&entry))
}

async fn replace(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let mapping: CsvMappingId = path::new_name(&request, "mapping")?;
    let document = document(&service, &request, payload, CsvMapping::from_json).await?;
    let put_there = Document::CsvMapping { mapping: mapping.clone(), document: document.clone() };
    let put = put(&service, &request, put_there, service.live().csv_mapping(&mapping)).await?;
    Ok(shown(&request, put, (mapping, document)))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let mapping: CsvMappingId = path::name(&request, "mapping")?;
    let now = service.live().csv_mapping(&mapping);
    remove(&service, &request, Subject::CsvMapping(mapping), now).await
}
