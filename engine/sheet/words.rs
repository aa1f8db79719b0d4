//! Numbers with their units, and derivations with the numbers put in.

use std::collections::BTreeSet;

use super::book::{Book, NodeId, Origin};
use super::check::Type;
use super::columns::item_by_item;
use super::formula::{Builtin, Callee, CellColumn, Formula, Operator};
use crate::catalogue::Value;
use crate::measure::{Quantity, amount, written};
use crate::problem::closest;

/// Any value, a measure in a unit.
pub(super) fn value_words(value: &Value, name: &str) -> String {
    match value {
        Value::Measure(quantity) => amount(*quantity, name),
        Value::Number(number) => amount(Quantity::number(*number), name),
        Value::Text(text) => text.clone(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::Nothing => "nothing".to_owned(),
        Value::List(items) => {
            let items: Vec<String> = items.iter().map(|item| value_words(item, name)).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Record(fields) => {
            let fields =
                fields.iter().map(|(field, value)| format!("{field} {}", value_words(value, "")));
            fields.collect::<Vec<_>>().join(", ")
        }
        Value::Object(_) => "an object of the job".to_owned(),
    }
}

impl Book {
    /// The value of a node as a person reads it; empty for none.
    pub fn words(&self, id: NodeId) -> String {
        self.value(id).map_or_else(String::new, |value| value_words(&value, &self.node(id).unit))
    }
}

/// Texts that formulas ask a column for and no row of it has: a slip that a sum by a condition would not show.
pub fn asked_in_vain(book: &Book) -> Vec<String> {
    let mut told = Vec::new();
    for node in book.nodes() {
        // A column asks in every row what it asks in the first.
        let further = matches!(node.origin, Origin::Cell { wall: Some(1..), .. });
        let Some(formula) = node.formula.as_ref().filter(|_| !further) else { continue };
        let mut next = vec![formula];
        while let Some(formula) = next.pop() {
            next.extend(formula.parts());
            let Formula::Binary(Operator::Equal | Operator::Unequal, a, b) = formula else {
                continue;
            };
            let (Formula::Column(column), Formula::Text(text)) = (&**a, &**b) else { continue };
            let cells = column.first..column.first + column.count;
            let rows: BTreeSet<String> = cells.map(|id| book.words(id)).collect();
            if rows.contains(text) {
                continue;
            }
            let name = &book.node(column.id).what;
            let near = closest(text, rows.iter().map(String::as_str))
                .map_or_else(String::new, |near| format!(": did you mean \"{near}\"?"));
            let said =
                format!("no row of {name} is \"{text}\", which {} asks for{near}", node.name);
            told.push(said);
        }
    }
    told.dedup_by_key(|said| said.split(", which").next().map(str::to_owned));
    told
}

/// Most rows of a column whose numbers a derivation names one by one.
const MOST_ROWS: u32 = 12;

/// A formula with the numbers and units put in; long columns by their names.
pub fn derivation(formula: &Formula, book: &Book) -> String {
    let mut columns = Vec::new();
    formula.columns(&mut columns);
    let by_item = match columns.iter().all(|column| column.count <= MOST_ROWS) {
        true => item_by_item(formula).ok(),
        false => None,
    };
    phrase(by_item.as_ref().unwrap_or(formula), book, 0)
}

/// A formula in words; in brackets where what is around it binds tighter.
fn phrase(formula: &Formula, book: &Book, around: u8) -> String {
    let sub = |formula: &Formula| phrase(formula, book, 0);
    match formula {
        Formula::Number(value) => written(*value),
        Formula::Measure(_, text) => text.clone(),
        Formula::Text(text) => format!("\"{text}\""),
        Formula::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Formula::Name(name) => name.text(),
        Formula::Node(id) => {
            let words = book.words(*id);
            match (&book.node(*id).kind, words) {
                (Type::Flag, words) => format!("{} ({words})", book.node(*id).name),
                (_, words) if words.is_empty() => book.node(*id).name.to_string(),
                (_, words) => words,
            }
        }
        Formula::List(items) => {
            let items: Vec<String> = items.iter().map(sub).collect();
            items.join(", ")
        }
        Formula::Column(CellColumn { id, .. }) => {
            let name = &book.node(*id).name;
            name.strip_prefix("column ").unwrap_or(name).to_owned()
        }
        Formula::Cells(..) => String::new(),
        Formula::Negative(a) => format!("-{}", phrase(a, book, 7)),
        Formula::Unit(a, _, name) => format!("{} {name}", phrase(a, book, 7)),
        Formula::Not(a) => format!("not {}", phrase(a, book, 7)),
        Formula::Power(a, n) => match phrase(a, book, 8) {
            text if text.contains(' ') && !text.starts_with('(') => format!("({text})^{n}"),
            text => format!("{text}^{n}"),
        },
        Formula::Binary(operator, a, b) => {
            let rank = operator.rank();
            let symbol = match operator {
                Operator::Multiply => "x",
                Operator::And => "and",
                Operator::Or => "or",
                Operator::Equal => "=",
                other => other.symbol(),
            };
            let text = format!("{} {symbol} {}", phrase(a, book, rank), phrase(b, book, rank + 1));
            if rank < around { format!("({text})") } else { text }
        }
        Formula::Choice(condition, a, b) => {
            let text = format!("{} if {}, else {}", sub(a), sub(condition), sub(b));
            if around > 0 { format!("({text})") } else { text }
        }
        Formula::Call(callee, inputs) => call(callee, inputs, book, around),
        Formula::Field(of, name) => format!("{name} of {}", phrase(of, book, 9)),
        Formula::Opaque(opaque) => {
            let known =
                opaque.nodes.iter().map(|(name, node)| format!("{} = {}", name.text(), sub(node)));
            let known: Vec<String> = known.collect();
            if known.is_empty() {
                format!("by script: {}", opaque.text)
            } else {
                format!("by script: {} with {}", opaque.text, known.join(", "))
            }
        }
    }
}

fn call(callee: &Callee, inputs: &[Formula], book: &Book, around: u8) -> String {
    let rounded = |how: &str| match inputs {
        [a, step] => {
            let text = format!("{}, {how} {}", phrase(a, book, 0), phrase(step, book, 0));
            if around > 0 { format!("({text})") } else { text }
        }
        _ => String::new(),
    };
    match callee {
        Callee::Builtin(Builtin::RoundUp) => rounded("up to a multiple of"),
        Callee::Builtin(Builtin::RoundDown) => rounded("down to a multiple of"),
        Callee::Builtin(Builtin::RoundNear) => rounded("to the nearest"),
        Callee::Builtin(Builtin::ToCent) => {
            let text = format!("{}, to the cent", phrase_all(inputs, book));
            if around > 0 { format!("({text})") } else { text }
        }
        Callee::Builtin(Builtin::Sum) => match inputs {
            [Formula::List(items)] => {
                let items: Vec<String> = items.iter().map(|item| phrase(item, book, 5)).collect();
                let text = items.join(" + ");
                if around > 5 { format!("({text})") } else { text }
            }
            _ => format!("sum of {}", phrase_all(inputs, book)),
        },
        Callee::Builtin(Builtin::Least) => format!("the least of {}", phrase_all(inputs, book)),
        Callee::Builtin(Builtin::Greatest) => {
            format!("the greatest of {}", phrase_all(inputs, book))
        }
        Callee::Trade(function) => {
            let taken: Vec<String> = function.taken(inputs.len()).collect();
            let taken = match taken.is_empty() {
                true => String::new(),
                false => format!("; taken: {}", taken.join(", ")),
            };
            format!("{}({}{taken})", function.name, phrase_all(inputs, book))
        }
        other => {
            let input = |input: &Formula| match input {
                Formula::List(_) => format!("[{}]", phrase(input, book, 0)),
                one => phrase(one, book, 0),
            };
            let inputs: Vec<String> = inputs.iter().map(input).collect();
            format!("{}({})", other.name(), inputs.join(", "))
        }
    }
}

fn phrase_all(inputs: &[Formula], book: &Book) -> String {
    let words: Vec<String> = inputs.iter().map(|input| phrase(input, book, 0)).collect();
    words.join(", ")
}

/// What stands beside a number: cautions of the trade functions, and what of them is from memory.
pub fn cautions(formula: &Formula) -> Vec<String> {
    let mut functions = Vec::new();
    formula.functions(&mut functions);
    let mut texts: Vec<String> = Vec::new();
    for function in functions {
        if let Some(at) = function.result_about.find("CAUTION") {
            texts.push(function.result_about[at..].to_owned());
        }
        if let Some(memory) = function.memory() {
            texts.push(format!("{}: {memory}", function.name));
        }
    }
    texts.dedup();
    texts
}
