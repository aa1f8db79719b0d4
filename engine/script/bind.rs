//! Binds the catalogue: each function once, under its own name.

use std::any::TypeId;
use std::sync::Arc;

use rhai::{Dynamic, Engine, EvalAltResult, NativeCallContext};

use super::display::display;
use super::draft::PartsHandle;
use super::fault::raise;
use super::measures::{dynamic, quantity};
use super::trace::Trace;
use crate::catalogue::{self, Args, Function, Object, Value, ValueKind};
use crate::measure::{Dimension, Style};
use crate::problem::Problem;
use crate::takeoff::SettingValue;

pub(super) fn register(engine: &mut Engine, trace: &Arc<Trace>, style: &Style) {
    for function in catalogue::functions() {
        // Inputs at the end that have a default may be left out.
        for count in function.required()..=function.parameters.len() {
            let types = vec![TypeId::of::<Dynamic>(); count];
            let (trace, style) = (trace.clone(), style.clone());
            engine.register_raw_fn(
                function.name,
                types,
                move |ctx: NativeCallContext, args: &mut [&mut Dynamic]| {
                    let told = trace.call(&ctx, function.name, args, &style);
                    let result = call(&ctx, function, args);
                    if let Some(told) = told {
                        let result = match &result {
                            Ok(value) => display(value, &style),
                            Err(_) => "no result".to_owned(),
                        };
                        trace.note(told, &result);
                    }
                    result
                },
            );
        }
    }
}

fn call(
    ctx: &NativeCallContext,
    function: &'static Function,
    args: &mut [&mut Dynamic],
) -> Result<Dynamic, Box<EvalAltResult>> {
    let position = ctx.call_position();
    let mut values = Vec::with_capacity(args.len());
    for (argument, parameter) in args.iter().zip(function.parameters) {
        let read = value(argument, parameter.kind).ok_or_else(|| {
            let what = match argument.read_lock::<rhai::Array>() {
                Some(list) if matches!(parameter.kind, ValueKind::List(_)) => {
                    let other = list.iter().position(|item| quantity(item).is_none());
                    format!("a list whose number {} is none", other.unwrap_or(0) + 1)
                }
                _ => foreign(argument),
            };
            let problem = Problem::error(format!(
                "{}: input {} is {what}, {} was expected",
                function.name, parameter.name, parameter.kind
            ));
            raise(problem.help(format!("{}: {}", parameter.name, parameter.about)), position)
        })?;
        values.push(read);
    }
    match (function.evaluate)(&Args::new(function, values)) {
        Ok(value) => Ok(script_value(value)),
        Err(fault) => Err(raise(fault, position)),
    }
}

/// A value that no trade function takes, in words.
fn foreign(value: &Dynamic) -> String {
    match value.type_name() {
        "()" => "nothing".to_owned(),
        "array" => "a list".to_owned(),
        name if name.ends_with("Array") => "a list".to_owned(),
        name if name == "map" || name.ends_with("Map") => {
            "several values by name; take one of them with a dot".to_owned()
        }
        name if name.contains("Fn") => "a function".to_owned(),
        name => format!("a {}", name.rsplit("::").next().unwrap_or(name)),
    }
}

/// A script value as the catalogue takes it. A text where a measure is expected is read as one.
fn value(value: &Dynamic, wanted: ValueKind) -> Option<Value> {
    if let Some(measure) = quantity(value) {
        return Some(match measure.dimension() {
            Dimension::NUMBER => Value::Number(measure.base()),
            _ => Value::Measure(measure),
        });
    }
    if let Some(object) = value.clone().try_cast::<Object>() {
        return Some(Value::Object(object));
    }
    if let Some(PartsHandle(parts, by)) = value.clone().try_cast::<PartsHandle>() {
        return Some(Value::Object(Object::Parts(parts, by)));
    }
    if let Some(list) = value.read_lock::<rhai::Array>() {
        let ValueKind::List(dimension) = wanted else { return None };
        let items = list.iter().map(|item| self::value(item, ValueKind::Measure(dimension)));
        return items.collect::<Option<Vec<_>>>().map(Value::List);
    }
    if let Ok(flag) = value.as_bool() {
        return Some(Value::Flag(flag));
    }
    let text = value.clone().into_string().ok()?;
    if wanted == ValueKind::Measure(Dimension::LENGTH)
        && let Ok(length) =
            crate::measure::read_length(&text, crate::measure::StationStyle::default())
    {
        return Some(Value::Measure(crate::measure::Quantity::length(length)));
    }
    Some(Value::Text(text))
}

pub(super) fn script_value(value: Value) -> Dynamic {
    match value {
        Value::Measure(measure) => dynamic(measure),
        Value::Number(number) => Dynamic::from(number),
        Value::Text(text) => Dynamic::from(text),
        Value::Flag(flag) => Dynamic::from(flag),
        Value::Nothing => Dynamic::UNIT,
        Value::List(values) => {
            Dynamic::from(values.into_iter().map(script_value).collect::<rhai::Array>())
        }
        Value::Record(fields) => Dynamic::from(
            fields
                .into_iter()
                .map(|(name, value)| (name.into(), script_value(value)))
                .collect::<rhai::Map>(),
        ),
        Value::Object(Object::Parts(parts, by)) => Dynamic::from(PartsHandle(parts, by)),
        Value::Object(object) => Dynamic::from(object),
    }
}

/// A setting as a script value.
pub(super) fn setting_value(value: &SettingValue) -> Dynamic {
    match value {
        SettingValue::Measure(exact) => dynamic(exact.quantity()),
        SettingValue::Text(text) => text.clone().into(),
        SettingValue::Count(count) => Dynamic::from(*count),
    }
}

/// A script value as a value; nothing for what formulas do not give.
pub(super) fn from_script(value: &Dynamic) -> Option<Value> {
    if let Some(list) = value.read_lock::<rhai::Array>() {
        return list.iter().map(from_script).collect::<Option<Vec<_>>>().map(Value::List);
    }
    if value.is_unit() {
        return Some(Value::Nothing);
    }
    let plain = quantity(value).is_some() || value.is_bool() || value.is_string();
    if plain { self::value(value, ValueKind::Text) } else { None }
}
