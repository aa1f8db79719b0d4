//! Rules of a company as script functions: `overlap(step)`, `riser_price(step)`, `wall_type(stem)`, `bar_mark(bar)`,
//! `first_bar(row)`, `panel_stack(stem)`, each in a file of its name in the job or company folder.

use std::collections::BTreeMap;
use std::sync::Arc;

use rhai::{AST, Dynamic, Map};

use super::bind::setting_value;
use super::budget::Budget;
use super::fault::ScriptFault;
use super::host::Host;
use super::measures::{dynamic, quantity};
use crate::files::{FoundFile, Layers};
use crate::footing::{Fact, Hooks, RuleAnswer, RuleHook, StepHooks};
use crate::measure::{Quantity, Style};
use crate::problem::{Excerpt, Faults, Outcome, Place, Problem};
use crate::takeoff::Stated;

struct Rule {
    hook: RuleHook,
    script: FoundFile,
    ast: AST,
}

struct ScriptRules {
    host: Arc<Host>,
    /// The settings of the job, for rules with a second input.
    settings: Map,
    rules: Vec<Rule>,
}

/// The rules that scripts of the job or company folder replace.
///
/// # Errors
/// A script cannot be read, or has no function of its name.
pub fn hooks(
    layers: &Layers,
    style: &Style,
    budget: &Budget,
    settings: &BTreeMap<String, Stated>,
) -> Outcome<Hooks> {
    let mut found = Vec::new();
    for hook in RuleHook::ALL {
        let name = format!("scripts/{}.rhai", hook.name());
        if let Some(script) = layers.replaced(&name)? {
            found.push((hook, script));
        }
    }
    if found.is_empty() {
        return Ok(Hooks::default());
    }
    let host = Arc::new(Host::within(layers.clone(), style, budget));
    let mut rules = Vec::new();
    for (hook, script) in found {
        let ast = host.rule(&script, hook.name()).map_err(|fault| match fault {
            ScriptFault::Problems(faults) => faults,
            ScriptFault::NoLayout(..) => Problem::error("a rule cannot lay out steps").into(),
        })?;
        rules.push(Rule { hook, script, ast });
    }
    let setting =
        |(path, stated): (&String, &Stated)| (path.as_str().into(), setting_value(&stated.value));
    let settings = settings.iter().map(setting).collect();
    Ok(Hooks::new(Box::new(ScriptRules { host, settings, rules })))
}

impl ScriptRules {
    fn rule(&self, hook: RuleHook) -> Option<&Rule> {
        self.rules.iter().find(|rule| rule.hook == hook)
    }
}

impl StepHooks for ScriptRules {
    fn by(&self, hook: RuleHook) -> Option<&str> {
        Some(&self.rule(hook)?.script.shown)
    }

    fn asks_where(&self, hook: RuleHook) -> bool {
        // What a rule hands on to another file is not seen here.
        let words = ["station", "zones", ".from", ".to", "import"];
        self.rule(hook).is_some_and(|rule| words.iter().any(|word| rule.script.text.contains(word)))
    }

    fn ask(&self, hook: RuleHook, facts: &[(&'static str, Fact)]) -> Outcome<RuleAnswer> {
        let Some(rule) = self.rule(hook) else { return Ok(RuleAnswer::Nothing) };
        let value = |fact: &Fact| match fact {
            Fact::Length(length) => dynamic(Quantity::length(*length)),
            Fact::Name(name) => name.clone().into(),
            Fact::Count(count) => Dynamic::from(*count),
            Fact::Lengths(lengths) => {
                let lengths = lengths.iter().map(|length| dynamic(Quantity::length(*length)));
                Dynamic::from(lengths.collect::<rhai::Array>())
            }
            Fact::Names(names) => {
                Dynamic::from(names.iter().cloned().map(Dynamic::from).collect::<rhai::Array>())
            }
        };
        let map: Map = facts.iter().map(|(name, fact)| ((*name).into(), value(fact))).collect();
        let settings = super::host::has(&rule.ast, hook.name(), 2).then(|| self.settings.clone());
        let answer = self.host.ask(&rule.ast, &rule.script, hook.name(), map, settings);
        let answer: Dynamic = answer.map_err(|fault| match fault {
            ScriptFault::Problems(faults) => faults,
            ScriptFault::NoLayout(..) => {
                Faults::from(Problem::error("a rule cannot lay out steps"))
            }
        })?;
        if answer.is_unit() {
            return Ok(RuleAnswer::Nothing);
        }
        if let Some(measure) = quantity(&answer) {
            return Ok(RuleAnswer::Measure(measure));
        }
        if let Ok(items) = answer.as_array_ref() {
            let measures: Option<Vec<Quantity>> = items.iter().map(quantity).collect();
            return measures.map(RuleAnswer::Measures).ok_or_else(|| {
                self.place(hook, Problem::error("the list holds something that is not a measure"))
                    .into()
            });
        }
        let name = answer.into_string().map_err(|kind| {
            self.place(hook, Problem::error(format!("the rule answers with a {kind}")))
        })?;
        Ok(RuleAnswer::Name(name))
    }

    fn place(&self, hook: RuleHook, problem: Problem) -> Problem {
        let Some(rule) = self.rule(hook) else { return problem };
        let start = format!("fn {}", hook.name());
        let line = rule.script.text.lines().position(|line| line.trim_start().starts_with(&start));
        match line {
            Some(index) => {
                let line = rule.script.text.lines().nth(index).unwrap_or_default().to_owned();
                let start = line.chars().take_while(|c| c.is_whitespace()).count() + 3;
                problem
                    .at(Place::column(&rule.script.shown, index + 1, start + 1))
                    .marked(Excerpt { line, start, length: hook.name().len() })
            }
            None => problem.at(Place::file(&rule.script.shown)),
        }
    }
}
