//! Calc sheets: named cells with units, one formula tree for each, recalculated like a spreadsheet; every number can say why.
//!
//! A [`Formula`] is lowered once from what the estimator wrote and used for the dependency graph, the check of
//! dimensions, evaluation, the derivation in words and the live formula of the workbook.

mod book;
mod build;
mod check;
mod columns;
mod days;
mod entries;
mod evaluate;
mod expected;
mod find;
mod formula;
mod lists;
mod live;
mod order;
mod outside;
mod over_rows;
mod program;
mod rows;
mod table;
mod texts;
mod words;

pub use book::{Book, Node, NodeId, Origin, State};
pub use build::{build, faults_as_written};
pub use check::Type;
pub use expected::{Expectation, Tested, tested};
pub use find::{DIGITS, Found, Interval, MOST_WHOLE, Search, find};
pub use formula::{Builtin, Callee, CellColumn, Formula, Name, Opaque, Operator};
pub use lists::{UsualUnit, over_lists};
pub use live::{CellRange, Cells, live};
pub use outside::{Given, Input, Inputs, Language};
pub use rows::{Across, Entry, RowAxis, name_of};
pub use table::typed_formula;
pub use table::{Per, Sheet, SheetRow, read_sheet};
pub use words::{asked_in_vain, cautions, derivation};
