//! Workbooks: spreadsheets to tables, takeoffs to workbooks. The only room that knows a spreadsheet library;
//! it works on bytes.

mod calc;
mod chart;
mod comparison;
mod guard;
mod hidden;
mod look;
mod page;
mod quantities;
mod read;
mod seal;
mod write;

pub use comparison::{Comparison, write_comparison};
pub use page::{Page, read_pages};
pub use read::{SheetRead, is_workbook, read_sheets};
pub use seal::{Seal, seal_of};
pub use write::{Contents, write_workbook};
