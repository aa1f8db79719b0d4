//! Formulas of calc sheets: parsed as expressions of the script language and lowered to the sheets' own tree.
//! What the tree does not express is kept and evaluated by the script language.

use std::collections::BTreeMap;
use std::sync::Mutex;

use rhai::{AST, ASTFlags, ASTNode, BinaryExpr, Dynamic, Expr, FnCallExpr, Position, Scope, Stmt};

use super::bind::{from_script, script_value};
use super::draft::TakeoffHandle;
use super::fault::{ScriptFault, unreadable};
use super::host::Host;
use crate::catalogue::{self, Object, Value};
use crate::files::{FoundFile, LayerOrigin};
use crate::measure::{Dimension, Quantity, read_date, written};
use crate::problem::{Excerpt, Problem};
use crate::sheet::{Builtin, Callee, Formula, Language, Name, Opaque, Operator};
use crate::takeoff::Takeoff;

/// File of a company or job whose functions every formula may call.
pub const FUNCTIONS: &str = "scripts/functions.rhai";

/// Trees of formulas that were read before, by their text: without functions of the company, and with them.
#[derive(Debug, Default)]
pub(super) struct KnownTrees(Mutex<[BTreeMap<String, Formula>; 2]>);

impl KnownTrees {
    /// The formulas of the sheets of a job are kept, not those of a table of a hundred thousand rows.
    const MOST: usize = 2_000;

    fn get(&self, text: &str, functions: bool) -> Option<Formula> {
        self.0.lock().ok()?[usize::from(functions)].get(text).cloned()
    }

    fn keep(&self, text: &str, functions: bool, formula: &Formula) {
        let Ok(mut all) = self.0.lock() else { return };
        let known = &mut all[usize::from(functions)];
        if known.len() < Self::MOST {
            known.insert(text.to_owned(), formula.clone());
        }
    }
}

/// The language of formulas on a job, or alone.
pub struct Formulas<'a> {
    host: &'a Host,
    takeoff: Option<&'a Takeoff>,
    functions: Option<(FoundFile, AST)>,
    kept: Mutex<Vec<AST>>,
    only_script: bool,
}

impl<'a> Formulas<'a> {
    /// Formulas that may use the results of a takeoff and the functions of a script.
    ///
    /// # Errors
    /// The script of functions is faulty.
    pub fn new(
        host: &'a Host,
        takeoff: Option<&'a Takeoff>,
        functions: Option<FoundFile>,
    ) -> Result<Self, ScriptFault> {
        let functions = match functions {
            Some(found) => {
                let ast = host.compile(&found)?;
                Some((found, ast))
            }
            None => None,
        };
        let kept = Mutex::new(Vec::new());
        Ok(Self { host, takeoff, functions, kept, only_script: false })
    }

    /// The same without the tree: every formula is evaluated by the script language. Slow; it checks the tree.
    #[must_use]
    pub fn only_script(self) -> Self {
        Self { only_script: true, ..self }
    }

    fn script_function(&self, name: &str, inputs: usize) -> bool {
        self.functions.as_ref().is_some_and(|(_, ast)| {
            ast.iter_functions().any(|known| known.name == name && known.params.len() == inputs)
        })
    }

    /// Keeps a formula that the tree does not express.
    fn opaque(&self, ast: &AST, text: &str) -> Formula {
        let names = names(ast);
        let whole = match &self.functions {
            Some((_, functions)) => functions.merge(ast),
            None => ast.clone(),
        };
        let mut kept = self.kept.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        kept.push(whole);
        let index = kept.len() - 1;
        Formula::Opaque(Box::new(Opaque { index, text: text.to_owned(), names, nodes: Vec::new() }))
    }

    fn expression(&self, expr: &Expr) -> Option<Formula> {
        #[expect(
            clippy::cast_precision_loss,
            reason = "larger whole numbers are left to the script language"
        )]
        Some(match expr {
            Expr::IntegerConstant(whole, _) if whole.unsigned_abs() < 1 << 53 => {
                Formula::Number(*whole as f64)
            }
            Expr::FloatConstant(value, _) => Formula::Number(**value),
            Expr::BoolConstant(flag, _) => Formula::Flag(*flag),
            Expr::StringConstant(text, _) => Formula::Text(text.to_string()),
            Expr::DynamicConstant(value, _) => constant(value)?,
            Expr::Array(items, _) => Formula::List(
                items.iter().map(|item| self.expression(item)).collect::<Option<_>>()?,
            ),
            Expr::Variable(name, _, position) if name.2.is_empty() => {
                Formula::Name(Name { path: vec![name.1.to_string()], at: column(*position) })
            }
            Expr::Dot(..) | Expr::Index(..) => self.chain(expr)?,
            Expr::And(items, _) => self.several(Operator::And, items)?,
            Expr::Or(items, _) => self.several(Operator::Or, items)?,
            Expr::FnCall(call, _) => self.call(call)?,
            Expr::Stmt(block) => match &block.statements() {
                [one] => self.statement(one)?,
                _ => return None,
            },
            _ => return None,
        })
    }

    fn several(&self, operator: Operator, items: &[Expr]) -> Option<Formula> {
        let mut parts = items.iter().map(|item| self.expression(item));
        let first = parts.next()??;
        parts.try_fold(first, |a, b| Some(Formula::Binary(operator, Box::new(a), Box::new(b?))))
    }

    fn statement(&self, statement: &Stmt) -> Option<Formula> {
        match statement {
            Stmt::Expr(expr) => self.expression(expr),
            Stmt::FnCall(call, _) => self.call(call),
            Stmt::Block(block) => match block.statements() {
                [one] => self.statement(one),
                _ => None,
            },
            Stmt::If(flow, _) => {
                let [first] = flow.body.statements() else { return None };
                let [second] = flow.branch.statements() else { return None };
                Some(Formula::Choice(
                    Box::new(self.expression(&flow.expr)?),
                    Box::new(self.statement(first)?),
                    Box::new(self.statement(second)?),
                ))
            }
            _ => None,
        }
    }

    fn call(&self, call: &FnCallExpr) -> Option<Formula> {
        if !call.namespace.is_empty() || call.capture_parent_scope {
            return None;
        }
        if call.name == "q"
            && let [Expr::StringConstant(text, _)] = &call.args[..]
        {
            return Some(Formula::Measure(self.host.read_measure(text).ok()?, text.to_string()));
        }
        if call.name == "date"
            && let [Expr::StringConstant(text, _)] = &call.args[..]
        {
            return Some(Formula::Measure(read_date(text).ok()?, text.to_string()));
        }
        let inputs: Vec<Formula> =
            call.args.iter().map(|input| self.expression(input)).collect::<Option<_>>()?;
        self.apply(&call.name, inputs)
    }

    /// A call with lowered inputs.
    fn apply(&self, name: &str, mut inputs: Vec<Formula>) -> Option<Formula> {
        if let (Some(operator), 2) = (Operator::of(name), inputs.len()) {
            let b = Box::new(inputs.pop()?);
            let a = Box::new(inputs.pop()?);
            return Some(Formula::Binary(operator, a, b));
        }
        match (name, inputs.len()) {
            ("-", 1) => return Some(Formula::Negative(Box::new(inputs.pop()?))),
            ("+", 1) => return inputs.pop(),
            ("!", 1) => return Some(Formula::Not(Box::new(inputs.pop()?))),
            ("**", 2) => {
                let Formula::Number(n) = inputs.pop()? else { return None };
                if n == 0.5 {
                    return Some(Formula::Call(Callee::Builtin(Builtin::Root), inputs));
                }
                let whole = (-6..=6_i8).find(|whole| f64::from(*whole) == n)?;
                return Some(Formula::Power(Box::new(inputs.pop()?), whole));
            }
            _ => {}
        }
        if self.script_function(name, inputs.len()) {
            return Some(Formula::Call(Callee::Script(name.to_owned()), inputs));
        }
        let callee = match Builtin::named(name, inputs.len()) {
            Some(builtin) => Callee::Builtin(builtin),
            // Of a list: the least or greatest of all.
            None if inputs.len() == 1 && matches!(name, "min" | "max") => {
                Callee::Builtin(if name == "min" { Builtin::Least } else { Builtin::Greatest })
            }
            None => Callee::Trade(catalogue::find(name)?),
        };
        Some(Formula::Call(callee, inputs))
    }

    /// `12.ft`, `price.total`, `job["prices.dig"]`, `x.round_up(0.5.cy)`.
    fn chain(&self, expr: &Expr) -> Option<Formula> {
        let mut links = Vec::new();
        let base = links_of(expr, &mut links);
        let mut links = links.into_iter();
        let mut formula = self.expression(base)?;
        // Settings and lines by their whole path in brackets.
        if let (Formula::Name(name), [Link::Index(Expr::StringConstant(path, _)), ..]) =
            (&formula, links.as_slice())
            && matches!(name.path[..], [ref one] if one == "job" || one == "takeoff")
        {
            let mut words: Vec<String> = path.split('.').map(str::to_owned).collect();
            if name.path[0] == "takeoff" {
                words.insert(0, "takeoff".to_owned());
            }
            formula = Formula::Name(Name { path: words, at: name.at });
            links.next();
        }
        for link in links {
            formula = match link {
                Link::Property(name) => self.property(formula, name)?,
                Link::Method(call) => {
                    let mut inputs = vec![formula];
                    for input in &call.args {
                        inputs.push(self.expression(input)?);
                    }
                    self.apply(&call.name, inputs)?
                }
                // One wall of a cell that there is for each.
                Link::Index(Expr::StringConstant(wall, _)) => match formula {
                    Formula::Name(mut name) => {
                        name.path.push(wall.to_string());
                        Formula::Name(name)
                    }
                    _ => return None,
                },
                // A row by its number is called so; rows are counted as they are shown.
                Link::Index(Expr::IntegerConstant(row, _)) => match formula {
                    Formula::Name(mut name) => {
                        name.path.push(row.to_string());
                        Formula::Name(name)
                    }
                    _ => return None,
                },
                Link::Index(_) => return None,
            };
        }
        Some(formula)
    }

    fn property(&self, formula: Formula, name: &str) -> Option<Formula> {
        Some(match formula {
            Formula::Number(value) => {
                let unit = if name == "inch" { "in" } else { name };
                let quantity = self.host.known_literal(value, unit)?;
                if quantity.dimension() == Dimension::NUMBER {
                    let one = self.host.known_literal(1.0, unit)?;
                    Formula::Unit(Box::new(Formula::Number(value)), one, unit.to_owned())
                } else {
                    Formula::Measure(quantity, format!("{} {unit}", written(value)))
                }
            }
            Formula::Name(mut known) => {
                known.path.push(name.to_owned());
                Formula::Name(known)
            }
            of => {
                let unit = if name == "inch" { "in" } else { name };
                match self.host.known_literal(1.0, unit) {
                    Some(one) if !one.dimension().point => {
                        Formula::Unit(Box::new(of), one, unit.to_owned())
                    }
                    Some(_) => return None,
                    None => Formula::Field(Box::new(of), name.to_owned()),
                }
            }
        })
    }
}

fn constant(value: &Dynamic) -> Option<Formula> {
    match from_script(value)? {
        Value::Number(number) => Some(Formula::Number(number)),
        Value::Text(text) => Some(Formula::Text(text)),
        Value::Flag(flag) => Some(Formula::Flag(flag)),
        Value::List(items) => {
            let one = |item: Value| match item {
                Value::Number(number) => Some(Formula::Number(number)),
                Value::Text(text) => Some(Formula::Text(text)),
                _ => None,
            };
            items.into_iter().map(one).collect::<Option<_>>().map(Formula::List)
        }
        _ => None,
    }
}

/// One step of a chain.
enum Link<'e> {
    Property(&'e str),
    Method(&'e FnCallExpr),
    Index(&'e Expr),
}

/// The base of a chain and its links.
fn links_of<'e>(expr: &'e Expr, links: &mut Vec<Link<'e>>) -> &'e Expr {
    match expr {
        Expr::Dot(pair, flags, _) => {
            let base = links_of(&pair.lhs, links);
            rest(pair, *flags, false, links);
            base
        }
        Expr::Index(pair, flags, _) => {
            let base = links_of(&pair.lhs, links);
            rest(pair, *flags, true, links);
            base
        }
        other => other,
    }
}

/// The links on the right side of a pair: one, or one and the rest of the chain.
fn rest<'e>(pair: &'e BinaryExpr, flags: ASTFlags, indexed: bool, links: &mut Vec<Link<'e>>) {
    let link = |expr: &'e Expr, indexed: bool| match expr {
        expr if indexed => Link::Index(expr),
        Expr::Property(names, _) => Link::Property(&names.2),
        Expr::MethodCall(call, _) => Link::Method(call),
        expr => Link::Index(expr),
    };
    match &pair.rhs {
        Expr::Dot(next, further, _) if !flags.contains(ASTFlags::BREAK) => {
            links.push(link(&next.lhs, indexed));
            rest(next, *further, false, links);
        }
        Expr::Index(next, further, _) if !flags.contains(ASTFlags::BREAK) => {
            links.push(link(&next.lhs, indexed));
            rest(next, *further, true, links);
        }
        expr => links.push(link(expr, indexed)),
    }
}

fn column(position: Position) -> usize {
    position.position().map_or(0, |column| column - 1)
}

/// Every name of a formula that may be a cell or an input.
fn names(ast: &AST) -> Vec<Name> {
    let mut found: Vec<Name> = Vec::new();
    ast.walk(&mut |path| {
        let name = match path[path.len() - 1] {
            ASTNode::Expr(expr @ Expr::Dot(..)) => {
                let mut links = Vec::new();
                match links_of(expr, &mut links) {
                    Expr::Variable(name, _, position) => {
                        let mut words = vec![name.1.to_string()];
                        words.extend(links.iter().map_while(|link| match link {
                            Link::Property(word) => Some((*word).to_owned()),
                            _ => None,
                        }));
                        Some(Name { path: words, at: column(*position) })
                    }
                    _ => None,
                }
            }
            ASTNode::Expr(Expr::Variable(name, _, position)) => {
                Some(Name { path: vec![name.1.to_string()], at: column(*position) })
            }
            _ => None,
        };
        if let Some(name) = name
            && !found.iter().any(|known| known.at == name.at && known.path.len() >= name.path.len())
        {
            found.push(name);
        }
        true
    });
    found
}

/// A problem of a fault of the script language.
fn problem_of(fault: ScriptFault) -> Problem {
    match fault {
        ScriptFault::Problems(faults) => faults
            .into_vec()
            .into_iter()
            .next()
            .unwrap_or_else(|| Problem::error("the formula is faulty")),
        ScriptFault::NoLayout(..) => Problem::error("no layout of steps is legal"),
    }
}

impl Language for Formulas<'_> {
    fn lower(&self, text: &str) -> Result<Formula, Problem> {
        let functions = self.functions.is_some();
        if !self.only_script
            && let Some(known) = self.host.trees.get(text, functions)
        {
            return Ok(known);
        }
        if let Some(problem) = super::slips::other_base(text) {
            return Err(problem);
        }
        let ast = self.host.parse(text).map_err(|error| {
            let mut problem = unreadable(&error, text, &super::fault::Texts::new());
            problem.place = None;
            problem.message =
                problem.message.replace("the script", "the formula").replace("Script is", "it is");
            if let Some(help) = super::slips::help(text) {
                problem.message = "the formula cannot be read".to_owned();
                problem = problem.help(help);
            }
            let start = column(error.position());
            problem.excerpt = Some(Excerpt { line: text.to_owned(), start, length: 1 });
            problem
        })?;
        let one = match ast.statements() {
            [one] => one,
            [] => return Err(Problem::error("the formula is empty")),
            _ => {
                return Err(Problem::error("a formula is one expression")
                    .help("put the steps into cells of their own, or into a function of scripts/functions.rhai"));
            }
        };
        if !matches!(
            one,
            Stmt::Expr(_) | Stmt::FnCall(..) | Stmt::If(..) | Stmt::Switch(..) | Stmt::Block(_)
        ) {
            return Err(Problem::error("a formula is one expression")
                .help("put the steps into cells of their own, or into a function of scripts/functions.rhai"));
        }
        let lowered = self.statement(one).filter(|formula| !self.only_script || formula.is_typed());
        let Some(lowered) = lowered else { return Ok(self.opaque(&ast, text)) };
        self.host.trees.keep(text, functions, &lowered);
        Ok(lowered)
    }

    fn measure(&self, text: &str) -> Option<Quantity> {
        let begins =
            text.trim_start().starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '.'));
        if !begins {
            return None;
        }
        self.host.read_measure(text).ok()
    }

    fn evaluate(&self, opaque: &Opaque, known: &[(Name, Value)]) -> Result<Value, Problem> {
        let ast = {
            let kept = self.kept.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            kept.get(opaque.index).cloned()
        };
        let Some(ast) = ast else { return Err(Problem::error("the formula is lost")) };
        let mut scope = Scope::new();
        if let Some(takeoff) = self.takeoff {
            scope.push_constant("job", Object::Job(takeoff.job.clone()));
            scope.push_constant("takeoff", TakeoffHandle(takeoff.clone()));
        }
        let mut maps = rhai::Map::new();
        for (name, value) in known {
            put(&mut maps, &name.path, script_value(value.clone()));
        }
        for (name, value) in maps {
            scope.push_constant_dynamic(name.as_str(), value);
        }
        let script = FoundFile {
            origin: LayerOrigin::Job,
            shown: "formula".to_owned(),
            text: opaque.text.clone(),
        };
        let value = self.host.eval(&mut scope, &ast, &script).map_err(|fault| {
            let mut problem = problem_of(fault);
            problem.place = None;
            problem
        })?;
        result(&value)
    }

    fn call(&self, name: &str, inputs: &[Value]) -> Result<Value, Problem> {
        let Some((script, ast)) = &self.functions else {
            return Err(Problem::error(format!("there is no function {name}")));
        };
        let inputs: Vec<Dynamic> = inputs.iter().cloned().map(script_value).collect();
        let value = self.host.call(ast, script, name, inputs).map_err(problem_of)?;
        result(&value)
    }

    fn usual_unit(&self, dimension: Dimension) -> String {
        self.host.style().unit(dimension)
    }
}

fn result(value: &Dynamic) -> Result<Value, Problem> {
    from_script(value).ok_or_else(|| {
        Problem::error("a formula gives one value: a measure, a number, a text, or yes or no")
            .help("take one result of several with a dot")
    })
}

/// Puts a value under a path of names.
fn put(map: &mut rhai::Map, path: &[String], value: Dynamic) {
    let Some((first, rest)) = path.split_first() else { return };
    if rest.is_empty() {
        map.insert(first.as_str().into(), value);
        return;
    }
    let entry = map.entry(first.as_str().into()).or_insert_with(|| Dynamic::from(rhai::Map::new()));
    if !entry.is_map() {
        *entry = Dynamic::from(rhai::Map::new());
    }
    if let Some(mut inner) = entry.write_lock::<rhai::Map>() {
        put(&mut inner, rest, value);
    }
}
