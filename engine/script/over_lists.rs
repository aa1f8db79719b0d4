//! The functions of formulas over columns for scripts: there a column is an array.

use rhai::{Dynamic, Engine, NativeCallContext};

use super::bind::{from_script, script_value};
use super::fault::raise;
use crate::catalogue::Value;
use crate::measure::Style;
use crate::problem::Problem;
use crate::sheet::{Builtin, over_lists};

/// Functions over arrays, of two and three inputs and of one.
const ONE: [&str; 4] = ["count", "mean", "count_where", "root"];
const TWO: [&str; 6] =
    ["sum_where", "mean_where", "min_where", "max_where", "working_days", "working_day_after"];
const THREE: [&str; 5] =
    ["value_for", "value_in_band", "value_between", "working_days", "working_day_after"];
/// Most texts that are joined at once.
const MOST_JOINED: usize = 12;

/// Their names.
pub(super) fn names() -> impl Iterator<Item = &'static str> {
    ONE.into_iter().chain(TWO).chain(THREE).chain(["joined"])
}

pub(super) fn register(engine: &mut Engine, style: &Style) {
    for (names, count) in [(&ONE[..], 1), (&TWO, 2), (&THREE, 3)] {
        for name in names {
            add(engine, style, name, count);
        }
    }
    for count in 1..=MOST_JOINED {
        add(engine, style, "joined", count);
    }
}

fn add(engine: &mut Engine, style: &Style, name: &'static str, count: usize) {
    let style = style.clone();
    let types = vec![std::any::TypeId::of::<Dynamic>(); count];
    let run = move |context: NativeCallContext, inputs: &mut [&mut Dynamic]| {
        let fail = |problem: Problem| raise(problem, context.call_position());
        let values: Option<Vec<Value>> = inputs.iter().map(|input| from_script(input)).collect();
        let values = values
            .ok_or_else(|| fail(Problem::error(format!("{name} of an object of the job"))))?;
        let given = Builtin::named(name, count)
            .and_then(|builtin| over_lists(builtin, &values, &|of| style.unit(of)));
        let wrong = || {
            let kinds: Vec<String> = values.iter().map(Value::words).collect();
            fail(
                Problem::error(format!("{name} of {}", kinds.join(", ")))
                    .help("of columns an array is expected, such as [1.ft, 2.ft]"),
            )
        };
        Ok(script_value(given.ok_or_else(wrong)?.map_err(fail)?))
    };
    engine.register_raw_fn(name, types, run);
}
