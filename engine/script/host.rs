//! The host of scripts: an engine with limits, and the ways to run a script.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use rhai::{
    AST, ASTNode, Dynamic, Engine, EvalAltResult, Expr, FLOAT, INT, ImmutableString,
    NativeCallContext, OptimizationLevel, Position, Scope, Stmt, Token,
};

use super::budget::Budget;
use super::constants::Constants;
use super::draft::{SheetHandle, TakeoffHandle, with_units};
use super::fault::{ScriptFault, Texts, explain, raise, unreadable};
use super::lower::KnownTrees;
use super::modules::LayerModules;
use super::trace::Trace;
use super::{bind, display, draft, measures, names, over_lists, rows, tests};
use crate::catalogue::{self, Object};
use crate::files::{FoundFile, Layers};
use crate::footing::Layout;
use crate::measure::{Quantity, Style, unit_names};
use crate::problem::{Faults, Place, Problem};
use crate::sheet::{Book, Node, NodeId, Origin};
use crate::takeoff::{ListingSource, SheetDraft, Takeoff, WallJob};

/// Most steps that a script may take.
const MOST_OPERATIONS: u64 = 50_000_000;
/// Longest text of a script, in bytes.
const MOST_TEXT: usize = 1_000_000;
/// Why a script was stopped.
pub(super) const LATE: &str = "late";
pub(super) const PRINTED: &str = "printed";
pub(super) const FULL: &str = "full";
/// Most that scripts may print, in bytes.
const MOST_PRINTED: usize = 1_000_000;

/// What running a script printed and gave.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Printed {
    /// Lines that it printed on its way.
    pub lines: Vec<String>,
    /// Its result, in words; empty for none.
    pub result: String,
}

/// Runs scripts.
pub struct Host {
    engine: Engine,
    /// Reads formulas: the same language without anything to call.
    reader: Engine,
    texts: Arc<Mutex<Texts>>,
    lines: Arc<Mutex<Vec<String>>>,
    /// How much was printed, and whether that is too much.
    said: Arc<(AtomicUsize, AtomicBool)>,
    /// Settings that scripts read.
    asked: Arc<Mutex<BTreeSet<String>>>,
    /// Scripts that were compiled, by their place: text and tree.
    compiled: Mutex<BTreeMap<String, (String, AST)>>,
    /// Trees of formulas by their text, without and with functions of the company.
    pub(super) trees: KnownTrees,
    budget: Budget,
    trace: Arc<Trace>,
    constants: Constants,
    style: Style,
    /// Names of listings and columns beside the bundled ones.
    own_names: Mutex<BTreeSet<String>>,
}

impl Host {
    /// Lets scripts name listings of the job's own.
    pub fn know(&self, listings: &[ListingSource]) {
        let Ok(mut known) = self.own_names.lock() else { return };
        for listing in listings.iter().map(|source| source.declaration) {
            known.insert(listing.name.to_owned());
            known.extend(listing.columns.iter().map(|column| column.name.to_owned()));
        }
    }

    /// Lets them name those that they may name on another host.
    pub(super) fn know_as(&self, other: &Self) {
        let Ok(mut known) = self.own_names.lock() else { return };
        known.extend(other.own_names());
    }

    /// A host for jobs of one style; modules are found in the layers.
    pub fn new(layers: Layers, style: &Style) -> Self {
        Self::within(layers, style, &Budget::default())
    }

    /// The same, on time that it shares with others.
    pub fn within(layers: Layers, style: &Style, budget: &Budget) -> Self {
        let mut engine = Engine::new();
        let texts = Arc::new(Mutex::new(Texts::new()));
        let lines = Arc::new(Mutex::new(Vec::new()));
        let said = Arc::new((AtomicUsize::new(0), AtomicBool::new(false)));
        limits(&mut engine, budget, &said);
        measures::register(&mut engine, style);
        over_lists::register(&mut engine, style);
        let trace = Arc::new(Trace::default());
        bind::register(&mut engine, &trace, style);
        let asked = Arc::new(Mutex::new(BTreeSet::new()));
        draft::register(&mut engine, &asked);
        rows::register(&mut engine, style.system);
        tests::register(&mut engine, style);
        let constants = Constants::default();
        constants.register(&mut engine);
        engine.set_module_resolver(LayerModules::new(layers, texts.clone(), constants.clone()));
        let printed = lines.clone();
        let size = said.clone();
        engine.on_print(move |text| {
            // What is too much stops the script at its next step.
            if size.0.fetch_add(text.len() + 1, Ordering::Relaxed) > MOST_PRINTED {
                size.1.store(true, Ordering::Relaxed);
            } else if let Ok(mut lines) = printed.lock() {
                lines.push(text.to_owned());
            }
        });
        engine.on_debug(|_, _, _| {});
        let mut reader = Engine::new_raw();
        reader.set_optimization_level(OptimizationLevel::None);
        reader.set_max_expr_depths(256, 128);
        reader.set_max_string_size(1_000_000);
        reader.disable_symbol("eval");
        // A table of job.toml has the name of a word that the script language keeps for later.
        #[expect(deprecated, reason = "marked as one that may change")]
        reader.on_parse_token(|token, _, _| match token {
            Token::Reserved(word) if word.as_str() == "module" => Token::Identifier(word),
            other => other,
        });
        Self {
            engine,
            reader,
            texts,
            lines,
            said,
            asked,
            compiled: Mutex::default(),
            trees: KnownTrees::default(),
            budget: budget.clone(),
            trace,
            constants,
            own_names: Mutex::default(),
            style: style.clone(),
        }
    }

    fn texts(&self) -> Texts {
        self.texts.lock().map(|texts| texts.clone()).unwrap_or_default()
    }

    pub(super) fn compile(&self, script: &FoundFile) -> Result<AST, ScriptFault> {
        let known = |compiled: std::sync::MutexGuard<'_, BTreeMap<String, (String, AST)>>| {
            let (text, ast) = compiled.get(&script.shown)?;
            (*text == script.text).then(|| ast.clone())
        };
        if let Some(ast) = self.compiled.lock().ok().and_then(known) {
            return Ok(ast);
        }
        if let Ok(mut texts) = self.texts.lock() {
            texts.insert(script.shown.clone(), script.text.clone());
        }
        let mut ast = self
            .engine
            .compile(&script.text)
            .map_err(|error| ScriptFault::from(unreadable(&error, &script.shown, &self.texts())))?;
        ast.set_source(script.shown.clone());
        self.sound(&ast, script)?;
        self.constants.note(&self.engine, &script.shown, &ast);
        if let Ok(mut compiled) = self.compiled.lock() {
            compiled.insert(script.shown.clone(), (script.text.clone(), ast.clone()));
        }
        Ok(ast)
    }

    /// What is wrong with a script as written; nothing of it runs.
    pub fn faults_as_written(&self, script: &FoundFile) -> Faults {
        match self.compile(script) {
            Err(ScriptFault::Problems(faults)) => faults,
            _ => Faults::none(),
        }
    }

    fn own_names(&self) -> BTreeSet<String> {
        self.own_names.lock().map(|known| known.clone()).unwrap_or_default()
    }

    /// What a script may not hold: numbers beyond all counting, and functions of its own under the name of a bundled one,
    /// which would be taken for it in silence.
    fn sound(&self, ast: &AST, script: &FoundFile) -> Result<(), ScriptFault> {
        let mut faults = Faults::none();
        ast.walk(&mut |path| {
            if let Some(ASTNode::Expr(Expr::FloatConstant(value, position))) = path.last()
                && !value.is_finite()
            {
                let problem = Problem::error("this number is larger than anything that is counted")
                    .help("look at its power of ten");
                faults.push(super::fault::place(problem, &script.shown, *position, &self.texts()));
            }
            true
        });
        for (problem, position) in names::misspelt(ast, &script.text, &self.own_names()) {
            faults.push(super::fault::place(problem, &script.shown, position, &self.texts()));
        }
        for function in ast.iter_functions() {
            let bundled = catalogue::find(function.name).is_some()
                || measures::WORKING.contains(&function.name);
            if bundled {
                faults.push(
                    Problem::error(format!(
                        "a function of this script is called {}, which is the name of a bundled one",
                        function.name
                    ))
                    .at(Place::file(&script.shown))
                    .help("give it another name, so that nobody takes the one for the other"),
                );
            }
        }
        if faults.stop() { Err(faults.into()) } else { Ok(()) }
    }

    fn fault(&self, mut error: Box<EvalAltResult>, script: &FoundFile, ast: &AST) -> ScriptFault {
        // Stopped between two statements: its loop is where to look.
        if matches!(*error, EvalAltResult::ErrorTerminated(_, Position::NONE)) {
            error.set_position(first_loop(ast));
        }
        let mut known: Vec<String> = catalogue::functions().map(|f| f.name.to_owned()).collect();
        // A function without a name of its own is nothing to be meant.
        let own = ast.iter_functions().map(|f| f.name.to_owned());
        known.extend(own.filter(|name| !name.starts_with("anon$")));
        known.extend(unit_names().map(str::to_owned));
        known.extend(measures::words().chain(over_lists::names()).map(str::to_owned));
        explain(&error, &script.shown, &self.texts(), &known)
    }

    /// Runs a wall case: its `fn layout(job)` lays the steps out, the least-cost ones without it, and its
    /// `fn quantities(job, layout)` returns the takeoff; or one `fn takeoff(job)` does both.
    ///
    /// # Errors
    /// The script is faulty, has no such function, returns something else, or no layout is legal.
    pub fn takeoff(&self, script: &FoundFile, job: &Arc<WallJob>) -> Result<Takeoff, ScriptFault> {
        let ast = self.compile(script)?;
        if let Ok(mut asked) = self.asked.lock() {
            asked.clear();
        }
        let job = Object::Job(job.clone());
        let (name, result) = if has(&ast, "takeoff", 1) {
            ("takeoff(job)", self.call(&ast, script, "takeoff", (job,))?)
        } else if has(&ast, "quantities", 2) {
            let layout = self.laid_out(&ast, script, job.clone())?;
            ("quantities(job, layout)", self.call(&ast, script, "quantities", (job, layout))?)
        } else {
            return Err(Problem::error(
                "a wall case needs fn quantities(job, layout), and this script has none",
            )
            .at(Place::file(&script.shown))
            .into());
        };
        match result.try_cast::<TakeoffHandle>() {
            Some(TakeoffHandle(mut takeoff)) => {
                takeoff.asked = self.asked.lock().map(|asked| asked.clone()).unwrap_or_default();
                Ok(takeoff)
            }
            None => Err(Problem::error(format!("fn {name} must return the takeoff that it built"))
                .at(Place::file(&script.shown))
                .help("begin with let t = new_takeoff(job, layout); and end with t")
                .into()),
        }
    }

    /// The layout that a wall case chooses, where it says so apart from its quantities.
    ///
    /// # Errors
    /// The script is faulty, or no layout is legal.
    pub fn layout(
        &self,
        script: &FoundFile,
        job: &Arc<WallJob>,
    ) -> Result<Option<Arc<Layout>>, ScriptFault> {
        let ast = self.compile(script)?;
        if has(&ast, "takeoff", 1) {
            return Ok(None);
        }
        let layout = self.laid_out(&ast, script, Object::Job(job.clone()))?;
        Ok(match layout.try_cast::<Object>() {
            Some(Object::Layout(layout)) => Some(layout),
            _ => None,
        })
    }

    /// The layout of a case's `fn layout(job)`, or the least-cost one.
    fn laid_out(&self, ast: &AST, script: &FoundFile, job: Object) -> Result<Dynamic, ScriptFault> {
        if has(ast, "layout", 1) {
            return self.call(ast, script, "layout", (job,));
        }
        let usual = self.engine.compile("least_cost_steps(job, ground_lines(job))");
        let usual = usual.map_err(|error| unreadable(&error, &script.shown, &self.texts()))?;
        let mut scope = Scope::new();
        scope.push_constant("job", job);
        self.eval(&mut scope, &usual, script)
    }

    /// Runs a wall case on another layout: its `fn quantities(job, layout)`, if it has one.
    ///
    /// # Errors
    /// The script is faulty, or returns something else.
    pub fn quantities(
        &self,
        script: &FoundFile,
        job: &Arc<WallJob>,
        layout: &Arc<Layout>,
    ) -> Result<Option<Takeoff>, ScriptFault> {
        let ast = self.compile(script)?;
        if !has(&ast, "quantities", 2) {
            return Ok(None);
        }
        let args = (Object::Job(job.clone()), Object::Layout(layout.clone()));
        match self.call(&ast, script, "quantities", args)?.try_cast::<TakeoffHandle>() {
            Some(TakeoffHandle(takeoff)) => Ok(Some(takeoff)),
            None => Err(Problem::error(
                "fn quantities(job, layout) must return the takeoff that it built",
            )
            .at(Place::file(&script.shown))
            .into()),
        }
    }

    /// A script with a rule of one input, compiled.
    ///
    /// # Errors
    /// The script is faulty, or has no such function.
    pub(super) fn rule(&self, script: &FoundFile, name: &str) -> Result<AST, ScriptFault> {
        let ast = self.compile(script)?;
        if has(&ast, name, 1) || has(&ast, name, 2) {
            return Ok(ast);
        }
        Err(Problem::error(format!("this script replaces a rule and needs fn {name}(...)"))
            .at(Place::file(&script.shown))
            .into())
    }

    /// Asks a rule.
    ///
    /// # Errors
    /// The script is faulty.
    pub(super) fn ask(
        &self,
        ast: &AST,
        script: &FoundFile,
        name: &str,
        facts: rhai::Map,
        settings: Option<rhai::Map>,
    ) -> Result<Dynamic, ScriptFault> {
        match settings {
            Some(settings) => self.call(ast, script, name, (facts, settings)),
            None => self.call(ast, script, name, (facts,)),
        }
    }

    /// Runs a sheet script: its `fn sheet(job, takeoff)` or `fn sheet(job, takeoff, cells)` returns a sheet, or nothing where it
    /// only looks at the job.
    ///
    /// # Errors
    /// The script is faulty, has no such function, or returns something else.
    pub fn sheet(
        &self,
        script: &FoundFile,
        takeoff: &Takeoff,
        cells: &Book,
    ) -> Result<Option<SheetDraft>, ScriptFault> {
        let ast = self.compile(script)?;
        let whole = Place::file(&script.shown);
        let (job, handle) = (Object::Job(takeoff.job.clone()), TakeoffHandle(takeoff.clone()));
        let result = if has(&ast, "sheet", 3) {
            self.call(&ast, script, "sheet", (job, handle, cells_of(cells)))?
        } else if has(&ast, "sheet", 2) {
            self.call(&ast, script, "sheet", (job, handle))?
        } else {
            return Err(Problem::error(
                "a sheet script needs fn sheet(job, takeoff), and this one has none",
            )
            .at(whole)
            .into());
        };
        if result.is_unit() {
            return Ok(None);
        }
        match result.try_cast::<SheetHandle>() {
            Some(SheetHandle(sheet)) => {
                let sheet = SheetDraft { script: script.shown.clone(), ..sheet };
                Ok(Some(with_units(sheet, &self.style)))
            }
            None => Err(Problem::error(
                "fn sheet(job, takeoff) must return the sheet that it built, or () for none",
            )
            .at(whole)
            .help("begin with let s = new_sheet(\"Title\", [\"what\", \"amount\"]); and end with s")
            .into()),
        }
    }

    /// Whether a script is a wall case.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn is_case(&self, script: &FoundFile) -> Result<bool, ScriptFault> {
        let ast = self.compile(script)?;
        Ok(has(&ast, "takeoff", 1) || has(&ast, "quantities", 2))
    }

    /// A takeoff in words.
    pub fn show(&self, takeoff: &Takeoff) -> String {
        let handle = Dynamic::from(TakeoffHandle(takeoff.clone()));
        display(&handle, &self.style)
    }

    /// Runs any script but a wall case: its `fn sheet` on the takeoff if it has one, else its statements.
    ///
    /// # Errors
    /// The script is faulty, or needs a job and there is none.
    pub fn run(
        &self,
        script: &FoundFile,
        on: Option<(&Arc<WallJob>, &Takeoff, &Book)>,
    ) -> Result<Printed, ScriptFault> {
        let ast = self.compile(script)?;
        let is_case = has(&ast, "takeoff", 1) || has(&ast, "quantities", 2);
        let is_sheet = has(&ast, "sheet", 2) || has(&ast, "sheet", 3);
        let needs_job = is_sheet || is_case;
        let value = match on {
            Some((_, takeoff, cells)) if is_sheet => {
                let sheet = self.sheet(script, takeoff, cells)?;
                sheet.map_or(Dynamic::UNIT, |sheet| Dynamic::from(SheetHandle(sheet)))
            }
            _ if needs_job => {
                return Err(Problem::error("this script works on a job")
                    .at(Place::file(&script.shown))
                    .help("name the job: rodbook run FILE.rhai JOB")
                    .into());
            }
            _ => {
                let mut scope = Scope::new();
                if let Some((job, takeoff, cells)) = on {
                    scope.push_constant("job", Object::Job(job.clone()));
                    scope.push_constant("takeoff", TakeoffHandle(takeoff.clone()));
                    scope.push_constant("cells", cells_of(cells));
                }
                self.eval(&mut scope, &ast, script)?
            }
        };
        let lines = self.printed();
        Ok(Printed { lines, result: display(&value, &self.style) })
    }

    /// Lists calls of trade functions from now on.
    pub fn begin_trace(&self) {
        self.trace.begin();
    }

    /// Each call since then: its place, inputs and result.
    pub fn end_trace(&self) -> Vec<String> {
        self.trace.end()
    }

    /// What scripts printed since it was last asked.
    pub fn printed(&self) -> Vec<String> {
        self.lines.lock().map(|mut lines| std::mem::take(&mut *lines)).unwrap_or_default()
    }

    /// Forgets what its last job printed.
    pub(super) fn rest(&self) {
        self.printed();
        self.said.0.store(0, Ordering::Relaxed);
        self.said.1.store(false, Ordering::Relaxed);
    }

    /// The time that its scripts share with others.
    pub(super) fn budget(&self) -> &Budget {
        &self.budget
    }

    /// All time is there again.
    pub(super) fn renew(&self) {
        self.budget.renew();
    }

    /// The value of a script's statements, with what a scope holds.
    ///
    /// # Errors
    /// The script is faulty.
    pub(super) fn eval(
        &self,
        scope: &mut Scope,
        ast: &AST,
        script: &FoundFile,
    ) -> Result<Dynamic, ScriptFault> {
        let result = self.budget.spend(|| self.engine.eval_ast_with_scope::<Dynamic>(scope, ast));
        result.map_err(|error| self.fault(error, script, ast))
    }

    /// Parses a formula.
    pub(super) fn parse(&self, text: &str) -> Result<AST, rhai::ParseError> {
        self.reader.compile(text)
    }

    /// Reads a measure from text.
    pub(super) fn read_measure(&self, text: &str) -> Result<Quantity, Problem> {
        measures::read(text, &self.style)
    }

    /// A number with a unit, if the word is one.
    pub(super) fn known_literal(&self, value: f64, unit: &str) -> Option<Quantity> {
        crate::measure::known_unit(unit)?;
        measures::literal(value, unit, &self.style.currency).ok()
    }

    /// How measures are read and written.
    pub(super) fn style(&self) -> &Style {
        &self.style
    }

    /// A value in the units of the host.
    pub(super) fn words(&self, value: &Dynamic) -> String {
        display(value, &self.style)
    }

    /// Calls a function.
    pub(super) fn call(
        &self,
        ast: &AST,
        script: &FoundFile,
        name: &str,
        args: impl rhai::FuncArgs,
    ) -> Result<Dynamic, ScriptFault> {
        let result = self
            .budget
            .spend(|| self.engine.call_fn::<Dynamic>(&mut Scope::new(), ast, name, args));
        result.map_err(|error| self.fault(error, script, ast))
    }
}

/// Where the first loop of a script stands.
fn first_loop(ast: &AST) -> Position {
    let mut found = Position::NONE;
    ast.walk(&mut |path| {
        if let Some(ASTNode::Stmt(Stmt::While(..) | Stmt::Do(..) | Stmt::For(..))) = path.last() {
            found = path.last().map_or(Position::NONE, ASTNode::position);
        }
        found.is_none()
    });
    found
}

/// The cells of the calc sheets that have a value, by their full names.
fn cells_of(book: &Book) -> rhai::Map {
    let cell = |(id, node): (NodeId, &Node)| {
        let is_cell = matches!(node.origin, Origin::Cell { .. });
        let value = book.value(id).filter(|_| is_cell)?;
        Some((node.name.as_str().into(), bind::script_value(value)))
    };
    (0..).zip(book.nodes()).filter_map(cell).collect()
}

pub(super) fn has(ast: &AST, name: &str, inputs: usize) -> bool {
    ast.iter_functions().any(|function| function.name == name && function.params.len() == inputs)
}

/// No files, no clock; bounded steps, time, memory and depth.
fn limits(engine: &mut Engine, budget: &Budget, said: &Arc<(AtomicUsize, AtomicBool)>) {
    engine.set_fast_operators(false);
    engine.set_fail_on_invalid_map_property(true);
    engine.set_max_operations(MOST_OPERATIONS);
    engine.set_max_call_levels(48);
    engine.set_max_expr_depths(256, 128);
    engine.set_max_array_size(100_000);
    engine.set_max_map_size(100_000);
    engine.set_max_string_size(MOST_TEXT);
    engine.set_max_modules(64);
    engine.disable_symbol("eval");
    let (budget, said) = (budget.clone(), said.clone());
    // The language counts the steps of a function that is passed on, such as to `filter`, apart; and one step may go
    // through a list of 100,000.
    let asked = AtomicUsize::new(0);
    engine.on_progress(move |_| {
        if said.1.load(Ordering::Relaxed) {
            return Some(Dynamic::from(PRINTED));
        }
        let count = asked.fetch_add(1, Ordering::Relaxed);
        if count.is_multiple_of(2048) && budget.full() {
            return Some(Dynamic::from(FULL));
        }
        (count.is_multiple_of(64) && budget.over()).then(|| Dynamic::from(LATE))
    });
    let no_clock = |ctx: NativeCallContext| -> Result<(), Box<EvalAltResult>> {
        Err(raise(Problem::error("scripts cannot wait or read a clock"), ctx.call_position()))
    };
    engine.register_fn("sleep", move |ctx: NativeCallContext, _: INT| no_clock(ctx));
    engine.register_fn("sleep", move |ctx: NativeCallContext, _: FLOAT| no_clock(ctx));
    // The language checks the size of what a function gives, and this one changes its text in place.
    let replace = |ctx: NativeCallContext, text: &mut ImmutableString, old: &str, new: &str| {
        let found =
            if old.is_empty() { text.chars().count() + 1 } else { text.matches(old).count() };
        let size = text.len().saturating_add(found.saturating_mul(new.len()));
        if size > MOST_TEXT {
            let problem = Problem::error("the script asks for too much memory: length of a text");
            return Err(raise(problem, ctx.call_position()));
        }
        *text = text.replace(old, new).into();
        Ok(())
    };
    engine.register_fn("replace", replace);
    let letter = move |ctx: NativeCallContext, text: &mut ImmutableString, old: char, new: &str| {
        replace(ctx, text, &old.to_string(), new)
    };
    engine.register_fn("replace", letter);
    engine.register_fn("timestamp", move |ctx: NativeCallContext| no_clock(ctx));
}
