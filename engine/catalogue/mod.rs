//! The catalogue: one descriptor per trade function, without a word of the script language in it.
//! Binding, messages and the reference page all come from here.

mod descriptor;
mod families;
mod objects;
mod questions;
mod reading;
mod value;

pub use descriptor::{Family, Field, Function, Parameter, ValueKind};
pub use reading::reading_unit;
pub(crate) use value::record;
pub use value::{Args, Fault, Object, Output, Value};

/// Every trade function, grouped by family.
pub fn functions() -> impl Iterator<Item = &'static Function> {
    families::LISTS.iter().copied().flatten().chain(objects::LIST).chain(questions::LIST)
}

/// A function by its name.
pub fn find(name: &str) -> Option<&'static Function> {
    functions().find(|function| function.name == name)
}
