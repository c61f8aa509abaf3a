//! A mapping joined with the header of one file: rows as plain events.

use std::collections::{BTreeMap, BTreeSet};

use super::field::{self, Field, Form, Origin};
use super::time::TimeForm;
use super::{CsvId, CsvMapping, tidy};
use crate::shot::event::Event;
use crate::shot::fault::{Fault, Faults, Rejection, RejectionKind};
use crate::shot::parse::parse;
use crate::shot::units::nearest;
use crate::shot::wording;
use crate::shot::words::DecimalMark;

/// The rows of a file whose header fits a mapping.
#[derive(Debug, Clone)]
pub struct CsvTable {
    fields: Vec<Field>,
    /// The place of each column in a row.
    places: BTreeMap<String, usize>,
    width: usize,
    values: BTreeMap<String, BTreeMap<String, String>>,
    absent: BTreeSet<String>,
    decimal_mark: DecimalMark,
    time: Option<(Vec<String>, TimeForm)>,
    id: Option<CsvId>,
}

impl CsvMapping {
    /// Joins the mapping with the header of a file.
    ///
    /// # Errors
    /// Every column that one of the two has and the other has not.
    pub fn with_header(self, header: &[&str]) -> Result<CsvTable, Vec<Fault>> {
        let mut faults = Faults::default();
        let mut places = BTreeMap::new();
        for (place, name) in header.iter().map(|name| tidy(name)).enumerate() {
            let said = wording::echo(&name);
            if !self.names(&name) {
                let known = self.columns.keys().chain(&self.ignored).map(String::as_str);
                let near = nearest(&name, known);
                let near = near.map(|near| format!(" (nearest: `{near}`)")).unwrap_or_default();
                let detail = format!(
                    "the mapping says nothing of the column {said}: name it in `columns` or in \
                     `ignored`{near}"
                );
                faults.at("", detail);
            } else if places.insert(name.clone(), place).is_some() && !self.ignored.contains(&name)
            {
                faults.at("", format!("the column {said} stands twice in the header"));
            }
        }
        for name in self.needed().into_iter().filter(|name| !places.contains_key(*name)) {
            let detail = "is not in the header: it is one of the mapping's";
            faults.at("", format!("the column {} {detail}", wording::echo(name)));
        }
        let time = self.time.as_ref().map(|time| {
            let form = TimeForm::new(time).map_err(|(_, detail)| detail)?;
            Ok::<_, String>((time.columns.clone(), form))
        });
        let time = time.transpose().map_err(|detail| faults.at("", detail)).ok().flatten();
        let mut fields = field::fields(&self, &mut faults);
        if let (false, RejectionKind::Invalid(told)) = (faults.is_empty(), faults.into_kind()) {
            return Err(told);
        }
        fields.retain(|field| match &field.origin {
            Origin::Column(column) => places.contains_key(column),
            _ => true,
        });
        let Self { values, absent, decimal_mark, row_id: id, .. } = self;
        let width = header.len();
        Ok(CsvTable { fields, places, width, values, absent, decimal_mark, time, id })
    }
}

impl CsvTable {
    /// Reads a row, whose number counts from 1; gives the shot, and the plain event that says the
    /// same.
    ///
    /// # Errors
    /// A [`Rejection`] that holds every fault, each with the column that it comes from.
    pub fn event(&self, number: u64, cells: &[&str]) -> Result<(Event, Vec<u8>), Rejection> {
        let mut faults = Faults::default();
        if cells.len() != self.width {
            let (has, width) = (cells.len(), self.width);
            faults.at("", format!("the row has {has} cells, and the header {width}"));
            return Err(Rejection::nameless(faults.into_kind()));
        }
        let row = Row { table: self, number, cells };
        let mut own = Vec::new();
        let event = field::written(&self.fields, |field| match row.value(field) {
            Ok(value) => value.map(Into::into),
            Err(detail) => {
                own.push(Fault { pointer: field.pointer(), detail });
                // Holds the place, so that nothing is said to be missing.
                Some("null".into())
            }
        });
        let parsed = parse(&event);
        let (source, id, told) = match parsed {
            Ok(parsed) if own.is_empty() => return Ok((parsed, event)),
            Ok(parsed) => {
                (Some(parsed.source.to_string()), Some(parsed.id.to_string()), Vec::new())
            }
            Err(Rejection { source, id, kind: RejectionKind::Invalid(told) }) => (source, id, told),
            Err(not_json) => return Err(not_json),
        };
        let others =
            told.into_iter().filter(|fault| own.iter().all(|known| known.pointer != fault.pointer));
        let others: Vec<Fault> = others.collect();
        for Fault { pointer, detail } in own.into_iter().chain(others) {
            let field = self.fields.iter().find(|field| field.pointer() == pointer);
            let from = field.map(|field| self.called(field)).unwrap_or_default();
            faults.add(|| Fault { pointer, detail: format!("{from}{detail}") });
        }
        Err(Rejection { source, id, kind: faults.into_kind() })
    }

    /// The columns that a member comes from, before what is said of them.
    fn called(&self, field: &Field) -> String {
        let columns: &[String] = match (&field.origin, &self.time, &self.id) {
            (Origin::Column(column), ..) => std::slice::from_ref(column),
            (Origin::Time, Some((columns, _)), _) => columns,
            (Origin::Id, _, Some(id)) => &id.columns,
            _ => &[],
        };
        match columns {
            [] => String::new(),
            [one] => format!("column `{one}`: "),
            many => format!("columns `{}`: ", many.join("`, `")),
        }
    }
}

/// A row while it is read.
struct Row<'r> {
    table: &'r CsvTable,
    number: u64,
    cells: &'r [&'r str],
}

impl Row<'_> {
    /// The JSON of a member, if the row says it.
    fn value(&self, field: &Field) -> Result<Option<String>, String> {
        match &field.origin {
            Origin::Set(json) => Ok(Some(json.clone())),
            Origin::Time => self.time(),
            Origin::Id => self.id(),
            Origin::Column(column) => match self.cell(column) {
                None => Ok(None),
                Some(cell) => self.member(column, cell, field.form).map(Some),
            },
        }
    }

    /// A cell that says something.
    fn cell(&self, column: &str) -> Option<&str> {
        let cell = self.cells.get(*self.table.places.get(column)?)?.trim();
        (!cell.is_empty() && !self.table.absent.contains(cell)).then_some(cell)
    }

    fn member(&self, column: &str, cell: &str, form: Form) -> Result<String, String> {
        if let Some(values) = self.table.values.get(column) {
            let stored = values.get(&tidy(cell)).ok_or_else(|| {
                let near = nearest(cell, values.keys().map(String::as_str));
                let near = near.map(|near| format!(" (nearest: {near:?})")).unwrap_or_default();
                let said = wording::echo(cell);
                format!("{said} is none of the mapping's `values` for it{near}: add it there")
            })?;
            return field::json_of(stored, form);
        }
        match (form, self.table.decimal_mark) {
            (Form::Number(_), DecimalMark::Comma) if cell.contains('.') => Err(format!(
                "{} is not a number: decimals stand behind a comma here",
                wording::echo(cell)
            )),
            (Form::Number(_), DecimalMark::Comma) => field::json_of(&cell.replace(',', "."), form),
            _ => field::json_of(cell, form),
        }
    }

    fn time(&self) -> Result<Option<String>, String> {
        let Some((columns, form)) = &self.table.time else { return Ok(None) };
        let cells: Vec<&str> = columns.iter().filter_map(|column| self.cell(column)).collect();
        if cells.is_empty() {
            return Ok(None);
        }
        form.read(&cells.join(" ")).map(|time| Some(field::quoted(&time)))
    }

    fn id(&self) -> Result<Option<String>, String> {
        let Some(id) = &self.table.id else { return Ok(None) };
        let mut parts: Vec<String> = id.prefix.iter().cloned().collect();
        for column in &id.columns {
            let cell = self.cell(column);
            parts.push(cell.ok_or_else(|| format!("the cell of `{column}` is empty"))?.to_owned());
        }
        parts.extend(id.row.then(|| self.number.to_string()));
        Ok(Some(field::quoted(&parts.join("-"))))
    }
}
