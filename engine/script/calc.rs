//! One expression after another, as on a pocket calculator: results with their units, and the sources they rest on.

use rhai::{AST, ASTNode, Dynamic, Expr, Scope, Stmt};

use super::fault::ScriptFault;
use super::host::Host;
use super::measures;
use crate::catalogue::{self, Function, functions};
use crate::files::{Found, Layers, Origin};
use crate::footing::System;
use crate::measure::{Dimension, Quantity, StationStyle, shortest, significant, unit, unit_names};

/// What a line gave.
#[derive(Debug, Clone, Default)]
pub struct Calculated {
    /// The result in words; empty for none.
    pub result: String,
    /// The same measure in other units.
    pub also: Vec<String>,
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

impl Calculator {
    /// A calculator in the units of a system.
    pub fn new(system: System, currency: &str) -> Self {
        let layers = Layers::new(None, None);
        let host = Host::new(layers, system, currency, StationStyle::HundredFeet);
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
        let script = Found { origin: Origin::Job, shown: "calc".into(), text: text.to_owned() };
        self.host.renew();
        let ast = self.host.compile(&script)?;
        let value = self.host.eval(&mut self.scope, &ast, &script)?;
        Ok((ast, value))
    }

    /// Works one line out.
    ///
    /// # Errors
    /// It is faulty.
    pub fn line(&mut self, text: &str) -> Result<Calculated, ScriptFault> {
        let (ast, value) = self.worked(text)?;
        let mut called: Vec<&'static Function> = Vec::new();
        ast.walk(&mut |path| {
            let (ASTNode::Expr(Expr::FnCall(call, _)) | ASTNode::Stmt(Stmt::FnCall(call, _))) =
                path[path.len() - 1]
            else {
                return true;
            };
            if let Some(function) = catalogue::find(&call.name)
                && !called.iter().any(|known| known.name == function.name)
            {
                called.push(function);
            }
            true
        });
        let result = self.host.words(&value);
        Ok(Calculated { also: self.also(&value, &result), result, functions: called })
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
            .map(str::to_owned)
            .collect()
    };
    names.retain(|name| name.starts_with(start));
    names.sort();
    names.dedup();
    names
}
