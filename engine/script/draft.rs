//! What a script builds: a takeoff line by line, or a sheet of its own row by row.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};

use rhai::{Array, Dynamic, Engine, EvalAltResult, FLOAT, INT, NativeCallContext, Position};

use super::bind::setting_value;
use super::fault::raise;
use super::measures::{dynamic, exact_ratio, quantity, show};
use super::rows::rows;
use crate::catalogue::{self, Object};
use crate::footing::{Part, total};
use crate::listing::Datum;
use crate::measure::{Dimension, Exact, Quantity, Style};
use crate::problem::{Place, Problem};
use crate::takeoff::{ColumnRule, SettingValue, Share, SheetDraft, Takeoff, Trail, WallJob};

type Outcome<T> = Result<T, Box<EvalAltResult>>;

/// Measured parts, and the function that measured them.
#[derive(Debug, Clone)]
pub(super) struct PartsHandle(pub(super) Arc<Vec<Part>>, pub(super) &'static str);

/// A takeoff in the making.
#[derive(Debug, Clone)]
pub(super) struct TakeoffHandle(pub(super) Takeoff);

/// A sheet in the making.
#[derive(Debug, Clone)]
pub(super) struct SheetHandle(pub(super) SheetDraft);

/// The trail of a line that is added at a place of a script.
fn trail(ctx: &NativeCallContext, made_by: &str) -> Trail {
    let position = ctx.call_position();
    let place = match (ctx.call_source(), position.line(), position.position()) {
        (Some(source), Some(line), Some(column)) => Some(Place::column(source, line, column)),
        _ => None,
    };
    let source = catalogue::find(made_by).map(|function| function.source);
    Trail { made_by: made_by.to_owned(), place, sources: source.into_iter().collect() }
}

fn texts(array: &Array, position: Position) -> Outcome<Vec<String>> {
    let text = |item: &Dynamic| {
        item.clone()
            .into_string()
            .map_err(|_| raise(Problem::error("a list of texts was expected"), position))
    };
    array.iter().map(text).collect()
}

/// Settings that scripts read.
pub(super) type AskedSettings = Arc<Mutex<BTreeSet<String>>>;

pub(super) fn register(engine: &mut Engine, asked: &AskedSettings) {
    engine.register_type_with_name::<Object>("object");
    engine.register_type_with_name::<PartsHandle>("parts");
    engine.register_type_with_name::<TakeoffHandle>("takeoff");
    engine.register_type_with_name::<SheetHandle>("sheet");
    objects(engine, asked.clone());
    takeoff(engine, asked.clone());
    sheet(engine);
}

fn objects(engine: &mut Engine, asked: AskedSettings) {
    engine.register_fn("show", |object: &mut Object| super::display::object_words(object));
    let in_unit = |ctx: &NativeCallContext, parts: &PartsHandle, name: &str, places| {
        let sum = total(&parts.0, Dimension::VOLUME).quantity();
        show(sum, name, places).map_err(|problem| raise(problem, ctx.call_position()))
    };
    engine.register_fn(
        "show",
        move |ctx: NativeCallContext, parts: &mut PartsHandle, name: &str| {
            in_unit(&ctx, parts, name, None)
        },
    );
    engine.register_fn(
        "show",
        move |ctx: NativeCallContext, parts: &mut PartsHandle, name: &str, places: rhai::INT| {
            in_unit(&ctx, parts, name, Some(places))
        },
    );
    engine.register_get("length", |ctx: NativeCallContext, object: &mut Object| match object {
        Object::Job(job) => Ok(Quantity::length(job.site.chain.length())),
        _ => Err(raise(Problem::error("only the job has a length"), ctx.call_position())),
    });
    engine.register_get("total", |parts: &mut PartsHandle| {
        dynamic(total(&parts.0, Dimension::VOLUME).quantity())
    });
    engine.register_get("count", |parts: &mut PartsHandle| parts.0.len() as rhai::INT);
    engine.register_fn(
        "has",
        |ctx: NativeCallContext, object: &mut Object, path: &str| match object {
            Object::Job(job) => {
                let table = format!("{path}.");
                let known = |known: &String| known == path || known.starts_with(&table);
                // A table that the wall case has no use for is not there.
                Ok(match path {
                    "bars" => job.steel.is_some(),
                    "forms" => job.forms.is_some(),
                    "lumber" => job.lumber.is_some(),
                    "footing_sides" => job.sides.is_some(),
                    _ => job.settings.keys().any(known),
                })
            }
            _ => Err(raise(Problem::error("only the job has settings"), ctx.call_position())),
        },
    );
    engine.register_indexer_get(
        move |ctx: NativeCallContext, object: &mut Object, path: &str| -> Outcome<Dynamic> {
            let Object::Job(job) = object else {
                return Err(raise(
                    Problem::error("only the job has settings"),
                    ctx.call_position(),
                ));
            };
            let known = job.setting_path(path);
            let path = known.as_deref().unwrap_or(path);
            if let Ok(mut asked) = asked.lock() {
                asked.insert(path.to_owned());
            }
            let listed = rows(path, job, None, None);
            if let Some(listed) = listed.map_err(|problem| raise(problem, ctx.call_position()))? {
                return Ok(listed);
            }
            match job.settings.get(path) {
                Some(stated) => Ok(setting_value(&stated.value)),
                None => Err(raise(no_setting(job, path), ctx.call_position())),
            }
        },
    );
}

/// A value, or the setting that a text names: its measure and path.
fn value_or_setting(
    ctx: &NativeCallContext,
    takeoff: &Takeoff,
    value: &Dynamic,
) -> Outcome<(Option<Quantity>, Option<String>)> {
    let Ok(path) = value.as_immutable_string_ref().map(|text| text.to_string()) else {
        return Ok((quantity(value), None));
    };
    let path = takeoff.job.setting_path(&path).unwrap_or(path);
    match takeoff.job.settings.get(&path).map(|stated| &stated.value) {
        Some(SettingValue::Measure(exact)) => Ok((Some(exact.quantity()), Some(path))),
        Some(_) => Ok((None, None)),
        None => Err(raise(no_setting(&takeoff.job, &path), ctx.call_position())),
    }
}

/// What is said when a job has no such setting.
fn no_setting(job: &WallJob, path: &str) -> Problem {
    let problem = Problem::error(format!("the job has no setting \"{path}\""));
    let known: Vec<String> = job.settings.keys().map(|key| job.setting_by_id(key)).collect();
    match crate::problem::closest(path, known.iter().map(String::as_str)) {
        Some(near) => problem.help(format!("did you mean \"{near}\"?")),
        None => problem.help("rodbook keys lists every key of a job"),
    }
}

/// A plain number, or the setting that is one.
fn share(
    ctx: &NativeCallContext,
    takeoff: &Takeoff,
    value: &Dynamic,
    what: &str,
) -> Outcome<Share> {
    let (number, from) = value_or_setting(ctx, takeoff, value)?;
    let number = number.filter(|value| value.dimension() == Dimension::NUMBER);
    let value = number.and_then(exact_ratio).ok_or_else(|| {
        let problem = Problem::error(format!("the {what} is a plain number, such as 8.percent"));
        raise(problem.help("or the path of a setting that is one"), ctx.call_position())
    })?;
    Ok(Share { value, from })
}

/// A step of orders, or the setting that is one.
fn step_of(
    ctx: &NativeCallContext,
    takeoff: &Takeoff,
    value: &Dynamic,
) -> Outcome<(Exact, Option<String>)> {
    let (step, from) = value_or_setting(ctx, takeoff, value)?;
    let exact = step.and_then(|step| {
        let value = num_rational::BigRational::from_float(step.base())?;
        Some(Exact { value, dimension: step.dimension() })
    });
    let exact = exact.ok_or_else(|| {
        let problem = Problem::error("the order step is a measure, such as 0.5.cy");
        raise(problem.help("or the path of a setting that is one"), ctx.call_position())
    })?;
    Ok((exact, from))
}

fn takeoff(engine: &mut Engine, asked: AskedSettings) {
    engine.register_fn(
        "new_takeoff",
        |ctx: NativeCallContext, job: Object, layout: Object| match (job, layout) {
            (Object::Job(job), Object::Layout(layout)) => {
                Ok(TakeoffHandle(Takeoff::new(job, layout)))
            }
            _ => Err(raise(
                Problem::error("new_takeoff takes the job and a layout of steps"),
                ctx.call_position(),
            )),
        },
    );
    stated(engine);
    derived(engine);
    read(engine, asked);
}

fn fail(ctx: &NativeCallContext, result: Result<(), Problem>) -> Outcome<()> {
    result.map_err(|problem| raise(problem, ctx.call_position()))
}

/// Lines that are measured, counted, computed or stated as formulas.
fn stated(engine: &mut Engine) {
    engine.register_fn(
        "add",
        move |ctx: NativeCallContext,
              t: &mut TakeoffHandle,
              id: &str,
              label: &str,
              parts: PartsHandle| {
            let trail = trail(&ctx, parts.1);
            fail(&ctx, t.0.add(id, label, parts.0.to_vec(), trail))
        },
    );
    engine.register_fn(
        "add",
        move |ctx: NativeCallContext,
              t: &mut TakeoffHandle,
              id: &str,
              label: &str,
              value: Quantity| {
            fail(&ctx, t.0.add_value(id, label, value, trail(&ctx, "a value of the script")))
        },
    );
    engine.register_fn(
        "add",
        move |ctx: NativeCallContext, t: &mut TakeoffHandle, id: &str, label: &str, count: INT| {
            #[expect(clippy::cast_precision_loss, reason = "a count of things")]
            let count = Quantity::number(count as f64);
            fail(&ctx, t.0.add_value(id, label, count, trail(&ctx, "a count of the script")))
        },
    );
    engine.register_fn(
        "add",
        move |ctx: NativeCallContext,
              t: &mut TakeoffHandle,
              id: &str,
              label: &str,
              count: FLOAT| {
            let count = Quantity::number(count);
            fail(&ctx, t.0.add_value(id, label, count, trail(&ctx, "a count of the script")))
        },
    );
    engine.register_fn(
        "formula",
        move |ctx: NativeCallContext,
              t: &mut TakeoffHandle,
              id: &str,
              label: &str,
              unit: &str,
              text: &str| {
            fail(&ctx, t.0.add_formula(id, label, unit, text, trail(&ctx, "a formula")))
        },
    );
}

/// Lines that follow from others.
fn derived(engine: &mut Engine) {
    engine.register_fn(
        "sum",
        move |ctx: NativeCallContext, t: &mut TakeoffHandle, id: &str, label: &str, of: Array| {
            let of = texts(&of, ctx.call_position())?;
            fail(&ctx, t.0.sum(id, label, of, trail(&ctx, "sum")))
        },
    );
    engine.register_fn(
        "scale",
        move |ctx: NativeCallContext,
              t: &mut TakeoffHandle,
              id: &str,
              label: &str,
              of: &str,
              by: Dynamic| {
            let by = share(&ctx, &t.0, &by, "factor")?;
            fail(&ctx, t.0.scale(id, label, of, by, trail(&ctx, "scale")))
        },
    );
    engine.register_fn(
        "increase",
        move |ctx: NativeCallContext,
              t: &mut TakeoffHandle,
              id: &str,
              label: &str,
              of: &str,
              by: Dynamic| {
            let by = share(&ctx, &t.0, &by, "share")?;
            fail(&ctx, t.0.increase(id, label, of, by, trail(&ctx, "increase")))
        },
    );
    engine.register_fn(
        "order",
        move |ctx: NativeCallContext,
              t: &mut TakeoffHandle,
              id: &str,
              label: &str,
              of: &str,
              waste: Dynamic,
              step: Dynamic| {
            let waste = share(&ctx, &t.0, &waste, "waste")?;
            let step = step_of(&ctx, &t.0, &step)?;
            fail(&ctx, t.0.order(id, label, of, waste, step, trail(&ctx, "order_quantity")))
        },
    );
}

/// Cautions beside lines, and what a script reads of a takeoff.
fn read(engine: &mut Engine, asked: AskedSettings) {
    engine.register_fn(
        "caution",
        move |ctx: NativeCallContext, t: &mut TakeoffHandle, id: &str, text: &str| {
            fail(&ctx, t.0.caution(id, text))
        },
    );
    engine.register_indexer_get(move |ctx: NativeCallContext, t: &mut TakeoffHandle, id: &str| {
        let listed = rows(id, &t.0.job, Some(&t.0.layout), Some(&t.0));
        if let Some(listed) = listed.map_err(|problem| raise(problem, ctx.call_position()))? {
            if let Ok(mut asked) = asked.lock() {
                asked.insert(id.to_owned());
            }
            return Ok(listed);
        }
        let line = t.0.line(id).map_err(|problem| raise(problem, ctx.call_position()))?;
        if t.0.waits(id) {
            let problem = Problem::error(format!(
                "line {id} rests on a formula, which is worked out once the script has ended"
            ));
            return Err(raise(
                problem.help("name it in a formula of its own: t.formula(...)"),
                ctx.call_position(),
            ));
        }
        Ok::<_, Box<EvalAltResult>>(dynamic(line.quantity.quantity()))
    });
}

fn sheet(engine: &mut Engine) {
    engine.register_fn("new_sheet", |ctx: NativeCallContext, title: &str, columns: Array| {
        let columns = texts(&columns, ctx.call_position())?;
        let title = title.trim().to_owned();
        if title.is_empty() || columns.is_empty() {
            let problem = Problem::error("a sheet has a title and at least one column");
            return Err(raise(
                problem.help("new_sheet(\"Crew marks\", [\"What\", \"Elevation\"])"),
                ctx.call_position(),
            ));
        }
        Ok::<_, Box<EvalAltResult>>(SheetHandle(SheetDraft {
            title,
            columns,
            ..SheetDraft::default()
        }))
    });
    engine.register_fn(
        "unit",
        |ctx: NativeCallContext, sheet: &mut SheetHandle, column: &str, unit: &str| {
            rule(&ctx, sheet, column)?.unit = Some(unit.to_owned());
            Ok::<_, Box<EvalAltResult>>(())
        },
    );
    engine.register_fn(
        "formula",
        |ctx: NativeCallContext, sheet: &mut SheetHandle, column: &str, unit: &str, text: &str| {
            let rule = rule(&ctx, sheet, column)?;
            (rule.unit, rule.formula) = (Some(unit.to_owned()), Some(text.to_owned()));
            Ok::<_, Box<EvalAltResult>>(())
        },
    );
    engine.register_fn(
        "total",
        |ctx: NativeCallContext, sheet: &mut SheetHandle, column: &str, how: &str| {
            rule(&ctx, sheet, column)?.total = Some(how.to_owned());
            Ok::<_, Box<EvalAltResult>>(())
        },
    );
    engine.register_fn(
        "bars",
        |ctx: NativeCallContext, sheet: &mut SheetHandle, columns: Array| -> Outcome<()> {
            let position = ctx.call_position();
            let names = texts(&columns, position)?;
            if !(1..=MOST_BARS).contains(&names.len()) {
                let message = format!("bars show 1 to {MOST_BARS} columns, not {}", names.len());
                return Err(raise(Problem::error(message), position));
            }
            let places = names.iter().map(|name| column_of(&ctx, sheet, name));
            sheet.0.bars = places.collect::<Outcome<_>>()?;
            Ok(())
        },
    );
    engine.register_fn(
        "row",
        |ctx: NativeCallContext, sheet: &mut SheetHandle, cells: Array| -> Outcome<()> {
            if cells.len() > sheet.0.columns.len() {
                let problem = Problem::error(format!(
                    "the row has {} cells, the sheet {} columns",
                    cells.len(),
                    sheet.0.columns.len()
                ));
                return Err(raise(problem, ctx.call_position()));
            }
            let cells: Option<Vec<Datum>> = cells.iter().map(datum).collect();
            let cells = cells.ok_or_else(|| {
                raise(
                    Problem::error("a cell is neither a measure, a number nor a text"),
                    ctx.call_position(),
                )
            })?;
            sheet.0.rows.push(cells);
            Ok(())
        },
    );
}

/// Most columns that the bars of a sheet show side by side: more are not told apart in grey.
const MOST_BARS: usize = 4;

/// The column of a heading.
fn column_of(ctx: &NativeCallContext, sheet: &SheetHandle, name: &str) -> Outcome<usize> {
    let columns = &sheet.0.columns;
    columns.iter().position(|known| known == name).ok_or_else(|| {
        let problem = Problem::error(format!("the sheet has no column \"{name}\""));
        let near = crate::problem::closest(name, columns.iter().map(String::as_str));
        let problem = match near {
            Some(near) => problem.help(format!("did you mean \"{near}\"?")),
            None => problem.help(format!("its columns: {}", columns.join(", "))),
        };
        raise(problem, ctx.call_position())
    })
}

/// What is said of a column.
fn rule<'s>(
    ctx: &NativeCallContext,
    sheet: &'s mut SheetHandle,
    name: &str,
) -> Outcome<&'s mut ColumnRule> {
    let column = column_of(ctx, sheet, name)?;
    if column == 0 {
        let problem = Problem::error("the first column holds the names of the rows");
        return Err(raise(problem, ctx.call_position()));
    }
    Ok(sheet.0.rules.entry(column).or_default())
}

fn datum(value: &Dynamic) -> Option<Datum> {
    if value.is_unit() {
        return Some(Datum::Blank);
    }
    if let Ok(whole) = value.as_int() {
        return Some(Datum::Count(whole));
    }
    if let Ok(flag) = value.as_bool() {
        return Some(Datum::Flag(flag));
    }
    if let Ok(number) = value.as_float() {
        return number.is_finite().then_some(Datum::Number(number));
    }
    if let Some(measure) = value.clone().try_cast::<Quantity>() {
        if measure.dimension() == Dimension::DATE {
            return crate::measure::date_text(measure).map(Datum::Text);
        }
        let value = num_rational::BigRational::from_float(measure.base())?;
        let exact = Exact { value, dimension: measure.dimension() };
        // The unit is filled in by the host, which knows the job's system.
        return Some(Datum::Amount(exact, String::new()));
    }
    value.clone().into_string().ok().map(Datum::Text)
}

/// Fills in the units of a script's sheet.
pub(super) fn with_units(mut sheet: SheetDraft, style: &Style) -> SheetDraft {
    for datum in sheet.rows.iter_mut().flatten() {
        if let Datum::Amount(exact, unit) = datum
            && unit.is_empty()
        {
            *unit = style.unit(exact.dimension);
        }
    }
    sheet
}
