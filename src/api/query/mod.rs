//! Reads a query: every parameter it may have is in the endpoint's table, which the description of
//! the API is made from too. All faults are gathered and told at once.

mod moments;
mod parameter;
mod values;

use std::{borrow::Cow, ops::RangeInclusive, time::Duration};

use actix_web::HttpRequest;
use percent_encoding::percent_decode_str;

pub(super) use self::{
    moments::Stretch,
    parameter::{Form, Parameter},
    values::{FromText, ShareAsked, Words},
};
use super::{
    limits::Limits,
    problem::{Fault, Kind, Problem},
};
use crate::shot::{FAULTS_MAX, units};

/// The parameters of an endpoint, in groups that endpoints share.
pub(in crate::api) type Table = &'static [&'static [Parameter]];

/// A query that was read against an endpoint's table.
#[derive(Debug)]
pub(in crate::api) struct Query<'a> {
    table: Table,
    pairs: Vec<(Cow<'a, str>, Cow<'a, str>)>,
    faults: Vec<Fault>,
}

impl<'a> Query<'a> {
    /// Reads the raw query. Unknown and repeated parameters are faults, noted until
    /// [`done`](Self::done); a text that is not UTF-8 is refused here.
    pub(in crate::api) fn read(raw: &'a str, table: Table) -> Result<Self, Problem> {
        let pairs = raw
            .split('&')
            .filter(|part| !part.is_empty())
            .map(|part| part.split_once('=').unwrap_or((part, "")))
            .map(|(name, value)| Ok((decode(name)?, decode(value)?)))
            .collect::<Result<Vec<_>, Problem>>()?;
        let mut query = Self { table, pairs, faults: Vec::new() };
        query.find_unknown();
        query.find_repeated();
        Ok(query)
    }

    /// The value of a parameter; a value that cannot be one is a fault.
    pub(in crate::api) fn one<T: FromText>(&mut self, name: &'static str) -> Option<T> {
        let value = self.text(name)?.to_owned();
        self.value(name, &value)
    }

    /// All values of a parameter that may come repeatedly.
    pub(in crate::api) fn many<T: FromText>(&mut self, name: &'static str) -> Vec<T> {
        let values: Vec<String> = self
            .pairs
            .iter()
            .filter(|(key, _)| key == name)
            .map(|(_, value)| value.clone().into_owned())
            .collect();
        values.iter().filter_map(|value| self.value(name, value)).collect()
    }

    /// The value of a parameter that must be there.
    pub(in crate::api) fn needed<T: FromText>(&mut self, name: &'static str) -> Option<T> {
        if self.text(name).is_none() {
            self.fault(name, format!("`{name}` is missing: this question needs it"));
        }
        self.one(name)
    }

    /// A quantity, whose parameter's name ends in the unit it is sent in, in the unit we keep.
    pub(in crate::api) fn quantity(&mut self, name: &'static str) -> Option<f64> {
        let parameter = self.known().find(|parameter| parameter.name == name)?;
        let Form::Quantity { dimension, low, high } = parameter.form else { return None };
        let (spelling, unit, value) = self.pairs.iter().find_map(|(key, value)| {
            let unit = units::resolve(name, dimension, key)?;
            Some((key.clone().into_owned(), unit, value.clone()))
        })?;
        let (low, high) = unit.bounds((low, high));
        match value.parse().ok().filter(|sent: &f64| sent.is_finite()) {
            Some(sent) if (low..=high).contains(&sent) => Some(unit.to_si(sent)),
            Some(_) => {
                self.fault(&spelling, format!("`{spelling}` is {value}: give {low} to {high}"));
                None
            }
            None => {
                self.fault(&spelling, format!("`{spelling}` is no number: `{value}`"));
                None
            }
        }
    }

    /// The unit in which a quantity was sent, as its parameter's name ends in it: `_yd`.
    #[must_use]
    pub(in crate::api) fn unit_sent(&self, name: &'static str) -> Option<String> {
        let parameter = self.known().find(|parameter| parameter.name == name)?;
        let (spelt, _) = self.pairs.iter().find(|(key, _)| parameter.spelt(key))?;
        spelt.strip_prefix(name).map(str::to_owned)
    }

    /// A whole number between the least, else 1, and the most that the parameter takes.
    pub(in crate::api) fn count(&mut self, name: &'static str) -> Option<usize> {
        let parameter = self.known().find(|parameter| parameter.name == name)?;
        match parameter.form {
            Form::Count { most } => self.whole_number(name, 1..=most),
            Form::Whole { least, most } => self.whole_number(name, least..=most),
            _ => None,
        }
    }

    /// How many items the page should hold: what was asked for, else what is usual.
    pub(in crate::api) fn page_items(&mut self, name: &'static str, limits: &Limits) -> usize {
        self.whole_number(name, 1..=limits.page_items).unwrap_or(limits.page_items_usual)
    }

    /// How long the answer may wait, if it may.
    pub(in crate::api) fn wait(&mut self, name: &'static str, limits: &Limits) -> Option<Duration> {
        let most = usize::try_from(limits.wait_time.as_secs()).unwrap_or(usize::MAX);
        self.whole_number(name, 1..=most).map(|seconds| Duration::from_secs(seconds as u64))
    }

    fn whole_number(&mut self, name: &'static str, taken: RangeInclusive<usize>) -> Option<usize> {
        let value = self.text(name)?.to_owned();
        let digits = value.bytes().all(|byte| byte.is_ascii_digit());
        let count = value.parse().ok().filter(|count| digits && taken.contains(count));
        if count.is_none() {
            let (least, most) = taken.into_inner();
            self.fault(
                name,
                format!("`{name}` is `{value}`: give a whole number from {least} to {most}"),
            );
        }
        count
    }

    /// The raw text of a parameter.
    #[must_use]
    pub(in crate::api) fn text(&self, name: &str) -> Option<&str> {
        self.pairs.iter().find(|(key, _)| key == name).map(|(_, value)| &**value)
    }

    /// Notes a fault of a parameter.
    pub(in crate::api) fn fault(&mut self, parameter: &str, detail: impl Into<String>) {
        self.faults.push(Fault::of_parameter(parameter, detail));
    }

    /// The parameters as asked, but those named, in one fixed order: what a page's cursor belongs to.
    #[must_use]
    pub(in crate::api) fn canonical(&self, without: &[&str]) -> String {
        let mut pairs: Vec<String> = self
            .pairs
            .iter()
            .filter(|(name, _)| !without.contains(&&**name))
            .map(|(name, value)| format!("{name}\0{value}\0"))
            .collect();
        pairs.sort_unstable();
        pairs.concat()
    }

    /// Ends the reading: all faults at once, if there are any.
    pub(in crate::api) fn done(self) -> Result<(), Problem> {
        if self.faults.is_empty() { Ok(()) } else { Err(Problem::invalid(self.faults)) }
    }

    /// Ends the reading beside that of a body: the body's refusal first if it could not be read at
    /// all, else the faults of both at once.
    pub(in crate::api) fn done_beside<T>(self, body: Result<T, Problem>) -> Result<T, Problem> {
        match body {
            Err(problem) if problem.kind() == Kind::Invalid => {
                let mut faults = self.faults;
                faults.extend(problem.into_errors());
                Err(Problem::invalid(faults))
            }
            Ok(body) => self.done().map(|()| body),
            refused => refused,
        }
    }

    fn known(&self) -> impl Iterator<Item = &'static Parameter> + use<> {
        self.table.iter().copied().flatten()
    }

    fn value<T: FromText>(&mut self, name: &'static str, value: &str) -> Option<T> {
        T::from_text(value).map_err(|detail| self.fault(name, format!("`{name}` {detail}"))).ok()
    }

    fn find_unknown(&mut self) {
        for (name, _) in &self.pairs {
            if self.faults.len() >= FAULTS_MAX {
                return;
            }
            if self.known().any(|parameter| parameter.spelt(name)) {
                continue;
            }
            let known: Vec<String> = self.known().flat_map(Parameter::spellings).collect();
            let detail = match units::nearest(name, known.iter().map(String::as_str)) {
                Some(nearest) => {
                    format!("there is no parameter `{name}` here: did you mean `{nearest}`?")
                }
                None if known.is_empty() => {
                    format!("there is no parameter `{name}` here, nor any other")
                }
                None => {
                    format!("there is no parameter `{name}` here: there are {}", known.join(", "))
                }
            };
            self.faults.push(Fault::of_parameter(name.as_ref(), detail));
        }
    }

    fn find_repeated(&mut self) {
        for parameter in self.known().filter(|parameter| !parameter.repeats()) {
            let mut spelt =
                self.pairs.iter().map(|(name, _)| name).filter(|name| parameter.spelt(name));
            if let (Some(first), Some(second)) = (spelt.next(), spelt.next()) {
                let detail = if first == second {
                    format!("`{second}` is given more than once: give it once")
                } else {
                    format!("`{second}` says again what `{first}` says: give one of them")
                };
                self.faults.push(Fault::of_parameter(second.as_ref(), detail));
            }
        }
    }
}

/// Refuses parameters, where there are none.
pub(in crate::api) fn no_query(request: &HttpRequest) -> Result<(), Problem> {
    Query::read(request.query_string(), &[])?.done()
}

/// Decodes a part of a query as `application/x-www-form-urlencoded` does (URL Standard, 5.1), but
/// refuses what is not UTF-8.
fn decode(part: &str) -> Result<Cow<'_, str>, Problem> {
    let not_utf8 = |_| Problem::new(Kind::NotUtf8, "the query is not UTF-8 once it is decoded");
    if part.contains('+') {
        let spaced = part.replace('+', " ");
        let text = percent_decode_str(&spaced).decode_utf8().map_err(not_utf8)?.into_owned();
        return Ok(Cow::Owned(text));
    }
    percent_decode_str(part).decode_utf8().map_err(not_utf8)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;
    use crate::shot::{ClubId, Lie, units::Dimension};

    const TABLE: Table = &[&[
        Parameter::new("lie", Form::OneOf(<Lie as Words>::spellings), "the lie"),
        Parameter::new("candidate", Form::Names, "a club"),
        Parameter::new("last", Form::Count { most: 1_000 }, "how many"),
        Parameter::new("limit", Form::PageItems, "how many a page"),
        Parameter::new(
            "carry_margin",
            Form::Quantity { dimension: Dimension::Length, low: 0.0, high: 100.0 },
            "margin",
        ),
    ]];

    fn faults(raw: &'static str) -> Vec<(String, String)> {
        let mut query = Query::read(raw, TABLE).unwrap();
        let _: Option<Lie> = query.one("lie");
        let _: Vec<ClubId> = query.many("candidate");
        query.quantity("carry_margin");
        let Err(problem) = query.done() else { return Vec::new() };
        assert_eq!(problem.kind(), Kind::Invalid);
        problem
            .into_errors()
            .into_iter()
            .map(|fault| (fault.parameter.unwrap_or_default(), fault.detail))
            .collect()
    }

    #[test]
    fn known_parameters_are_read_decoded() {
        let mut query =
            Query::read("lie=wet%5Ffairway&candidate=4+i&candidate=a%2Fb&carry_margin_yd=5", TABLE)
                .unwrap();
        assert_eq!(query.one("lie"), Some(Lie::WetFairway));
        let clubs: Vec<ClubId> = query.many("candidate");
        assert_eq!(clubs.iter().map(ClubId::as_str).collect::<Vec<_>>(), ["4 i", "a/b"]);
        assert_eq!(query.quantity("carry_margin"), Some(4.572));
        assert!(query.done().is_ok());
    }

    #[test]
    fn an_unknown_parameter_is_told_its_nearest() {
        let told = faults("carri_margin_m=5&candidates=x");
        assert_eq!(told[0].0, "carri_margin_m");
        assert!(told[0].1.contains("`carry_margin_m`"), "{told:?}");
        assert!(told[1].1.contains("`candidate`"), "{told:?}");
    }

    #[test]
    fn a_bare_quantity_is_unknown_and_a_second_spelling_is_a_repetition() {
        assert!(faults("carry_margin=5")[0].1.contains("`carry_margin_"));
        let twice = faults("carry_margin_m=5&carry_margin_yd=5");
        assert_eq!(twice[0].0, "carry_margin_yd");
    }

    #[test]
    fn only_what_may_come_repeatedly_may() {
        assert!(faults("candidate=a&candidate=b").is_empty());
        assert_eq!(faults("limit=1&limit=1").len(), 1);
    }

    #[test]
    fn all_faults_are_told_at_once() {
        let told = faults("lie=bunker&limit=2&limit=3&x=1&carry_margin_m=lots&candidate=");
        assert_eq!(told.len(), 5, "{told:?}");
    }

    #[test]
    fn a_quantity_outside_its_bounds_is_told_them_in_its_own_unit() {
        assert!(faults("carry_margin_yd=200")[0].1.contains("109.3"));
        assert!(!faults("carry_margin_m=NaN").is_empty());
        assert!(!faults("carry_margin_m=1e999").is_empty());
        assert!(!faults("carry_margin_m=").is_empty());
    }

    #[test]
    fn a_count_is_whole_positive_and_bounded() {
        let count = |raw: &'static str| Query::read(raw, TABLE).unwrap().count("last");
        assert_eq!(count("last=1"), Some(1));
        assert_eq!(count("last=1000"), Some(1_000));
        for wrong in [
            "last=",
            "last=0",
            "last=1001",
            "last=-1",
            "last=%2B1",
            "last=1.0",
            "last=99999999999999999999",
        ] {
            assert_eq!(count(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_page_holds_what_is_asked_for_up_to_the_limit_and_else_what_is_usual() {
        let limits = Limits { page_items: 50, page_items_usual: 20, ..Limits::default() };
        let mut asked = Query::read("limit=50", TABLE).unwrap();
        assert_eq!(asked.page_items("limit", &limits), 50);
        let mut unasked = Query::read("", TABLE).unwrap();
        assert_eq!(unasked.page_items("limit", &limits), 20);
        let mut over = Query::read("limit=51", TABLE).unwrap();
        over.page_items("limit", &limits);
        assert!(over.done().unwrap_err().errors()[0].detail.contains("to 50"));
    }

    #[test]
    fn what_is_not_utf8_is_no_query() {
        let refused = Query::read("lie=%ff", TABLE).unwrap_err();
        assert_eq!(refused.kind(), Kind::NotUtf8);
    }

    #[test]
    fn the_canonical_form_does_not_depend_on_the_order() {
        let one = Query::read("lie=mat&limit=3&candidate=x", TABLE).unwrap();
        let other = Query::read("candidate=x&lie=m%61t", TABLE).unwrap();
        assert_eq!(one.canonical(&["limit"]), other.canonical(&["limit"]));
        assert_ne!(one.canonical(&[]), other.canonical(&[]));
    }
}
