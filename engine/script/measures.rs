//! Measures in scripts: unit literals, arithmetic, comparison. Every trap that would pass silently raises.

use std::cmp::Ordering;

use num_traits::ToPrimitive;
use rhai::{Array, Dynamic, Engine, EvalAltResult, FLOAT, INT, NativeCallContext};

use super::fault::raise;
use crate::measure::{
    Dimension, Nm, Quantity, Style, feet_inches, foreign_currency, in_blocks, read_date,
    read_exact, read_length, shortest, significant, thousands, unit, unit_names,
};
use crate::problem::Problem;

type Outcome<T> = Result<T, Box<EvalAltResult>>;

/// A measure, or a plain number when nothing is left of its dimension.
pub(super) fn dynamic(quantity: Quantity) -> Dynamic {
    if quantity.dimension() == Dimension::NUMBER {
        Dynamic::from(quantity.base())
    } else {
        Dynamic::from(quantity)
    }
}

/// What a script value is as a quantity: a measure, or a plain number.
pub(super) fn quantity(value: &Dynamic) -> Option<Quantity> {
    if let Ok(whole) = value.as_int() {
        return Some(number(whole));
    }
    if let Ok(float) = value.as_float() {
        return Some(Quantity::number(float));
    }
    value.clone().try_cast::<Quantity>()
}

#[expect(clippy::cast_precision_loss, reason = "whole numbers of a script are counts")]
fn number(whole: INT) -> Quantity {
    Quantity::number(whole as f64)
}

/// Words of the language that are suggested for a slip: those that work something out, and the others.
pub(super) fn words() -> impl Iterator<Item = &'static str> {
    let others = ["print", "new_takeoff", "new_sheet", "job", "takeoff", "add", "row"];
    WORKING.into_iter().chain(others)
}

/// Those of them that work something out: no script has a function of such a name.
pub(super) const WORKING: [&str; 12] = [
    "to_cent",
    "date",
    "q",
    "show",
    "value_in",
    "round_up",
    "round_down",
    "round_near",
    "min",
    "max",
    "abs",
    "sum",
];

pub(super) fn register(engine: &mut Engine, style: &Style) {
    let currency = style.currency.as_str();
    engine.register_type_with_name::<Quantity>("measure");
    literals(engine, currency);
    arithmetic(engine);
    comparison(engine);
    functions(engine, style);
    texts(engine, style);
}

/// `12.ft`, `3.5.inch`, `150.pcf`, `8.percent`.
fn literals(engine: &mut Engine, currency: &str) {
    for name in unit_names() {
        let script_name = if name == "in" { continue } else { name };
        let own = currency.to_owned();
        let make = move |ctx: NativeCallContext, value: f64| {
            literal(value, name, &own).map(dynamic).map_err(|p| raise(p, ctx.call_position()))
        };
        let whole = make.clone();
        engine.register_get(script_name, move |ctx: NativeCallContext, value: &mut FLOAT| {
            make(ctx, *value)
        });
        #[expect(clippy::cast_precision_loss, reason = "whole numbers of a script are counts")]
        engine.register_get(script_name, move |ctx: NativeCallContext, value: &mut INT| {
            whole(ctx, *value as f64)
        });
    }
}

/// A number with a unit; money only in the job's own currency.
pub(super) fn literal(value: f64, name: &str, currency: &str) -> Result<Quantity, Problem> {
    if crate::measure::CURRENCIES.contains(&name) && name != currency {
        return Err(Problem::error(format!("this job is not priced in {name}")));
    }
    Quantity::of(value, name)
}

/// Registers an operator of two measures, and of a measure and a plain number in both orders.
fn operator<T: rhai::Variant + Clone>(
    engine: &mut Engine,
    symbol: &'static str,
    apply: impl Fn(Quantity, Quantity) -> Result<T, Problem> + Copy + Send + Sync + 'static,
) {
    let run = move |ctx: &NativeCallContext, a: Quantity, b: Quantity| -> Outcome<T> {
        apply(a, b).map_err(|problem| raise(problem, ctx.call_position()))
    };
    engine
        .register_fn(symbol, move |ctx: NativeCallContext, a: Quantity, b: Quantity| {
            run(&ctx, a, b)
        })
        .register_fn(symbol, move |ctx: NativeCallContext, a: Quantity, b: INT| {
            run(&ctx, a, number(b))
        })
        .register_fn(symbol, move |ctx: NativeCallContext, a: Quantity, b: FLOAT| {
            run(&ctx, a, Quantity::number(b))
        })
        .register_fn(symbol, move |ctx: NativeCallContext, a: INT, b: Quantity| {
            run(&ctx, number(a), b)
        })
        .register_fn(symbol, move |ctx: NativeCallContext, a: FLOAT, b: Quantity| {
            run(&ctx, Quantity::number(a), b)
        });
}

/// Registers an operator of plain numbers, so that they follow the same rule as measures.
fn numbers<T: rhai::Variant + Clone>(
    engine: &mut Engine,
    symbol: &'static str,
    apply: impl Fn(Quantity, Quantity) -> Result<T, Problem> + Copy + Send + Sync + 'static,
) {
    let run = move |ctx: &NativeCallContext, a: Quantity, b: Quantity| -> Outcome<T> {
        apply(a, b).map_err(|problem| raise(problem, ctx.call_position()))
    };
    let float = Quantity::number;
    engine
        .register_fn(symbol, move |ctx: NativeCallContext, a: FLOAT, b: FLOAT| {
            run(&ctx, float(a), float(b))
        })
        .register_fn(symbol, move |ctx: NativeCallContext, a: INT, b: FLOAT| {
            run(&ctx, number(a), float(b))
        })
        .register_fn(symbol, move |ctx: NativeCallContext, a: FLOAT, b: INT| {
            run(&ctx, float(a), number(b))
        })
        .register_fn(symbol, move |ctx: NativeCallContext, a: INT, b: INT| {
            run(&ctx, number(a), number(b))
        });
}

/// The least or greatest of a list.
fn extreme(values: &Array, keep: fn(Ordering) -> bool) -> Result<Dynamic, Problem> {
    let mut best: Option<Quantity> = None;
    for value in values {
        let value = quantity(value)
            .ok_or_else(|| Problem::error("a list of something that is not a measure"))?;
        best = Some(match best {
            Some(best) if !keep(value.compare(best)?) => best,
            _ => value,
        });
    }
    best.map(dynamic).ok_or_else(|| Problem::error("an empty list has no least or greatest"))
}

fn arithmetic(engine: &mut Engine) {
    operator(engine, "+", |a, b| a.add(b).map(dynamic));
    operator(engine, "-", |a, b| a.subtract(b).map(dynamic));
    operator(engine, "*", |a, b| a.multiply(b).map(dynamic));
    operator(engine, "/", |a, b| a.divide(b).map(dynamic));
    operator(engine, "%", |_, _| -> Result<Dynamic, Problem> {
        Err(Problem::error("% of measures has no meaning here")
            .help("use round_down(a, step), or 8.percent for a percentage"))
    });
    engine.register_fn("-", Quantity::negative);
    engine.register_fn("+", |a: Quantity| a);
    engine.register_fn("**", |ctx: NativeCallContext, a: Quantity, n: INT| {
        let n = i8::try_from(n).ok().filter(|n| (-6..=6).contains(n));
        let n = n.ok_or_else(|| {
            raise(Problem::error("a power of -6 to 6 was expected"), ctx.call_position())
        })?;
        a.power(n).map(dynamic).map_err(|problem| raise(problem, ctx.call_position()))
    });
    // Whole numbers divide as numbers do: 7/8 is 0.875.
    let divide = |ctx: &NativeCallContext, a: f64, b: f64| -> Outcome<FLOAT> {
        let quotient = Quantity::number(a).divide(Quantity::number(b));
        quotient.map(Quantity::base).map_err(|problem| raise(problem, ctx.call_position()))
    };
    #[expect(clippy::cast_precision_loss, reason = "whole numbers of a script are counts")]
    engine
        .register_fn("/", move |ctx: NativeCallContext, a: INT, b: INT| {
            divide(&ctx, a as f64, b as f64)
        })
        .register_fn("/", move |ctx: NativeCallContext, a: FLOAT, b: FLOAT| divide(&ctx, a, b))
        .register_fn("/", move |ctx: NativeCallContext, a: INT, b: FLOAT| divide(&ctx, a as f64, b))
        .register_fn("/", move |ctx: NativeCallContext, a: FLOAT, b: INT| {
            divide(&ctx, a, b as f64)
        });
    engine.register_fn("/=", |ctx: NativeCallContext, _: &mut INT, _: INT| -> Outcome<()> {
        Err(raise(
            Problem::error("a whole number cannot be divided in place").help("write a = a / 2"),
            ctx.call_position(),
        ))
    });
}

fn comparison(engine: &mut Engine) {
    let tests: [(&'static str, fn(Ordering) -> bool); 6] = [
        ("==", Ordering::is_eq),
        ("!=", Ordering::is_ne),
        ("<", Ordering::is_lt),
        ("<=", Ordering::is_le),
        (">", Ordering::is_gt),
        (">=", Ordering::is_ge),
    ];
    for (symbol, holds) in tests {
        operator(engine, symbol, move |a, b| a.compare(b).map(holds));
        numbers(engine, symbol, move |a, b| a.compare(b).map(holds));
        let text = move |ctx: &NativeCallContext| -> Outcome<bool> {
            let problem = Problem::error("a measure compared with a text")
                .help("read the text first: q(\"2'-6\")");
            Err(raise(problem, ctx.call_position()))
        };
        engine
            .register_fn(
                symbol,
                move |ctx: NativeCallContext, _: Quantity, _: rhai::ImmutableString| text(&ctx),
            )
            .register_fn(
                symbol,
                move |ctx: NativeCallContext, _: rhai::ImmutableString, _: Quantity| text(&ctx),
            );
    }
}

/// Reads a measure from text: `q("10'-5 1/2\"")`, `q("42.25 usd/cy")`.
pub(super) fn read(text: &str, style: &Style) -> Result<Quantity, Problem> {
    let (stations, currency) = (style.stations, style.currency.as_str());
    match read_exact(text) {
        Ok(exact) if exact.dimension != Dimension::LENGTH => {
            match foreign_currency(text, currency).filter(|_| exact.dimension.money != 0) {
                Some(name) => Err(Problem::error(format!("this job is not priced in {name}"))),
                None => Ok(exact.quantity()),
            }
        }
        // An area per length, such as 0.2 in2/ft, has the dimension of a length and is not written like one.
        Ok(exact) if text.contains('/') => {
            read_length(text, stations).map(Quantity::length).or_else(|_| Ok(exact.quantity()))
        }
        Ok(_) => read_length(text, stations).map(Quantity::length),
        Err(other) => read_length(text, stations).map(Quantity::length).map_err(|length| {
            let of_measure = ["is not a unit", "two readings", "is ambiguous"];
            let of_measure = of_measure.iter().any(|words| other.message.contains(words));
            if of_measure && length.message.contains("is not a length") { other } else { length }
        }),
    }
}

/// A measure in a unit, as text; `ft-in` is feet and inches to 1/16.
pub(super) fn show(quantity: Quantity, name: &str, places: Option<INT>) -> Result<String, Problem> {
    if name == "ft-in" {
        return Ok(feet_inches(quantity.to_nm()?, 16));
    }
    let value = quantity.in_unit(&unit(name)?)?;
    let text = match places {
        Some(places) => {
            let places = u32::try_from(places).ok().filter(|p| *p <= 12);
            let places = places.ok_or_else(|| Problem::error("0 to 12 decimals were expected"))?;
            thousands(value, places).replace(',', "")
        }
        None => shortest(significant(value, 13)),
    };
    Ok(format!("{text} {name}"))
}

fn functions(engine: &mut Engine, style: &Style) {
    let own = style.clone();
    engine.register_fn("q", move |ctx: NativeCallContext, text: &str| {
        read(text, &own).map(dynamic).map_err(|problem| raise(problem, ctx.call_position()))
    });
    engine.register_fn("show", |ctx: NativeCallContext, value: Quantity, name: &str| {
        show(value, name, None).map_err(|problem| raise(problem, ctx.call_position()))
    });
    engine.register_fn(
        "show",
        |ctx: NativeCallContext, value: Quantity, name: &str, places: INT| {
            show(value, name, Some(places)).map_err(|problem| raise(problem, ctx.call_position()))
        },
    );
    engine.register_fn("value_in", |ctx: NativeCallContext, value: Quantity, name: &str| {
        let value = unit(name).and_then(|unit| value.in_unit(&unit));
        value.map_err(|problem| raise(problem, ctx.call_position()))
    });
    engine.register_fn("abs", Quantity::size);
    engine.register_fn("to_cent", |ctx: NativeCallContext, value: Quantity| {
        value.to_cent().map_err(|problem| raise(problem, ctx.call_position()))
    });
    let pairs: [(&'static str, fn(Quantity, Quantity) -> Result<Quantity, Problem>); 5] = [
        ("round_up", Quantity::round_up),
        ("round_down", Quantity::round_down),
        ("round_near", Quantity::round_nearest),
        ("min", |a, b| Ok(if a.compare(b)?.is_le() { a } else { b })),
        ("max", |a, b| Ok(if a.compare(b)?.is_ge() { a } else { b })),
    ];
    for (name, apply) in pairs {
        operator(engine, name, move |a, b| apply(a, b).map(dynamic));
        numbers(engine, name, move |a, b| apply(a, b).map(Quantity::base));
    }
    for (name, keep) in [("min", Ordering::is_lt as fn(Ordering) -> bool), ("max", Ordering::is_gt)]
    {
        engine.register_fn(name, move |ctx: NativeCallContext, values: Array| {
            extreme(&values, keep).map_err(|problem| raise(problem, ctx.call_position()))
        });
    }
    engine.register_fn("date", |ctx: NativeCallContext, text: &str| {
        read_date(text).map_err(|problem| raise(problem, ctx.call_position()))
    });
    engine.register_fn("sum", |ctx: NativeCallContext, values: Array| -> Outcome<Dynamic> {
        let fail = |problem| raise(problem, ctx.call_position());
        let one = |value| {
            quantity(value)
                .ok_or_else(|| fail(Problem::error("a sum of something that is not a measure")))
        };
        let values: Vec<Quantity> = values.iter().map(one).collect::<Result<_, _>>()?;
        let sum = in_blocks(&values, &Quantity::add).map_err(fail)?;
        sum.map(dynamic).ok_or_else(|| fail(Problem::error("a sum of nothing has no unit")))
    });
}

/// A measure within a text: in the units and the currency of the job.
fn texts(engine: &mut Engine, style: &Style) {
    for name in ["to_string", "to_debug"] {
        let style = style.clone();
        engine.register_fn(name, move |value: &mut Quantity| style.show(*value));
    }
}

/// A whole-nanometre length from a script value.
pub(super) fn exact_ratio(value: Quantity) -> Option<num_rational::BigRational> {
    if value.dimension() == Dimension::LENGTH {
        let Nm(whole) = value.to_nm().ok()?;
        return Some(crate::measure::ratio(whole.into(), 1));
    }
    // A fraction such as 8 % is meant as the decimal that it prints as.
    crate::measure::Decimal::parse(&shortest(value.base()))
        .map(crate::measure::Decimal::ratio)
        .or_else(|| {
            let ratio = num_rational::BigRational::from_float(value.base())?;
            ratio.to_f64().is_some().then_some(ratio)
        })
}
