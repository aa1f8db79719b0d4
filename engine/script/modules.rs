//! `import`: scripts find each other by name in the layers, and never leave them.

use std::sync::{Arc, Mutex};

use rhai::{Engine, EvalAltResult, Module, ModuleResolver, Position, Scope, Shared};

use super::constants::Constants;
use super::fault::{Texts, raise, unreadable};
use crate::files::Layers;
use crate::problem::Problem;

/// Before the name of a script: the bundled one, whatever the job or company has under the name.
const BUNDLED: &str = "bundled/";

/// Finds modules in the layers.
pub(super) struct LayerModules {
    pub(super) layers: Layers,
    pub(super) texts: Arc<Mutex<Texts>>,
    loading: Mutex<Vec<String>>,
    constants: Constants,
}

impl LayerModules {
    pub(super) fn new(layers: Layers, texts: Arc<Mutex<Texts>>, constants: Constants) -> Self {
        Self { layers, texts, loading: Mutex::new(Vec::new()), constants }
    }

    fn load(
        &self,
        engine: &Engine,
        name: &str,
        position: Position,
    ) -> Result<Shared<Module>, Box<EvalAltResult>> {
        let first = |faults: crate::problem::Faults| {
            let problem = faults.into_vec().into_iter().next();
            let mut problem = problem.unwrap_or_else(|| Problem::error("it cannot be found"));
            // The import stands in the script; that is the place to look at.
            problem.place = None;
            problem.message = format!("import \"{name}\": {}", problem.message);
            raise(problem, position)
        };
        // What a script of the job or company replaces, under the same name.
        let found = match name.strip_prefix(BUNDLED) {
            Some(own) => Layers::bundled(&format!("scripts/{own}.rhai")).map_err(first)?,
            None => self.layers.find(&format!("scripts/{name}.rhai")).map_err(first)?,
        };
        if let Ok(mut texts) = self.texts.lock() {
            texts.insert(found.shown.clone(), found.text.clone());
        }
        let mut ast = engine.compile(&found.text).map_err(|error| {
            let texts = self.texts.lock().map(|texts| texts.clone()).unwrap_or_default();
            raise(unreadable(&error, &found.shown, &texts), position)
        })?;
        self.constants.note(engine, &found.shown, &ast);
        ast.set_source(found.shown);
        Module::eval_ast_as_new(Scope::new(), &ast, engine).map(Into::into)
    }
}

impl ModuleResolver for LayerModules {
    fn resolve(
        &self,
        engine: &Engine,
        _source: Option<&str>,
        path: &str,
        position: Position,
    ) -> Result<Shared<Module>, Box<EvalAltResult>> {
        {
            let Ok(mut loading) = self.loading.lock() else {
                return Err(raise(Problem::error("modules cannot be loaded any more"), position));
            };
            if loading.iter().any(|name| name == path) {
                loading.push(path.to_owned());
                let chain = loading.join(" imports ");
                loading.clear();
                return Err(raise(
                    Problem::error(format!("scripts import each other in a circle: {chain}")),
                    position,
                ));
            }
            loading.push(path.to_owned());
        }
        let module = self.load(engine, path, position);
        if let Ok(mut loading) = self.loading.lock() {
            loading.pop();
        }
        module
    }
}
