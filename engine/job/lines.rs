//! Lines of the takeoff that a script states as formulas: worked out once the script has ended, in one book with the lines
//! that follow from others.

use std::collections::BTreeMap;

use num_rational::BigRational;
use num_traits::Signed;

use super::Job;
use super::inputs::{JobInputs, formulas};
use crate::measure::{Exact, amount, unit};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::sheet::{Book, build};
use crate::takeoff::{Derivation, Line, Takeoff};

/// Works the formulas of a takeoff out, and what follows from them.
///
/// # Errors
/// A formula is faulty, or gives something else than its unit.
pub(super) fn settle(job: &Job, takeoff: &mut Takeoff) -> Outcome<()> {
    if !takeoff.is_settled() {
        follow(job, takeoff)?;
    }
    nothing_negative(takeoff)
}

/// Sums and orders that are less than nothing: what is taken off them is more than there is.
fn nothing_negative(takeoff: &Takeoff) -> Outcome<()> {
    let mut faults = Faults::none();
    for line in takeoff.lines.iter().filter(|line| line.quantity.value.is_negative()) {
        let of: &[String] = match &line.derivation {
            Derivation::Sum(of) => of,
            Derivation::Ordered { of, .. } => std::slice::from_ref(of),
            _ => continue,
        };
        let words =
            |line: &Line| format!("{} {}", line.id, amount(line.quantity.quantity(), &line.unit));
        let less = takeoff.lines.iter().filter(|part| of.contains(&part.id));
        let less: Vec<String> =
            less.filter(|part| part.quantity.value.is_negative()).map(words).collect();
        let problem =
            Problem::error(format!("{}, {}, is less than nothing", words(line), line.label));
        let place = line.trail.place.clone().unwrap_or_else(|| Place::file(&line.id));
        faults.push(
            problem
                .at(place)
                .help(format!("what is taken off it is more than there is: {}; look at the inputs of that. A balance that may be negative is a formula, not a sum", less.join(", "))),
        );
    }
    faults.or_value(Some(()))
}

/// Works out the lines that formulas give, and those that follow from them.
fn follow(job: &Job, takeoff: &mut Takeoff) -> Outcome<()> {
    let (book, mut faults) = build(&[], &JobInputs::new(takeoff), &formulas(job, Some(takeoff))?);
    let own = |line: &&Line| matches!(line.derivation, Derivation::Formula(_));
    let values: BTreeMap<String, Exact> = takeoff
        .lines
        .iter()
        .filter(own)
        .filter_map(|line| Some((line.id.clone(), value_of(line, &book)?)))
        .collect();
    if faults.is_empty() {
        let without =
            takeoff.lines.iter().filter(own).filter(|line| !values.contains_key(&line.id));
        for line in without {
            let message = format!("the formula of line {} gives no value", line.id);
            let place = line.trail.place.clone().unwrap_or_else(|| Place::file(&line.id));
            faults.push(Problem::error(message).at(place));
        }
    }
    if faults.stop() {
        return Err(faults);
    }
    takeoff.settle(&values)
}

/// The value of a line's cell.
fn value_of(line: &Line, book: &Book) -> Option<Exact> {
    let quantity = book.quantity(book.find(&line.name())?)?;
    let value = BigRational::from_float(quantity.base())?;
    let dimension = unit(&line.unit).ok()?.dimension();
    Some(Exact { value, dimension }).filter(|_| quantity.dimension() == dimension)
}
