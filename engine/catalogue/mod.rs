//! The catalogue: one descriptor per trade function, without a word of the script language in it.
//! Binding, messages and the reference page all come from here.

mod descriptor;
mod functions;
mod objects;
mod value;

pub use descriptor::{Family, Function, Kind, Parameter};
pub use value::{Args, Fault, Object, Value};

/// Every trade function, grouped by family.
pub fn functions() -> impl Iterator<Item = &'static Function> {
    functions::LIST.iter().chain(objects::LIST)
}

/// A function by its name.
pub fn find(name: &str) -> Option<&'static Function> {
    functions().find(|function| function.name == name)
}
