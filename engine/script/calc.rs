//! One expression after another, as on a pocket calculator: results with their units, and the sources they rest on.

use rhai::{AST, ASTNode, Dynamic, Expr, Scope, Stmt};

use super::fault::ScriptFault;
use super::host::Host;
use super::{measures, over_lists};
use crate::catalogue::{self, Field, Function, ValueKind, functions};
use crate::files::{FoundFile, LayerOrigin, Layers};
use crate::footing::System;
use crate::measure::{
    Dimension, Quantity, StationStyle, Style, shortest, significant, thousands, unit, unit_names,
};
use crate::problem::Problem;

/// What a line gave.
#[derive(Debug, Clone, Default)]
pub struct Calculated {
    /// The result in words; empty for none.
    pub result: String,
    /// The same measure in other units.
    pub also: Vec<String>,
    /// What was not said and therefore taken: function, input and its value.
    pub assumed: Vec<String>,
    /// The trade functions that were called, each once, as written.
    pub functions: Vec<&'static Function>,
}

/// A calculator: what a line defines, later ones may use.
pub struct Calculator {
    host: Host,
    scope: Scope<'static>,
}

/// Units that a result is shown in besides the usual one.
const ALSO: &[(Dimension, &[&str])] = &[
    (Dimension::LENGTH, &["ft", "in", "m", "mm"]),
    (Dimension::AREA, &["sf", "sy", "in2", "m2", "mm2"]),
    (Dimension::VOLUME, &["cy", "cf", "m3"]),
    (Dimension::FORCE, &["lb", "kip", "kN", "kg"]),
    (Dimension::FORCE_PER_LENGTH, &["plf", "kN/m"]),
    (Dimension::MOMENT, &["lb*ft", "kN*m"]),
    (Dimension::PRESSURE, &["psf", "psi", "kPa", "MPa"]),
    (Dimension::UNIT_WEIGHT, &["pcf", "kN/m3"]),
    (Dimension::SPEED, &["ft/h", "m/h"]),
    (Dimension::VOLUME_PER_TIME, &["cy/h", "m3/h"]),
    (Dimension::TIME, &["min", "h", "day"]),
    (Dimension::TEMPERATURE, &["F", "C"]),
    (Dimension::TEMPERATURE_CHANGE, &["F_change", "C_change"]),
    (Dimension::ANGLE, &["deg", "rad"]),
];

/// A measure in a unit: seven digits, thousands apart.
fn in_unit(quantity: Quantity, name: &str) -> Option<String> {
    let value = significant(quantity.in_unit(&unit(name).ok()?).ok()?, 7);
    let places = if value.abs() < 1000.0 { 6 } else { 2 };
    let text = thousands(value, places);
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    Some(format!("{text} {name}"))
}

impl Calculator {
    /// A calculator in the units of a system.
    pub fn new(system: System, currency: &str) -> Self {
        let layers = Layers::new(None, None);
        let host = Host::new(layers, &Style::new(system, currency, StationStyle::HundredFeet));
        Self { host, scope: Scope::new() }
    }

    /// The bare value of an expression.
    ///
    /// # Errors
    /// It is faulty.
    pub fn value(&mut self, text: &str) -> Result<Dynamic, ScriptFault> {
        self.worked(text).map(|(_, value)| value)
    }

    fn worked(&mut self, text: &str) -> Result<(AST, Dynamic), ScriptFault> {
        let script =
            FoundFile { origin: LayerOrigin::Job, shown: "calc".into(), text: text.to_owned() };
        self.host.renew();
        let ast = self.host.compile(&script)?;
        let value = self.host.eval(&mut self.scope, &ast, &script)?;
        if value.as_float().is_ok_and(|number| !number.is_finite()) {
            return Err(Problem::error("the result is not a finite number")
                .help("look at the powers of ten of what it rests on")
                .into());
        }
        Ok((ast, value))
    }

    /// Works one line out.
    ///
    /// # Errors
    /// It is faulty.
    pub fn line(&mut self, text: &str) -> Result<Calculated, ScriptFault> {
        let (ast, value) = self.worked(text)?;
        let mut called: Vec<(&'static Function, usize)> = Vec::new();
        ast.walk(&mut |path| {
            let (ASTNode::Expr(Expr::FnCall(call, _)) | ASTNode::Stmt(Stmt::FnCall(call, _))) =
                path[path.len() - 1]
            else {
                return true;
            };
            if let Some(function) = catalogue::find(&call.name)
                && !called.iter().any(|(known, _)| known.name == function.name)
            {
                called.push((function, call.args.len()));
            }
            true
        });
        let result = self.result(text, &value, &called);
        let assumed = called.iter().flat_map(|(function, given)| {
            function.taken(*given).map(|taken| format!("{}: {taken}", function.name))
        });
        Ok(Calculated {
            also: self.also(&value, &result),
            assumed: assumed.collect(),
            functions: called.iter().map(|(function, _)| *function).collect(),
            result,
        })
    }

    /// A result as the trade reads it: what governs first, each part in its unit.
    fn result(&self, text: &str, value: &Dynamic, called: &[(&'static Function, usize)]) -> String {
        let system = self.host.style().system;
        if let Some(map) = value.clone().try_cast::<rhai::Map>() {
            let declared = called.iter().find_map(|(function, _)| match function.result {
                ValueKind::Record(fields)
                    if fields.len() == map.len()
                        && fields.iter().all(|field| map.contains_key(field.name)) =>
                {
                    Some((*function, fields))
                }
                _ => None,
            });
            if let Some((function, fields)) = declared {
                let line = |field: &Field| {
                    let part = map.get(field.name)?;
                    Some(format!("{}: {}", field.name, self.part(function, field, part)))
                };
                return fields.iter().filter_map(line).collect::<Vec<_>>().join("\n");
            }
        }
        // One function and nothing else: its result, or one of its parts.
        if let [(function, _)] = called
            && let Some(quantity) = value.clone().try_cast::<Quantity>()
        {
            let text = text.trim();
            let field = match function.result {
                ValueKind::Record(fields) => fields
                    .iter()
                    .map(|field| field.name)
                    .find(|name| text.ends_with(&format!(").{name}"))),
                _ => None,
            };
            let whole = field.is_some() || text.starts_with(function.name) && text.ends_with(')');
            let unit = catalogue::reading_unit(function, field, quantity.dimension(), system);
            if let Some(shown) = unit.filter(|_| whole).and_then(|unit| in_unit(quantity, unit)) {
                return shown;
            }
        }
        self.host.words(value)
    }

    /// One of several results, with the same in the other system beside it.
    fn part(&self, function: &Function, field: &Field, part: &Dynamic) -> String {
        if part.is_unit() {
            return "none".to_owned();
        }
        if let Ok(number) = part.as_float() {
            return shortest(significant(number, 6));
        }
        let Some(quantity) = part.clone().try_cast::<Quantity>() else {
            return self.host.words(part);
        };
        let (own, other) = match self.host.style().system {
            System::Us => (System::Us, System::Metric),
            System::Metric => (System::Metric, System::Us),
        };
        let unit = |system| {
            let reading =
                catalogue::reading_unit(function, Some(field.name), quantity.dimension(), system);
            let usual = || Style { system, ..self.host.style().clone() }.unit(quantity.dimension());
            reading.map_or_else(usual, str::to_owned)
        };
        let shown = in_unit(quantity, &unit(own)).unwrap_or_else(|| self.host.words(part));
        match in_unit(quantity, &unit(other)).filter(|beside| *beside != shown) {
            Some(beside) if quantity.dimension() != Dimension::MONEY => {
                format!("{shown} ({beside})")
            }
            _ => shown,
        }
    }

    fn also(&self, value: &Dynamic, result: &str) -> Vec<String> {
        let Some(quantity) = value.clone().try_cast::<Quantity>() else { return Vec::new() };
        let units = ALSO.iter().find(|(dimension, _)| *dimension == quantity.dimension());
        let shown = |name: &&&str| {
            let value = quantity.in_unit(&unit(name).ok()?).ok()?;
            let text = format!("{} {name}", shortest(significant(value, 6)));
            // The usual unit stands in the result already.
            (!result.contains(&format!(" {name}"))).then_some(text)
        };
        units.map_or_else(Vec::new, |(_, names)| {
            names.iter().filter_map(|name| shown(&name)).collect()
        })
    }
}

/// Names that may be meant by the beginning of a word: trade functions, words of the language; after a dot units.
pub fn completions(start: &str, after_dot: bool) -> Vec<String> {
    let mut names: Vec<String> = if after_dot {
        unit_names()
            .map(|name| if name == "in" { "inch" } else { name })
            .chain(["show", "value_in"])
            .map(str::to_owned)
            .collect()
    } else {
        functions()
            .map(|function| function.name)
            .chain(measures::words())
            .chain(over_lists::names())
            .map(str::to_owned)
            .collect()
    };
    names.retain(|name| name.starts_with(start));
    names.sort();
    names.dedup();
    names
}
