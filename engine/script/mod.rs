//! Scripts: the estimator's language. Only this room knows rhai.

mod bind;
mod budget;
mod calc;
mod constants;
mod declared;
mod definitions;
mod display;
mod draft;
mod fault;
mod hooks;
mod host;
mod hosts;
mod lower;
mod measures;
mod modules;
mod names;
mod over_lists;
mod reference;
mod rows;
mod slips;
mod tests;
mod trace;
mod variants;

pub use budget::{Budget, USUAL};
pub use calc::{Calculated, Calculator, completions};
pub use declared::{Declared, DeclaredInput};
pub use definitions::definitions;
pub use display::display;
pub use fault::ScriptFault;
pub use hooks::hooks;
pub use host::{Host, Printed};
pub use hosts::{Hosts, Lent};
pub use lower::{FUNCTIONS, Formulas};
pub use reference::{entry, reference};
pub use tests::ScriptTest;
pub use variants::ScriptVariant;
