//! Tests that an estimator writes: functions of his scripts whose names begin with `test_`.

use std::sync::Arc;

use rhai::{Dynamic, Engine, EvalAltResult, NativeCallContext};

use super::display::display;
use super::draft::TakeoffHandle;
use super::fault::{ScriptFault, raise};
use super::host::Host;
use super::measures::quantity;
use crate::catalogue::Object;
use crate::files::FoundFile;
use crate::measure::{Style, round};
use crate::problem::{Faults, Place, Problem};
use crate::takeoff::{Takeoff, WallJob};

/// What the name of a test begins with.
const TEST: &str = "test_";

/// A test of a script, and what is wrong where it fails.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScriptTest {
    /// Its name.
    pub name: String,
    /// What is wrong; nothing where it is met.
    pub faults: Option<Faults>,
}

impl Host {
    /// Runs every test of a script: a function `test_...()`, `test_...(job)` or `test_...(job, takeoff)`. It is met where it
    /// gives `true` or nothing.
    ///
    /// # Errors
    /// The script cannot be read, or holds no test.
    pub fn tests(
        &self,
        script: &FoundFile,
        job: Option<(&Arc<WallJob>, &Takeoff)>,
    ) -> Result<Vec<ScriptTest>, ScriptFault> {
        let ast = self.compile(script)?;
        let functions = ast.iter_functions().filter(|function| function.name.starts_with(TEST));
        let mut found: Vec<(String, usize)> =
            functions.map(|function| (function.name.to_owned(), function.params.len())).collect();
        if found.is_empty() {
            return Err(Problem::error("this script has no tests")
                .at(Place::file(&script.shown))
                .help("a test is a function whose name begins with test_, such as fn test_area() { expect(area(3.ft), 9.sf); }")
                .into());
        }
        found.sort();
        let place = |problem: Problem| problem.at(Place::file(&script.shown));
        let one = |(name, inputs): (String, usize)| {
            let told = match (inputs, job) {
                (0, _) => self.call(&ast, script, &name, ()),
                (1, Some((job, _))) => self.call(&ast, script, &name, (Object::Job(job.clone()),)),
                (2, Some((job, takeoff))) => {
                    let takeoff = TakeoffHandle(takeoff.clone());
                    self.call(&ast, script, &name, (Object::Job(job.clone()), takeoff))
                }
                (1 | 2, None) => Err(place(
                    Problem::error(format!("{name} works on a job"))
                        .help("name the job: rodbook run --tests FILE.rhai JOB"),
                )
                .into()),
                _ => Err(place(
                    Problem::error(format!("{name} has {inputs} inputs"))
                        .help("a test takes nothing, the job, or the job and its takeoff"),
                )
                .into()),
            };
            let faults = match told {
                Ok(value) if value.is_unit() || value.as_bool() == Ok(true) => None,
                Ok(value) => {
                    let problem =
                        Problem::error(format!("{name} gives {}", display(&value, self.style())))
                            .help(
                                "a test gives true or nothing; expect(is, wanted) says both values",
                            );
                    Some(place(problem).into())
                }
                Err(ScriptFault::Problems(faults)) => Some(faults),
                Err(ScriptFault::NoLayout(..)) => Some(
                    place(Problem::error(format!("{name}: no layout of steps is legal"))).into(),
                ),
            };
            ScriptTest { name, faults }
        };
        Ok(found.into_iter().map(one).collect())
    }
}

/// `expect(is, wanted)` and `expect(is, wanted, within)`.
pub(super) fn register(engine: &mut Engine, style: &Style) {
    let shown = style.clone();
    engine.register_fn(
        "expect",
        move |context: NativeCallContext, is: Dynamic, wanted: Dynamic| {
            expect(&context, &is, &wanted, None, &shown)
        },
    );
    let shown = style.clone();
    engine.register_fn(
        "expect",
        move |context: NativeCallContext, is: Dynamic, wanted: Dynamic, within: Dynamic| {
            expect(&context, &is, &wanted, Some(&within), &shown)
        },
    );
}

fn expect(
    context: &NativeCallContext,
    is: &Dynamic,
    wanted: &Dynamic,
    within: Option<&Dynamic>,
    style: &Style,
) -> Result<(), Box<EvalAltResult>> {
    let position = context.call_position();
    let (told, hoped) = (display(is, style), display(wanted, style));
    let differs = |more: &str| {
        raise(Problem::error(format!("this is {told}, {hoped} was expected{more}")), position)
    };
    let (Some(a), Some(b)) = (quantity(is), quantity(wanted)) else {
        let alike = is.type_name() == wanted.type_name() && told == hoped;
        return if alike && within.is_none() { Ok(()) } else { Err(differs("")) };
    };
    let off = a.subtract(b).map_err(|problem| raise(problem, position))?;
    match within {
        None if round::same(a.base(), b.base()) => Ok(()),
        None => Err(differs("")),
        Some(within) => {
            let words = format!(" within {}", display(within, style));
            let limit = quantity(within).filter(|limit| limit.dimension() == off.dimension());
            let Some(limit) = limit else {
                let problem = Problem::error(format!(
                    "{} is not a difference of the two",
                    display(within, style)
                ))
                .help("give it the unit of both, such as 0.01.cy");
                return Err(raise(problem, position));
            };
            if round::up_to(off.base().abs(), limit.base().abs()) {
                Ok(())
            } else {
                Err(differs(&words))
            }
        }
    }
}
