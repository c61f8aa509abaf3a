//! What must hold of lines and queries, whatever comes: for the fuzz targets.

#![allow(clippy::missing_panics_doc)] // to panic is what they are for

use bytes::Bytes;
use jiff::tz::TimeZone;

use super::{
    endpoint::Endpoint,
    limits::Limits,
    lines::{Line, Lines},
    problem::Problem,
    query::{Form, Parameter, Query, ShareAsked, Stretch},
    routes,
    rows::{Row, Rows},
};
use crate::{
    bag::Mix,
    shot::{Flags, PlayerId, Sequence},
};

/// Lines are those of a plain splitting, wherever the chunks are cut. The first byte is the limit of a line; the next
/// four say how long chunks are.
pub fn lines(data: &[u8]) {
    let Some((&[limit, ref sizes @ ..], text)) = data.split_first_chunk::<5>() else { return };
    let (limit, chunks) = (usize::from(limit), chunks(text, sizes));
    let plain = plain_lines(text, limit);
    assert_eq!(split(&[text], limit), plain, "in one chunk");
    assert_eq!(split(&chunks, limit), plain, "in chunks");
}

fn chunks<'a>(text: &'a [u8], sizes: &[u8]) -> Vec<&'a [u8]> {
    let mut chunks = Vec::new();
    let (mut rest, mut sizes) = (text, sizes.iter().cycle());
    while let (false, Some(size)) = (rest.is_empty(), sizes.next()) {
        let (chunk, more) = rest.split_at((usize::from(*size) + 1).min(rest.len()));
        chunks.push(chunk);
        rest = more;
    }
    chunks
}

fn split(chunks: &[&[u8]], limit: usize) -> Vec<Line> {
    let mut lines = Lines::new(limit);
    let mut found = Vec::new();
    for chunk in chunks {
        lines.feed(Bytes::copy_from_slice(chunk));
        found.extend(std::iter::from_fn(|| lines.next_line()));
    }
    found.extend(lines.finish());
    found
}

/// The same by the words of the contract, all at once.
fn plain_lines(text: &[u8], limit: usize) -> Vec<Line> {
    let numbered = (1..).zip(text.split(|byte| *byte == b'\n'));
    let line = |(number, line): (u64, &[u8])| {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.len() > limit {
            Some(Line::TooLong { number })
        } else if line.trim_ascii().is_empty() {
            None
        } else {
            Some(Line::Text { number, text: Bytes::copy_from_slice(line) })
        }
    };
    numbered.filter_map(line).collect()
}

/// Rows are the same wherever the chunks are cut, stand on lines that never fall, and hold no more than their limit. The first
/// byte tells the limit; the next four say how long chunks are.
pub fn rows(data: &[u8]) {
    let Some((&[limit, ref sizes @ ..], text)) = data.split_first_chunk::<5>() else { return };
    let limit = usize::from(limit) * 16;
    let whole = cut(&[text], limit);
    assert_eq!(cut(&chunks(text, sizes), limit), whole, "in chunks");
    assert!(whole.is_sorted_by(|one, next| one.line <= next.line), "{whole:?}");
    for cells in whole.iter().filter_map(|row| row.cells.as_ref().ok()) {
        let bytes: usize = cells.all().into_iter().map(str::len).sum();
        // Room for a row is never less than this.
        assert!(bytes <= limit.max(1_024), "{bytes} bytes");
    }
}

fn cut(chunks: &[&[u8]], limit: usize) -> Vec<Row> {
    let mut rows = Rows::new(b',', limit);
    let mut found = Vec::new();
    for chunk in chunks {
        rows.feed(Bytes::copy_from_slice(chunk));
        found.extend(std::iter::from_fn(|| rows.next_row()));
    }
    found.extend(rows.finish());
    found
}

/// A query is read without a panic against the table of any endpoint, its values are within their bounds, and its
/// canonical form does not depend on the order. The first byte chooses the endpoint.
pub fn query(data: &[u8]) {
    let asking: Vec<&Endpoint> =
        routes::endpoints().filter(|endpoint| !endpoint.parameters.is_empty()).collect();
    let Some((chosen, raw)) = data.split_first() else { return };
    let Ok(raw) = std::str::from_utf8(raw) else { return };
    let endpoint = asking[usize::from(*chosen) % asking.len()];
    let Ok(mut query) = Query::read(raw, endpoint.parameters) else { return };
    for parameter in endpoint.parameters.iter().copied().flatten() {
        read_value(&mut query, parameter);
    }
    if endpoint.parameters.iter().any(|group| group.iter().any(|one| one.name == "from")) {
        Stretch::read(&mut query);
    }
    let turned = raw.rsplit('&').collect::<Vec<_>>().join("&");
    let same = Query::read(&turned, endpoint.parameters).map(|turned| turned.canonical(&[]));
    assert_eq!(same.ok(), Some(query.canonical(&[])), "{raw} turned round");
    if let Err(problem) = query.done() {
        check_told(&problem);
    }
}

fn read_value(query: &mut Query<'_>, parameter: &Parameter) {
    match parameter.form {
        Form::Name => drop(query.one::<PlayerId>(parameter.name)),
        Form::Names => drop(query.many::<PlayerId>(parameter.name)),
        Form::Truth => drop(query.one::<bool>(parameter.name)),
        Form::Zone => drop(query.one::<TimeZone>(parameter.name)),
        Form::Flag => drop(query.one::<Flags>(parameter.name)),
        Form::OneOf(_) | Form::Opaque => drop(query.one::<String>(parameter.name)),
        Form::SomeOf(_) => drop(query.many::<String>(parameter.name)),
        Form::Sequence => drop(query.one::<Sequence>(parameter.name)),
        Form::Wait => {
            let limits = Limits::default();
            let wait = query.wait(parameter.name, &limits);
            assert!(wait.is_none_or(|wait| wait <= limits.wait_time), "{wait:?}");
        }
        Form::Share => drop(query.one::<ShareAsked>(parameter.name)),
        Form::Mix => drop(query.one::<Mix>(parameter.name)),
        Form::Moment => {}
        Form::Count { most } => {
            let count = query.count(parameter.name);
            assert!(count.is_none_or(|count| (1..=most).contains(&count)), "{count:?}");
        }
        Form::Whole { least, most } => {
            let number = query.count(parameter.name);
            assert!(number.is_none_or(|number| (least..=most).contains(&number)), "{number:?}");
        }
        Form::PageItems => {
            let limits = Limits::default();
            let items = query.page_items(parameter.name, &limits);
            assert!((1..=limits.page_items).contains(&items), "{items}");
        }
        Form::Quantity { low, high, .. } => {
            let kept = query.quantity(parameter.name);
            assert!(kept.is_none_or(|kept| (low..=high).contains(&kept)), "{kept:?}");
        }
    }
}

/// Every fault names its parameter.
fn check_told(problem: &Problem) {
    assert!(!problem.errors().is_empty(), "{problem}");
    for fault in problem.errors() {
        assert!(fault.parameter.is_some() && !fault.detail.is_empty(), "{fault:?}");
    }
}
