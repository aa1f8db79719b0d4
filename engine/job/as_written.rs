//! What is wrong with the rules, scripts and calc sheets of a job as they are written, before anything of them runs.

use std::collections::BTreeMap;

use super::alignment::system;
use super::build;
use super::costs::faults_of_costs;
use super::inputs::without_takeoff;
use super::own_lines::{add_own_lines, own_lines};
use super::settings::Settings;
use super::sheets::sheets_of;
use crate::files::Layers;
use crate::measure::Style;
use crate::problem::Faults;
use crate::script::{Budget, FUNCTIONS, Host, hooks};

/// The faults of all of them at once.
pub(super) fn faults_as_written(layers: &Layers, settings: &Settings) -> Faults {
    let root = settings.view();
    let job = root.table("job");
    let text = |name| job.and_then(|job| job.maybe_text(name));
    let currency = text("currency").unwrap_or("usd");
    let style = Style::new(system(root), currency, settings.stations());
    let host = Host::new(layers.clone(), &style);
    let mut faults = Faults::none();
    let case = text("case").map(|case| format!("scripts/{case}.rhai"));
    for name in case.into_iter().chain(build::sheet_scripts(root)) {
        if let Some(script) = faults.keep(layers.find(&name)) {
            faults.extend(host.faults_as_written(&script));
        }
    }
    faults.keep(hooks(layers, &style, &Budget::default(), &BTreeMap::new()));
    let sheets = sheets_of(layers, &build::sheet_sources(root), root.table("bid").is_some());
    if let Some(mut sheets) = faults.keep(sheets)
        && let Some(functions) = faults.keep(layers.replaced(FUNCTIONS))
        && let Some(formulas) = faults.keep(without_takeoff(&host, functions))
    {
        faults.keep(add_own_lines(&mut sheets, &own_lines(root)));
        faults.extend(faults_of_costs(root, &sheets));
        faults.extend(crate::sheet::faults_as_written(&sheets, &formulas));
    }
    faults
}
