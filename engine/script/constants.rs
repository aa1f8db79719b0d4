//! Constants of a file, which its functions may name.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use rhai::{AST, ASTFlags, Engine, Map, Module, Scope, Stmt};

/// The constants of each script that was compiled, by its place.
#[derive(Debug, Clone, Default)]
pub(super) struct Constants(Arc<Mutex<BTreeMap<String, Map>>>);

impl Constants {
    /// Lets functions name them: a variable that is in no scope may be a constant of the file.
    pub(super) fn register(&self, engine: &mut Engine) {
        let constants = self.clone();
        #[expect(deprecated, reason = "marked as one that may change")]
        engine.on_var(move |name, index, context| {
            if index != 0 || context.scope().contains(name) {
                return Ok(None);
            }
            let Some(source) = context.global_runtime_state().source() else { return Ok(None) };
            let known = constants.0.lock().unwrap_or_else(PoisonError::into_inner);
            Ok(known.get(source).and_then(|of_file| of_file.get(name)).cloned())
        });
    }

    /// Notes the constants of a script.
    pub(super) fn note(&self, engine: &Engine, shown: &str, ast: &AST) {
        let constant = |statement: &&Stmt| match statement {
            Stmt::Var(_, flags, _) => flags.intersects(ASTFlags::CONSTANT),
            Stmt::Import(..) => true,
            _ => false,
        };
        let stated: Vec<Stmt> = ast.statements().iter().filter(constant).cloned().collect();
        if !stated.iter().any(|statement| matches!(statement, Stmt::Var(..))) {
            self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(shown);
            return;
        }
        let mut scope = Scope::new();
        let mut stated = AST::new(stated, Module::new());
        stated.set_source(shown);
        // What is wrong with one is told when the script runs.
        let _ = engine.run_ast_with_scope(&mut scope, &stated);
        let known = scope.iter().map(|(name, _, value)| (name.into(), value)).collect();
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(shown.to_owned(), known);
    }
}
