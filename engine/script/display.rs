//! Script values as a person reads them.

use rhai::Dynamic;

use super::draft::{PartsHandle, SheetHandle, TakeoffHandle};
use super::rows::RowHandle;
use crate::catalogue::Object;
use crate::footing::total;
use crate::listing::Datum;
use crate::measure::{Dimension, Quantity, Style, aligned, counted, shortest, significant};

/// Any value.
pub fn display(value: &Dynamic, style: &Style) -> String {
    if let Some(quantity) = value.clone().try_cast::<Quantity>() {
        return style.show(quantity);
    }
    if let Ok(number) = value.as_float() {
        return shortest(significant(number, 13));
    }
    if let Some(array) = value.clone().try_cast::<rhai::Array>() {
        let items: Vec<String> = array.iter().map(|item| display(item, style)).collect();
        return format!("[{}]", items.join(", "));
    }
    if let Some(map) = value.clone().try_cast::<rhai::Map>() {
        let one = |item: &Dynamic| match item.is_unit() {
            true => "none".to_owned(),
            false => display(item, style),
        };
        let items = map.iter().map(|(key, item)| format!("{key}: {}", one(item)));
        return items.collect::<Vec<_>>().join("\n");
    }
    if let Some(row) = value.clone().try_cast::<RowHandle>() {
        return row.words(style.system);
    }
    if let Some(PartsHandle(parts, _)) = value.clone().try_cast::<PartsHandle>() {
        let sum = total(&parts, Dimension::VOLUME).quantity();
        let sum = match sum.dimension() {
            Dimension::NUMBER => shortest(sum.base()),
            _ => style.show(sum),
        };
        return format!("{sum} in {}", counted(parts.len(), "part", "parts"));
    }
    if let Some(object) = value.clone().try_cast::<Object>() {
        return object_words(&object);
    }
    if let Some(TakeoffHandle(takeoff)) = value.clone().try_cast::<TakeoffHandle>() {
        let width = takeoff.lines.iter().map(|line| line.label.chars().count()).max().unwrap_or(0);
        let line = |line: &crate::takeoff::Line| {
            format!("{:width$}  {}", line.label, style.show(line.quantity.quantity()))
        };
        return takeoff.lines.iter().map(line).collect::<Vec<_>>().join("\n");
    }
    if let Some(SheetHandle(sheet)) = value.clone().try_cast::<SheetHandle>() {
        let mut rows = vec![sheet.columns.clone()];
        let words =
            |row: &Vec<Datum>| row.iter().map(|cell| cell.short_words(style.system)).collect();
        rows.extend(sheet.rows.iter().map(words));
        return format!("{}\n{}", sheet.title, aligned(&rows).join("\n"));
    }
    if value.is_unit() { String::new() } else { value.to_string() }
}

/// An object in a few words.
pub(super) fn object_words(object: &Object) -> String {
    match object {
        Object::Job(job) => job.title.name.clone(),
        Object::Ground(ground) => {
            let [low, bearing, existing] = ground.lines().map(|line| line.line.knots().len());
            format!("ground lines of {low}, {bearing} and {existing} points")
        }
        Object::Layout(layout) => format!("{} steps", layout.steps.len()),
        Object::Parts(parts, _) => counted(parts.len(), "part", "parts"),
    }
}
