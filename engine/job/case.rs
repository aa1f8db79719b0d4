//! What the wall case and the company's functions declare before the settings are read: the grid, and inputs of their own.

use super::keys::own_key;
use super::kind::KeyReading;
use super::{Keys, OpenOptions};
use crate::files::Layers;
use crate::footing::{GridKind, System};
use crate::measure::{CURRENCIES, Style};
use crate::problem::{Faults, Place, Problem};
use crate::script::{FUNCTIONS, ScriptFault};

/// The wall case of a job that names none.
const USUAL: &str = "stepped_wall";

/// The keys of a job, with the faults of what declares some of them.
pub(super) fn keys_of(
    layers: &Layers,
    reading: &KeyReading,
    case: Option<&str>,
    options: &OpenOptions,
) -> (Keys, Faults) {
    let system = if reading.metric { System::Metric } else { System::Us };
    let currency = CURRENCIES.iter().find(|known| **known == reading.currency).unwrap_or(&"usd");
    let style = Style::new(system, currency, reading.stations);
    let host = options.hosts.lend(layers, &style, &options.script_time);
    let mut faults = Faults::none();
    let case = layers.find(&format!("scripts/{}.rhai", case.unwrap_or(USUAL)));
    let scripts = [case.map(Some), layers.replaced(FUNCTIONS)];
    let mut grid = None;
    let mut own = Vec::new();
    for script in scripts {
        // A script that is not there or cannot be read is told where it is run.
        let Ok(script) = script else { return (Keys::without_case(), Faults::none()) };
        let Some(script) = script else { continue };
        let declared = match host.declared(&script) {
            Ok(declared) => declared,
            Err(ScriptFault::Problems(problems)) => {
                faults.extend(problems);
                continue;
            }
            Err(ScriptFault::NoLayout(..)) => continue,
        };
        grid = grid.or(declared.grid);
        for input in &declared.inputs {
            let place = |problem: Problem| problem.at(Place::file(&script.shown));
            let key = own_key(input).map_err(|mut problem| {
                problem.message = format!("input {}: {}", input.name, problem.message);
                place(problem)
            });
            let Some(key) = faults.keep_one(key) else { continue };
            if own.iter().any(|known: &super::Key| known.path == key.path) {
                let message = format!("two inputs are called {}", input.name);
                faults.push(place(Problem::error(message)).help("give one another name"));
            }
            if let super::Need::Default(text) = key.need
                && let Err(problem) = key.kind.read_text(text, reading)
            {
                let message = format!("input {}: its usual value: {}", input.name, problem.message);
                faults.push(place(Problem { message, ..problem }));
            }
            own.push(key);
        }
    }
    match faults.stop() {
        true => (Keys::without_case(), faults),
        false => (Keys::new(own, grid.unwrap_or(GridKind::Panels)), faults),
    }
}
